"""The springing seat: square to the curve, deep enough, never undercutting the wall."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from tests.site.given_jobs import job_of, out_of_square, segment_radius, vault_of

from timbrel.shape.seating import STEEP
from timbrel.site.seat import BULKING, Seat, bearing, plan_seat
from timbrel.site.seat_checks import seat_checks
from timbrel.site.seat_shape import alternate_bays, bracket_section, chase_section, polygon_area
from timbrel.statics.proof import prove
from timbrel.statics.walls import wall_frame
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

WALL = {"thickness": 450, "height": 2100}


def test_the_seat_stands_square_to_the_curve() -> None:
    slope = math.radians(40)
    section = chase_section(slope, 0.06, 0.05, 0.01)
    seat = section[2] - section[1]
    along = section[1] - section[0]
    assert seat @ along == pytest.approx(0.0, abs=1e-12)
    assert np.linalg.norm(seat) == pytest.approx(0.06 + 2 * 0.01)
    assert section[[0, 3], 0] == pytest.approx([0.0, 0.0])  # both open on the face of the wall


def test_a_level_chase_by_hand() -> None:
    """At no slope at all: a slot 80 mm high and 60 mm deep."""
    section = chase_section(0.0, 0.06, 0.05, 0.01)
    assert polygon_area(section) == pytest.approx(0.08 * 0.06)
    assert section[:, 0].max() == pytest.approx(0.06)


def test_depth_and_debris_of_a_segment() -> None:
    job = job_of(seat={"depth": 60, "clearance": 0}, walls={"left": WALL, "right": WALL})
    vault = vault_of(job)
    seat = plan_seat(job, vault, "left")
    slope = math.asin(1.5 / segment_radius(3.0, 0.6))
    t = vault.thickness
    assert seat.kind == "chase"
    assert seat.slope == pytest.approx(slope)
    assert seat.angle == pytest.approx(math.pi / 2 - slope)
    assert seat.depth == pytest.approx(0.060 * math.cos(slope) + t * math.sin(slope))
    assert seat.height == pytest.approx(t / math.cos(slope))
    # A trapezoid: 60 mm at the intrados, and t tan(a) longer at the extrados.
    area = t * (0.060 + 0.060 + t * math.tan(slope)) / 2
    assert seat.debris == pytest.approx(area * 4.0 * BULKING)


def test_bays_are_cut_in_turn_and_never_two_beside_each_other() -> None:
    turns = alternate_bays(4.0, 0.5, 3)
    assert turns == ((1, 4, 7), (2, 5, 8), (3, 6))
    for turn in turns:
        assert all(b - a >= 2 for a, b in pairwise(turn))
    assert sorted(n for turn in turns for n in turn) == list(range(1, 9))
    assert alternate_bays(0.4, 0.5, 3) == ((1,),)


def test_a_steep_curve_sits_on_a_corbel_unless_the_job_insists() -> None:
    round_ = {"directrix": "semicircle", "rise": None}
    seat = plan_seat(job_of(curve=round_), vault_of(job_of(curve=round_)), "left")
    assert seat.kind == "corbel" and seat.slope > STEEP
    assert seat.stands_out == pytest.approx(vault_of(job_of()).thickness)
    insisting = job_of(curve=round_, seat={"kind": "chase"})
    with pytest.raises(TimbrelError) as raised:
        plan_seat(insisting, vault_of(insisting), "left")
    assert raised.value.key == "seat.kind"


def test_a_skewback_carries_the_shell_square() -> None:
    slope = math.radians(50)
    face = bracket_section(slope, 0.06)
    edge = face[0] - face[1]
    assert np.linalg.norm(edge) == pytest.approx(0.06)
    assert edge @ [math.cos(slope), -math.sin(slope)] == pytest.approx(0.0, abs=1e-12)


def test_a_chase_deeper_than_the_wall_is_refused() -> None:
    thin = {"thickness": 100, "height": 2100}
    job = job_of(seat={"depth": 120}, walls={"left": thin, "right": thin})
    with pytest.raises(TimbrelError) as raised:
        plan_seat(job, vault_of(job), "left")
    assert raised.value.key == "seat.depth"
    assert "left wall" in str(raised.value)


def test_a_chase_over_a_third_of_the_wall_fails() -> None:
    slim = {"thickness": 150, "height": 2100}
    job = job_of(walls={"left": slim, "right": WALL})
    vault = vault_of(job)
    depth = {s: seat_checks(job, plan_seat(job, vault, s))[0].verdict for s in ("left", "right")}
    assert depth == {"left": Verdict.FAILS, "right": Verdict.HOLDS}


def test_bearing_needs_the_thrust_and_the_strength_of_the_wall() -> None:
    stated = job_of(seat={"bearing": 2.0}, walls={"left": WALL, "right": WALL})
    vault = vault_of(stated)
    statics = prove(stated, vault)
    seat = plan_seat(stated, vault, "left", statics)
    assert seat.bearing is not None
    assert seat.bearing.pressure == pytest.approx(2 * seat.bearing.force / vault.thickness)
    assert seat_checks(stated, seat)[1].verdict is Verdict.HOLDS
    weak = job_of(seat={"bearing": 0.1}, walls={"left": WALL, "right": WALL})
    assert seat_checks(weak, seat)[1].verdict is Verdict.FAILS
    silent = job_of(walls={"left": WALL, "right": WALL})
    assert seat_checks(silent, seat)[1].verdict is Verdict.NOT_JUDGED


def test_a_leaning_room_takes_the_steeper_end() -> None:
    job = job_of()
    vault = vault_of(job, out_of_square())
    left, right = (plan_seat(job, vault, side) for side in ("left", "right"))
    level = plan_seat(job, vault_of(job), "left")
    assert max(left.slope, right.slope) > level.slope
    corners = out_of_square()
    assert left.length == pytest.approx(np.linalg.norm(corners[3] - corners[0]))


def test_a_seat_bears_under_the_least_and_under_the_greatest_thrust() -> None:
    """Equilibrium on a plane square to the curve: N = H cos a + V sin a, T = H sin a - V cos a."""
    job = job_of(seat={"bearing": 2.0}, walls={"left": WALL, "right": WALL})
    vault = vault_of(job)
    statics = prove(job, vault)
    for side, joint in (("left", 0), ("right", -1)):
        seat = plan_seat(job, vault, side, statics)
        for bound in ("least", "greatest"):
            cases = [c for s in statics.stations for c in s.cases if c.bound == bound]
            level = np.abs([c.line.force[joint, 0] for c in cases])
            down = np.abs([c.line.force[joint, 1] for c in cases])
            # The shell is cut into straight joints, so its last one leans a little less.
            square = level * math.cos(seat.slope) + down * math.sin(seat.slope)
            along = level * math.sin(seat.slope) - down * math.cos(seat.slope)
            state = seat.under(bound)
            assert state is not None
            assert state.force == pytest.approx(float(square.max()), rel=0.01)
            found = [b for b in seat.bearings if b.bound == bound]
            slip = np.abs(along / square)
            assert max(b.slip for b in found) == pytest.approx(float(slip.max()), abs=0.01)
            off = np.where(along < 0, slip, 0.0)
            assert max(b.slip_inward for b in found) == pytest.approx(float(off.max()), abs=0.01)
        low, high = seat.under("least"), seat.under("greatest")
        assert low is not None and high is not None and low.force < high.force
        assert seat.bearing is not None and seat.bearing.pressure == high.pressure


def _on_corbel(along: float) -> Seat:
    round_ = job_of(curve={"directrix": "semicircle", "rise": None})
    seat = plan_seat(round_, vault_of(round_), "left")
    state = bearing(seat.notes[0], "least", 10e3, along, 0.03)
    return replace(seat, bearing=state, bearings=(state,))


def test_before_the_wall_only_friction_holds_the_shell_from_sliding_into_the_room() -> None:
    job = job_of(walls={"left": WALL, "right": WALL})
    name, friction = "site.seat.left.slip", job.walls.left.friction

    def verdict(along: float) -> Verdict:
        return {c.name: c.verdict for c in seat_checks(job, _on_corbel(along))}[name]

    assert verdict(-10e3 * (friction - 0.01)) is Verdict.HOLDS
    assert verdict(-10e3 * (friction + 0.01)) is Verdict.FAILS
    assert verdict(10e3 * (friction + 0.5)) is Verdict.HOLDS  # outward stands the wall
    chase = plan_seat(job, vault_of(job), "left")
    assert name not in {c.name for c in seat_checks(job, chase)}


@pytest.mark.parametrize(("kind", "behind"), [("chase", 0.0), ("corbel", 1.0), ("ledger", 1.0)])
def test_before_the_wall_its_force_comes_down_before_it_too(kind: str, behind: float) -> None:
    """By as much as the seat stands out: the face of the wall is behind it."""
    walls = {"left": WALL, "right": WALL}
    chased, job = (job_of(seat={"kind": k}, walls=walls) for k in ("chase", kind))
    vault, plain = vault_of(job), vault_of(chased)
    seat = plan_seat(job, vault, "left")
    assert vault.behind == pytest.approx([behind * vault.thickness * math.sin(seat.slope)] * 2)
    assert seat.stands_out == pytest.approx(vault.behind[0])
    for side in ("left", "right"):
        line = prove(job, vault).worst.answer.least_thrust.line
        into = [wall_frame(v, 0.5, side).force(line).into for v in (plain, vault)]
        assert into[0] - into[1] == pytest.approx(seat.stands_out)


def test_a_steep_shell_stands_before_its_walls_unasked() -> None:
    steep = job_of(
        curve={"directrix": "semicircle", "rise": None}, walls={"left": WALL, "right": WALL}
    )
    assert vault_of(steep).behind == pytest.approx([vault_of(steep).thickness] * 2)
