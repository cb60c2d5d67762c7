"""Round an opening, under a hook, at an end: equilibrium, symmetry, and what must grow with what."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.opened_jobs import HOOK, hatch, opened

from timbrel.bond.ring import trim_opening
from timbrel.job.model import Job
from timbrel.job.supports import PointAction
from timbrel.plan import Plan, make_plan
from timbrel.shape.opened import place_openings
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.actions import fill_levels
from timbrel.statics.hooks import prove_hooks
from timbrel.statics.opening_proof import OpeningProof, prove_openings
from timbrel.statics.strip_answer import solve_strip
from timbrel.statics.trimmed import Beside, sides_of
from timbrel.verdict import Verdict


def shell(job: Job) -> Any:
    return shape_vault(job, solve_room(job.room))


def proof(job: Job) -> OpeningProof:
    vault = shell(job)
    return prove_openings(job, vault, fill_levels(job, vault))[0]


def sides(job: Job) -> tuple[Beside, Beside]:
    vault = shell(job)
    placed = place_openings(job, vault)
    ring = trim_opening(job, vault, placed[0])
    return sides_of(job, vault, placed[0], placed, ring, fill_levels(job, vault))


def test_every_state_is_in_equilibrium_and_inside() -> None:
    """Forces and moments of the three strips summed up by themselves, without the program."""
    near, _ = sides(opened([hatch()]))
    for index in near.tried():
        program = near.program(near.pattern(index))
        state = program.load_factor()
        assert state is not None
        factor = min(state.factor, 100.0)
        state = program.state(1.0, 0.9 * factor)
        assert state is not None
        loads = near.dead().plus(near.pattern(index).times(0.9 * factor))
        whole = loads.beside + state.handed
        for line, load, strip in (
            (state.beside, whole, near.strips[0]),
            (state.left, loads.left, near.strips[1]),
            (state.right, loads.right, near.strips[2]),
        ):
            between = line.force[-1] - line.force[0] - load[:, :2].sum(axis=0)
            assert np.abs(between).max() < 1e-6 * np.abs(line.force).max()
            ends = [p[0] * f[1] - p[1] * f[0] for p, f in zip(line.points, line.force, strict=True)]
            turned = ends[-1] - ends[0] - load[:, 2].sum()
            assert abs(turned) < 1e-6 * np.abs(line.force).max()
            depth = line.position / strip.thickness
            assert depth.min() > -1e-5 and depth.max() < 1 + 1e-5
            assert np.all(np.abs(line.shear) <= 0.6 * line.normal + 1e-6 * line.normal.max())
        for line, end in ((state.left, -1), (state.right, 0)):
            share = line.position[end] / line.thickness[end]
            assert 1 / 3 - 1e-6 < share < 2 / 3 + 1e-6


def test_what_the_trimmers_give_is_what_the_strip_beside_takes() -> None:
    near, _ = sides(opened([hatch()]))
    state = near.program(near.pattern(0)).state(1.0, 1.0)
    assert state is not None
    given = state.on_left + state.on_right
    assert state.handed[:, :2].sum(axis=0) == pytest.approx(near.ratio * given, abs=1e-6)
    # All that stands on the cut arches goes to their springings and, through the trimmers, beside.
    loads = near.dead().plus(near.pattern(0))
    down = -(loads.left[:, 1].sum() + loads.right[:, 1].sum())
    springing = state.left.force[0, 1] - state.right.force[-1, 1]
    assert springing - given[1] == pytest.approx(down, rel=1e-6)


def test_a_symmetric_job_answers_alike_on_both_sides() -> None:
    answer = proof(opened([hatch()]))
    near, far = answer.sides
    assert near.load_factor == pytest.approx(far.load_factor, rel=1e-6)
    assert near.geometric == pytest.approx(far.geometric, rel=1e-3)
    assert answer.trimmers is not None
    left, right = answer.trimmers
    assert left.load == pytest.approx(right.load, rel=1e-4)
    assert left.push == pytest.approx(right.push, rel=1e-4)


def test_a_smaller_opening_tends_to_the_plain_strip() -> None:
    """With nothing handed over, the strip beside is the strip that is proved anyway."""
    near, _ = sides(opened([hatch()]))
    bare = replace(near, ratio=0.0, kerb=replace(near.kerb, permanent=0.0, imposed=0.0))
    plain = solve_strip(near.acts)
    for kind in ("full", "half"):
        found = [
            s.factor
            for i, p in enumerate(near.acts.patterns)
            if p.kind == kind and (s := bare.program(bare.pattern(i)).load_factor()) is not None
        ]
        worst = plain.worst(kind)
        assert worst is not None
        # The cut arches must carry themselves as well, so that it can only be less.
        assert min(found) <= worst.static * 1.01


def test_a_larger_opening_is_never_stronger() -> None:
    factors = [
        min(s.load_factor or 0.0 for s in proof(opened([hatch(length=size)])).sides)
        for size in (300, 600, 1200)
    ]
    assert factors[0] >= factors[1] >= factors[2] > 0
    pushes = [
        max(t.push for t in made.trimmers or ())
        for size in (300, 600, 1200)
        if (made := proof(opened([hatch(length=size)])))
    ]
    assert pushes[0] < pushes[1] < pushes[2]


def test_the_mechanism_is_never_under_the_state_found() -> None:
    for side in proof(opened([hatch(across=1400)])).sides:
        assert side.load_factor is not None and side.kinematic is not None
        assert side.kinematic >= side.load_factor * (1 - 1e-4)


def test_an_opening_that_is_too_much_fails_and_says_so() -> None:
    plan = make_plan(opened([hatch(length=2400, width=1200)], rise=350))
    bad = {c.name for c in plan.checks if c.verdict is Verdict.FAILS}
    assert bad & {"openings.1.stands", "openings.1.load_factor", "openings.1.trimmer"}


def test_without_a_bar_the_push_is_not_judged() -> None:
    plan = make_plan(opened([hatch(trimmer={"layers": 1})]))
    check = next(c for c in plan.checks if c.name == "openings.1.bars")
    assert check.verdict is Verdict.NOT_JUDGED
    assert "a bar of" in str(check.reason)


def test_a_round_ring_is_judged_by_p_r() -> None:
    made = proof(opened([hatch(length=None, width=None, diameter=600)]))
    assert made.trimmers is not None and made.ring_thrust is not None
    assert made.ring_thrust == pytest.approx(max(t.load for t in made.trimmers) * 0.3, rel=0.01)
    assert "openings.1.ring" in {c.name for c in made.checks}


def hooked(**changed: Any) -> Plan:
    return make_plan(opened(hooks=[{**HOOK, **changed}]))


def test_twice_the_load_halves_the_factor_of_a_hook() -> None:
    job = opened(hooks=[HOOK, {**HOOK, "name": "Twice", "load": 1.0}])
    vault = shell(job)
    once, twice = prove_hooks(job, vault, fill_levels(job, vault))
    assert once.by_itself is not None and twice.by_itself is not None
    assert once.by_itself == pytest.approx(2 * twice.by_itself, rel=1e-3)
    assert once.with_it is not None and twice.with_it is not None
    assert once.with_it > twice.with_it


def test_a_hook_is_seen_where_it_hangs_and_nowhere_else() -> None:
    with_hook, plain = hooked(load=3.0), make_plan(opened())
    same = {c.name: c.value for c in plan_checks(plain, "statics.")}
    assert {c.name: c.value for c in plan_checks(with_hook, "statics.")} == same
    verdicts = {c.name: c.verdict for c in plan_checks(with_hook, "hooks.")}
    assert verdicts["hooks.1.load_factor"] is Verdict.FAILS
    assert hooked(load=0.1).checks != with_hook.checks


def plan_checks(plan: Plan, start: str) -> list[Any]:
    return [c for c in plan.checks if c.name.startswith(start)]


def test_ends_are_told_by_their_kind() -> None:
    plan = make_plan(opened(near="free", far="closing wall"))
    names = {c.name for c in plan.checks if c.name.startswith("ends.")}
    assert names == {"ends.near.load_factor", "ends.far.gap"}
    assert plan.edges is not None
    near = plan.edges.ends[0]
    assert near.load_factor == pytest.approx(
        min(p.static for p in plan.statics.stations[0].answer.patterns)
    )
    carrying = make_plan(opened(near="carrying wall"))
    wall = next(c for c in carrying.checks if c.name == "ends.near.wall")
    assert wall.verdict is Verdict.NOT_JUDGED and "walls.near" in str(wall.reason)
    # The strip itself is proved as if the wall did nothing.
    plain = make_plan(opened())
    assert plan_checks(carrying, "statics.") == plan_checks(plain, "statics.")


def test_a_post_away_from_every_station_is_proved_where_it_stands() -> None:
    """Neither an end nor the worst strip is near it: its own strip must say that it is too much."""
    job = opened()
    post = PointAction(name="Post", x=1600, y=1550, force=60, patch=100)
    loaded = job.model_copy(update={"loads": job.loads.model_copy(update={"points": (post,)})})
    checks = {c.name: c for c in make_plan(loaded).checks}
    assert checks["loads.points.1.load_factor"].verdict is Verdict.FAILS
    light = post.model_copy(update={"force": 0.2e3})
    loaded = job.model_copy(update={"loads": job.loads.model_copy(update={"points": (light,)})})
    checks = {c.name: c for c in make_plan(loaded).checks}
    assert checks["loads.points.1.load_factor"].verdict is Verdict.HOLDS
