"""The load path of vaults on a plan: combinations, walls and piers, against independent values."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.plan import SurfacePlan, make_plan
from timbrel.statics.cracked_pier import PierLoads, descend_pier, pier_factor
from timbrel.statics.cracked_wall import HeadLoads, Stem, overturning_factor, rigid_factor
from timbrel.statics.floor import GRAVITY
from timbrel.statics.net_carrying import NetCarrying, carry_net
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_supports import net_supports
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.notes import worked
from timbrel.statics.pier_shape import PierShape
from timbrel.verdict import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
HALF_A_CELL = 1 / 40  # squares bear at their middles


@pytest.mark.parametrize(
    ("side", "height", "down", "push"),
    [(1.0, 2.0, 20e3, 3e3), (0.8, 4.0, 50e3, 4e3), (1.6, 2.4, 60e3, 20e3), (0.6, 3.0, 30e3, 1e3)],
)
def test_a_pier_pushed_square_falls_as_a_wall_of_its_side(
    side: float, height: float, down: float, push: float
) -> None:
    """Against the closed form of the cracked wall (straight crack), and well before the block."""
    weight = 2000 * GRAVITY
    found = pier_factor(PierShape(side, height, weight), PierLoads(down, np.array([push, 0.0])))
    stem, head = Stem(side, height, weight), HeadLoads(push / side, down / side, down / 2)
    exact = overturning_factor(stem, head, 0.0)
    assert exact * (1 - 1.6 * HALF_A_CELL) < found <= exact
    assert found < 0.85 * rigid_factor(stem, head, 0.0)


def test_along_a_diagonal_the_kern_is_that_of_a_square() -> None:
    """|ex| + |ey| = side/6 (strength of materials): inside the bed stays shut, outside it opens."""
    for share, cracked in ((0.95, False), (1.05, True)):
        # No weight: the resultant is that of the head alone.
        away = share / 12
        down = descend_pier(PierShape(1.0, 1.0, 0.0), PierLoads(1e4, np.array([away, away]) * 1e4))
        assert down.cracked is cracked
        assert down.at[-1] == pytest.approx([away, away])


def test_stress_at_a_pressed_corner_by_hand() -> None:
    """N/A (1 + 6 ex/s + 6 ey/s) while the bed is shut."""
    down = descend_pier(PierShape(1.0, 1.0, 0.0), PierLoads(1e4, np.array([500.0, 300.0])))
    assert down.stress[-1] == pytest.approx(1e4 * (1 + 6 * 0.08))


def test_a_resultant_outside_the_pier_is_a_fall() -> None:
    loads = PierLoads(1e4, np.array([5.1e3, 0.0]))
    assert descend_pier(PierShape(1.0, 1.0, 0.0), loads).fallen


def _carried(
    name: str, ties: dict[str, object] | None = None, **walls: object
) -> tuple[SurfacePlan, NetCarrying]:
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    if ties is not None:
        stated["walls"]["ties"] = ties
    elif name == "market-groin":
        stated["walls"].pop("ties")
    for side in ("left", "right"):
        for key, value in walls.items():
            stated["walls"][side][key] = value
        for key in ("masonry", "ground"):
            if key not in walls:
                stated["walls"][side].pop(key, None)
    plan = make_plan(read_job(tomlkit.dumps(stated)))
    assert isinstance(plan, SurfacePlan)
    rung = Rungs(plan.job, solid_of(plan.vault))[0]
    return plan, carry_net(plan.job, plan.vault, rung.net, rung.acts)


STRONG = {"masonry": {"unit": 12.0, "mortar": 2.5}, "ground": {"bearing": 250}}


def test_every_combination_is_in_balance_with_its_loads() -> None:
    """EN 1990 6.10 by hand: what goes down on the walls is the factored load."""
    plan, carried = _carried("chapel-cloister", **STRONG)
    rung = Rungs(plan.job, solid_of(plan.vault))[0]
    totals = {p.key: p.total for p in rung.acts.patterns}
    assert len(carried.pushed) == 2 * 5 * 6  # least and greatest thrust
    for row in carried.pushed:
        c = row.combination
        down = -sum(float(p.total[2]) for p in row.pushes)
        imposed = c.variable * totals[c.leading] if c.leading else 0.0
        assert down == pytest.approx(c.dead * rung.acts.dead.total + imposed, rel=1e-6)
        level = sum(p.total[:2] for p in row.pushes)
        assert np.abs(level).max() < 1e-6 * down


def test_walls_of_a_cloister_are_judged_clause_by_clause() -> None:
    _, carried = _carried("chapel-cloister", **STRONG)
    names = {c.name for c in carried.checks}
    for side in ("left", "right", "near", "far"):
        for what in ("overturning", "crushing", "vertical", "shear", "springer", "bearing",
                     "ground_sliding", "slenderness"):  # fmt: skip
            assert f"supports.{side}.{what}" in names
    assert all(c.verdict is not Verdict.NOT_JUDGED for c in carried.checks)
    assert {n.symbol for n in carried.notes} >= {"x", "lambda_", "f_k", "f_d", "N_Rd", "B_"}


def test_buttresses_of_a_cloister_count() -> None:
    thin = {**STRONG, "thickness": 350}
    _, bare = _carried("chapel-cloister", **thin)
    buttress = {"width": 450, "spacing": 1600, "depth": 700}
    _, helped = _carried("chapel-cloister", **thin, buttress=buttress)
    for before, after in zip(bare.walls, helped.walls, strict=True):
        assert after.overturning.value > 1.5 * before.overturning.value


def test_piers_of_a_groin_by_hand() -> None:
    """Even pressure under a square footing, Meyerhof 1953 both ways; stress block of 6.1.1."""
    plan, carried = _carried("market-groin", **STRONG, pier=1600, thickness=1600, pier_out=800)
    wall, pier = plan.job.walls.left, carried.piers[0]
    assert pier.bearing is not None and pier.crushing is not None and pier.strength is not None
    assert wall.pier and wall.height
    governing = (pier.bearing.combination, pier.bearing.bound)
    by = {(r.combination.key, r.bound): r for r in carried.pushed}[governing]
    push = next(p for p in by.pushes if p.support == pier.corner)
    force, arm = push.total, wall.height + push.over
    own = by.combination.dead * wall.density * GRAVITY * wall.pier**2 * (wall.height + wall.above)
    normal = own - float(force[2])
    # What comes down enters at the corner of the room, half of the pier inside its middle.
    inward = -float(force[2]) * wall.pier / 2
    left = [wall.pier - 2 * abs(abs(float(f)) * arm - inward) / normal for f in force[:2]]
    assert pier.bearing.value == pytest.approx(normal / (left[0] * left[1]) / 250e3)
    assert pier.overturning.value > 1
    assert len(carried.piers) == 4


def test_thinner_piers_fall() -> None:
    _, carried = _carried("market-groin", **STRONG, pier=600, thickness=600)
    failing = {c.name for c in carried.checks if c.verdict is Verdict.FAILS}
    assert {f"supports.pier.{corner}.overturning" for corner in "ABCD"} <= failing


def test_what_is_not_stated_is_not_judged() -> None:
    _, carried = _carried("market-groin")
    missing = [c for c in carried.checks if c.verdict is Verdict.NOT_JUDGED]
    named = {c.name: str(c.reason) for c in missing}
    assert {name.rsplit(".", 1)[1] for name in named} == {
        "crushing", "vertical", "shear", "springer", "bearing",
    }  # fmt: skip
    assert "walls.left.ground.bearing" in named["supports.pier.A.bearing"]


def test_notes_of_a_pier_give_its_verdicts_again() -> None:
    """Every note can be worked from what it holds, and the last is the share in the verdict."""
    _, carried = _carried("market-groin", **STRONG)
    for note in carried.notes:
        values = {v.symbol: v.value for v in note.values}
        assert worked(note.formula, values) == pytest.approx(note.result)
    shares = [n.result for n in carried.notes if n.symbol == "u"]
    told = [
        found.value
        for p in carried.piers
        for found in (p.vertical, p.springer, p.shear, p.crushing)
        if found
    ]
    assert shares == pytest.approx(told)
    pressures = [n.result * 1e3 for n in carried.notes if n.symbol == "q"]
    assert pressures == pytest.approx([p.ground.pressure for p in carried.piers])


def test_the_drum_under_a_tied_ring_carries_what_comes_down() -> None:
    """The ring takes the push (T = h r): nothing level is left, and the drum is judged for the rest."""
    _, carried = _carried("well-dome", **STRONG)
    (drum,) = carried.walls
    assert drum.side == "ring"
    assert drum.overturning.value == np.inf
    assert drum.bearing is not None
    assert 0 < drum.bearing.value < 1


def test_openings_and_buttresses_of_a_wall_count_without_factors_too() -> None:
    """The unfactored verdicts stand on the wall as it is built."""

    def least(**walls: object) -> float:
        plan, _ = _carried("chapel-cloister", thickness=350, **walls)
        rung = Rungs(plan.job, solid_of(plan.vault))[0]
        found = net_supports(plan.job, plan.vault, rung.net, rung.acts).checks
        named = {c.name: c.value for c in found}
        value = named["walls.left.overturning"]
        assert value is not None
        return value

    even = least()
    assert least(buttress={"width": 450, "spacing": 1600, "depth": 700}) > 1.5 * even
    doors = [{"start": 1000, "width": width, "sill": 0, "head": 2100} for width in (400, 800, 1200)]
    falling = [even, *(least(openings=[door]) for door in doors)]
    assert all(more > less for more, less in itertools.pairwise(falling))


def test_ties_from_pier_to_pier_leave_thin_piers_standing() -> None:
    """The piers that fall bare stand between ties; the notes give every figure again."""
    ties = {"diameter": 24, "anchor": {"side": 200, "thickness": 25}}
    stout = {**STRONG, "ground": {"bearing": 450}}
    _, carried = _carried("market-groin", ties, **stout, pier=600, thickness=600)
    assert carried.ties is not None and carried.ties.helps
    failing = {c.name for c in carried.checks if c.verdict is Verdict.FAILS}
    assert not {name for name in failing if "pier" in name}
    # Alone, as after a fire, they fall.
    assert carried.ties.alone is not None and carried.ties.alone < 1
    assert all(pier.tied[1] > 0 for pier in carried.piers)
    for note in carried.notes:
        values = {v.symbol: v.value for v in note.values}
        assert worked(note.formula, values) == pytest.approx(note.result)
    for name in ("AB", "BC", "CD", "DA"):
        assert f"supports.tie.{name}.section" in {c.name for c in carried.checks}
