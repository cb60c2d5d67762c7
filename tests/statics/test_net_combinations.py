"""Combinations of EN 1990 over a vault on a plan, by hand.

EN 1990:2002, 6.4.3.2, expression 6.10, tables A1.1, A1.2(A) and A1.2(B); 6.4.3.3, expression 6.11;
values from memory: 1.35 / 1.00 / 1.50, 1.10 / 0.90, psi0 0.7 imposed, 0.5 snow, 0.6 wind, psi1 0.5,
psi2 0.3 imposed.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import integrate

from timbrel.job.model import Loads
from timbrel.shape.vault import shape_vault
from timbrel.statics.net_combinations import NetCombination, net_combinations
from timbrel.statics.net_envelope import envelope_check, net_envelope
from timbrel.statics.net_images import image_between, turned
from timbrel.statics.net_level import LevelLoad
from timbrel.statics.net_rungs import draw_rung
from timbrel.statics.net_states import asked_pushes, net_states
from timbrel.statics.net_vaults import solid_of
from timbrel.verdict import Verdict

SQUARE = np.array([[0, 0, 2.0], [4.0, 0, 2.0], [4.0, 4.0, 2.0], [0, 4.0, 2.0]])
STATED = {
    "imposed": 1.0,
    "finish": 0.5,
    "snow": 0.8,
    "wind_left": 0.5,
    "horizontal": 0.05,
    "points": [{"name": "Post", "x": 1500, "y": 1200, "force": 2}],
    "fill": {"kind": "light", "saturated": 12},
}


def vaulted(trial_job: Any, family: str = "sail", **loads: Any) -> tuple[Any, Any, Any]:
    curve = {"family": family, "rise": 600} if family == "sail" else {"family": family}
    job = trial_job(curve=curve, loads={**STATED, **loads})
    room: Any = SimpleNamespace(corners=SQUARE, measures=(), checks=())
    vault = shape_vault(job, room)
    return job, vault, draw_rung(job, solid_of(vault), 6)


@pytest.fixture
def every(trial_job: Any) -> dict[str, NetCombination]:
    job, _, rung = vaulted(trial_job)
    pushes = asked_pushes(job, rung.net, rung.acts)
    return {c.key: c for c in net_combinations(job.loads, rung.acts, pushes)}


BY_HAND = {
    "characteristic.full": (1.0, {"full": 1.0, "snow": 0.5, "wind": 0.6}),
    "STR.sup.dead": (1.35, {}),
    "STR.sup.half.left": (1.35, {"half.left": 1.5, "snow": 0.75, "wind": 0.9}),
    "STR.inf.snow+full": (1.0, {"snow": 1.5, "full": 1.05, "wind": 0.9}),
    "STR.sup.drift.near": (1.35, {"drift.near": 1.5, "wind": 0.9}),
    "STR.inf.wind": (1.0, {"wind": 1.5, "snow": 0.75}),
    "STR.sup.loads.points.1": (1.35, {"loads.points.1": 1.5, "snow": 0.75, "wind": 0.9}),
    "EQU.sup.full": (1.10, {"full": 1.5, "snow": 0.75, "wind": 0.9}),
    "EQU.inf.dead": (0.90, {}),
    "accidental.water+full": (1.0, {"water": 1.0, "full": 0.5}),
    "accidental.level.left+full": (1.0, {"level.left": 1.0, "full": 0.3}),
    "accidental.level.far": (1.0, {"level.far": 1.0}),
}


@pytest.mark.parametrize("key", BY_HAND)
def test_factors_by_hand(every: dict[str, NetCombination], key: str) -> None:
    dead, factors = BY_HAND[key]
    found = every[key]
    assert found.dead == dead
    assert {f.load: f.factor for f in found.factors} == pytest.approx(factors)
    name, _, _ = key.partition("+")
    leads = name.split(".", 2 if key.startswith(("STR", "EQU")) else 1)[-1]
    assert found.leading == (None if leads == "dead" else leads)


def test_national_choices_go_before(trial_job: Any) -> None:
    loads = {**STATED, "national": {"psi0_snow": 0.7, "equ_favourable": 0.95}}
    job, _, rung = vaulted(trial_job, **loads)
    every = {c.key: c for c in net_combinations(job.loads, rung.acts)}
    assert every["EQU.inf.dead"].dead == 0.95
    snow = {f.load: f.factor for f in every["STR.sup.full"].factors}["snow"]
    assert snow == pytest.approx(1.05)
    assert isinstance(job.loads, Loads)


PAIR = {"expressions": "6.10a and 6.10b"}
PAIR_BY_HAND = {
    # 1.35 G + 1.5 psi0 Q, and 0.85 x 1.35 G + 1.5 Q (EN 1990 table A1.2(B), note 1, from memory)
    "STR.a.sup.dead": (1.35, {}),
    "STR.a.sup.half.left": (1.35, {"half.left": 1.05, "snow": 0.75, "wind": 0.9}),
    "STR.a.inf.full": (1.0, {"full": 1.05, "snow": 0.75, "wind": 0.9}),
    "STR.a.sup.snow": (1.35, {"snow": 0.75, "wind": 0.9}),
    "STR.a.sup.drift.near": (1.35, {"drift.near": 0.75, "wind": 0.9}),
    "STR.a.sup.drift.near+full": (1.35, {"drift.near": 0.75, "wind": 0.9, "full": 1.05}),
    "STR.b.sup.half.left": (1.1475, {"half.left": 1.5, "snow": 0.75, "wind": 0.9}),
    "STR.b.inf.snow+full": (1.0, {"snow": 1.5, "full": 1.05, "wind": 0.9}),
    "STR.b.sup.wind": (1.1475, {"wind": 1.5, "snow": 0.75}),
    "EQU.sup.full": (1.10, {"full": 1.5, "snow": 0.75, "wind": 0.9}),
}


def test_two_expressions_by_hand(trial_job: Any) -> None:
    job, _, rung = vaulted(trial_job, national=PAIR)
    every = {c.key: c for c in net_combinations(job.loads, rung.acts)}
    for key, (dead, factors) in PAIR_BY_HAND.items():
        assert every[key].dead == pytest.approx(dead), key
        found = {f.load: f.factor for f in every[key].factors}
        assert found == pytest.approx(factors), key
    assert every["STR.a.sup.half.left"].leading == "half.left"
    assert every["STR.b.sup.wind"].source.endswith("expression 6.10b, table A1.2(B)")
    assert not any(key.startswith(("STR.sup", "STR.inf")) for key in every)


def test_the_pair_leaves_a_vault_at_least_what_the_one_does(trial_job: Any) -> None:
    """m = k gG / gQ with one k: under 6.10b unfavourable 0.85 of 6.10, under favourable the same."""
    held = {}
    for name, national in (("one", {}), ("pair", PAIR)):
        loads = {"imposed": 15, "points": [], "wind_left": None, "snow": None}
        job, _, rung = vaulted(trial_job, "groin", **loads, national=national)
        found = net_envelope(job, rung.net, rung.acts, ())
        assert not any(r.more for r in found.reserves if "half" in r.combination.key)
        held[name] = {r.combination.key: r.multiple for r in found.reserves}
    assert held["pair"]["STR.b.sup.half.left"] == pytest.approx(
        0.85 * held["one"]["STR.sup.half.left"], rel=1e-6
    )
    assert held["pair"]["STR.b.inf.half.left"] == pytest.approx(held["one"]["STR.inf.half.left"])
    assert min(held["pair"].values()) >= min(held["one"].values()) * (1 - 1e-9)


def test_winds_of_two_sides_blow_one_at_a_time(trial_job: Any) -> None:
    job, _, rung = vaulted(trial_job, wind_near=0.4, wind_far=-0.2, points=[])
    found = net_combinations(job.loads, rung.acts)
    every = {c.key: {f.load: f.factor for f in c.factors} for c in found}
    assert len(every) == len(found)
    assert not any({"wind", "wind.near"} <= set(factors) for factors in every.values())
    # By hand: 1.5 x psi0 of snow 0.5 and of wind 0.6.
    assert every["STR.sup.full"] == pytest.approx({"full": 1.5, "snow": 0.75, "wind": 0.9})
    beside = {"full": 1.5, "snow": 0.75, "wind.near": 0.9}
    assert every["STR.sup.full+wind.near"] == pytest.approx(beside)
    assert every["STR.inf.wind.near"] == pytest.approx({"wind.near": 1.5, "snow": 0.75})
    snowed = {"snow": 1.5, "full": 1.05, "wind.near": 0.9}
    assert every["STR.sup.snow+full+wind.near"] == pytest.approx(snowed)
    leads = {c.key: c.leading for c in found}
    assert leads["STR.sup.full+wind.near"] == "full"
    assert leads["STR.inf.wind.near"] == "wind.near"


def test_wind_on_near_and_far_halves_is_that_of_left_and_right_turned(trial_job: Any) -> None:
    """Over a square plan and a sail alike both ways; down, pressures by half
    the plan (8 m2), and a little more where the extrados reaches over it."""
    forces = {}
    for one, other in (("left", "right"), ("near", "far")):
        stated = {"wind_left": None, f"wind_{one}": 0.4, f"wind_{other}": -0.2, "points": []}
        _, _, rung = vaulted(trial_job, **stated)
        (wind,) = [o.load for o in rung.acts.others if o.kind == "wind"]
        assert isinstance(wind, LevelLoad)
        forces[wind.key] = wind.force.sum(axis=0)
    x, y, down = forces["wind"]
    assert forces["wind.near"] == pytest.approx([y, x, down], rel=1e-6, abs=1e-3)
    assert -down == pytest.approx((400 - 200) * 8.0, rel=0.08)
    assert x > 0


@pytest.mark.parametrize("national", [{}, PAIR])
def test_supports_take_what_is_combined(trial_job: Any, national: dict[str, str]) -> None:
    """Equilibrium of the whole: factored loads down, level pushes as they are applied."""
    job, vault, rung = vaulted(trial_job, national=national)
    states = net_states(job, vault, rung.net, rung.acts)
    assert not states.fallen
    pushes = asked_pushes(job, rung.net, rung.acts)
    loads = {p.key: p for p in rung.acts.patterns}
    loads |= {o.load.key: o.load for o in (*rung.acts.others, *pushes)}
    for row in states.pushed:
        c = row.combination
        down = c.dead * rung.acts.dead.total
        level = np.zeros(2)
        for f in c.factors:
            down += f.factor * loads[f.load].total
            level += f.factor * np.sum(getattr(loads[f.load], "level", np.zeros((1, 2))), axis=0)
        found = np.sum([p.total for p in row.pushes], axis=0)
        assert -found[2] == pytest.approx(down, rel=1e-5)
        assert found[:2] == pytest.approx(level, abs=1e-4 * down)


def test_an_image_of_a_state_is_the_state_that_would_be_solved(trial_job: Any) -> None:
    _, _, rung = vaulted(trial_job, "cloister", points=[], wind_left=None)
    left, right = (rung.pattern(f"half.{side}") for side in ("left", "right"))
    assert left is not None and right is not None
    g = image_between(rung.net, rung.acts.dead, left, right)
    assert g is not None
    one = rung.question(left).thrust(least=True, factor=1.2)
    other = rung.question(right).thrust(least=True, factor=1.2)
    assert one is not None and other is not None
    image = turned(rung.net, g, one)
    assert image is not None
    thrusts = [float(np.abs(state.reaction[:, :2]).sum()) for state in (image, other, one)]
    assert image.force.sum() == pytest.approx(one.force.sum())
    assert thrusts[0] == pytest.approx(thrusts[2], rel=1e-6)
    # In balance under the other load: every free line takes what stands on it.
    question = rung.question(right)
    shared = np.zeros(len(question.rows.members))
    shared[question.rows.orbit] = image.force
    wanted = question.rows.load(rung.acts.dead.weight + 1.2 * right.weight)
    size = rung.acts.dead.weight.mean()
    assert question.rows.matrix @ shared == pytest.approx(wanted, abs=1e-4 * size)


def test_what_governs_is_the_least_multiple_and_more_load_lowers_it(trial_job: Any) -> None:
    job, vault, rung = vaulted(trial_job, horizontal=0.0)
    states = net_states(job, vault, rung.net, rung.acts)
    found = net_envelope(job, rung.net, rung.acts, states.fallen, crushing=rung.crushing)
    worst = found.governing
    assert worst is not None
    assert worst.multiple == min(r.multiple for r in found.reserves)
    (check,) = envelope_check(found)
    assert check.verdict is Verdict.HOLDS
    assert check.value == worst.multiple
    # Twenty times the wind, sucked on one side: no net stands.
    gale = {"wind_left": -5.0, "wind_right": 5.0}
    job, vault, rung = vaulted(trial_job, horizontal=0.0, **gale)
    states = net_states(job, vault, rung.net, rung.acts)
    found = net_envelope(job, rung.net, rung.acts, states.fallen, crushing=rung.crushing)
    (check,) = envelope_check(found)
    assert states.fallen
    assert check.verdict is Verdict.FAILS


def test_wet_fill_weighs_its_volume(trial_job: Any) -> None:
    """Volume between the extrados and the top of the fill by scipy's quadrature."""
    job, vault, rung = vaulted(trial_job)
    wet = next(o.load for o in rung.acts.others if o.kind == "water")
    fill = next(p for p in rung.acts.permanent if p.key == "fill")
    assert wet.total == pytest.approx(fill.total * (12 - 6) / 6, rel=1e-9)
    thick = float(vault.thickness)

    def depth(y: float, x: float) -> float:
        return top - float(vault.height(np.array([x]), np.array([y]), thick)[0])

    crown = float(vault.height(np.array([2.0]), np.array([2.0]), thick)[0])
    top = crown + job.levels.crown_cover
    volume, _ = integrate.dblquad(depth, 0, 2, 0, 2, epsabs=1e-4)
    # The middle surface reaches a little past the planes of the walls, where the fill is deepest.
    assert 1.0 <= fill.total / (4 * volume * 6e3) < 1.07


def test_least_and_greatest_thrust_stand_on_both_sides(trial_job: Any) -> None:
    """All supports together, outward: no combination has a greatest thrust under its least."""
    job, vault, rung = vaulted(trial_job, "groin", horizontal=0.0, points=[], wind_left=None)
    states = net_states(job, vault, rung.net, rung.acts)
    thrust: dict[str, dict[str, float]] = {}
    for row in states.pushed:
        total = sum(float(np.hypot(*p.total[:2])) for p in row.pushes)
        thrust.setdefault(row.combination.key, {})[row.bound] = total
    assert all(set(found) == {"least", "greatest"} for found in thrust.values())
    assert all(found["greatest"] > 1.1 * found["least"] for found in thrust.values())
