"""The measured room: corners, closure, likely slips, convexity, walls."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from timbrel.job.model import Room as StatedRoom
from timbrel.shape.closure import slip_between
from timbrel.shape.room import corner_angles, solve_room
from timbrel.shape.tape import fit, tapes_of
from timbrel.verdict import Verdict
from timbrel.words import THIN_SPACE, TimbrelError

SKEW = np.array([[0.0, 0.0], [4.32, 0.0], [4.302, 6.604], [0.041, 6.582]])


def taped(corners: Any, **changes: Any) -> StatedRoom:
    """What exact tapes would read in a room; changes replace keys of the room table (mm)."""
    c = np.asarray(corners, float)
    read = {
        name: 1e3 * float(np.linalg.norm(c["ABCD".index(name[0])] - c["ABCD".index(name[1])]))
        for name in ("AB", "BC", "CD", "DA", "AC", "BD")
    }
    levels = dict.fromkeys("ABCD", 0)
    return StatedRoom.model_validate({**read, "levels": levels, **changes})


def along(corners: Any, side: str, distance: float) -> Any:
    """A point on a side, at a distance from its first corner."""
    c = np.asarray(corners, float)
    p, q = c["ABCD".index(side[0])], c["ABCD".index(side[1])]
    return p + distance * (q - p) / np.linalg.norm(q - p)


def cross_tape(start: str, end: str, off: float = 0.0) -> dict[str, Any]:
    """A further measure in SKEW between two points such as "AB 1000", read `off` metres wrong."""
    ends = [along(SKEW, text[:2], float(text[3:]) / 1e3) for text in (start, end)]
    reading = float(np.linalg.norm(ends[1] - ends[0])) + off
    return {"start": start, "end": end, "length": 1e3 * reading}


SLANTS = [cross_tape("AB 1000", "CD 500"), cross_tape("AB 3000", "CD 3500")]
BRACES = [cross_tape("AB 3000", "DA 2500"), cross_tape("AB 1000", "BC 4000")]
"""Corners braced as with a 3-4-5: they hold the angles at A and B."""


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(*[st.floats(min_value=2.0, max_value=12.0)] * 2),
    st.lists(st.floats(min_value=-0.6, max_value=0.6), min_size=5, max_size=5),
)
def test_exact_tapes_give_back_the_corners(size: tuple[float, float], moved: list[float]) -> None:
    width, depth = size
    corners = np.array([[0, 0], [width, 0], [width, depth], [0, depth]])
    corners[1, 0] += moved[0]
    corners[2] += moved[1:3]
    corners[3] += moved[3:5]
    assume(np.all(np.degrees(corner_angles(corners)) < 170))
    assume(np.all(np.degrees(corner_angles(corners)) > 35))
    solved = solve_room(taped(corners))
    np.testing.assert_allclose(solved.corners[:, :2], corners, atol=1e-6)
    assert solved.misclosure < 1e-6
    assert sum(solved.angles) == pytest.approx(2 * np.pi)


def test_residuals_against_general_least_squares() -> None:
    """The same adjustment by scipy's least squares, modelled apart."""
    from scipy.optimize import least_squares

    room = taped(SKEW, AC=7890, BD=7845, CD=4266)
    given = [room.AB, room.BC, room.CD, room.DA, room.AC, room.BD]

    def misses(x: Any) -> Any:
        A, B, C, D = np.zeros(2), np.array([x[0], 0]), x[1:3], x[3:5]
        pairs = ((A, B), (B, C), (C, D), (D, A), (A, C), (B, D))
        return [float(np.linalg.norm(p - q)) - g for (p, q), g in zip(pairs, given, strict=True)]

    best = least_squares(misses, [4.3, 4.3, 6.6, 0.0, 6.6], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    solved = solve_room(room)
    ours = solved.corners[[1, 2, 2, 3, 3], [0, 0, 1, 0, 1]]
    np.testing.assert_allclose(ours, best.x, atol=1e-7)
    np.testing.assert_allclose([-m.misclosure for m in solved.measures], best.fun, atol=1e-8)


def test_the_closing_value_of_each_measure_closes_the_room() -> None:
    room = taped(SKEW, AC=7890)
    for measure in solve_room(room).measures:
        assert measure.closing is not None
        mended = room.model_copy(update={measure.name: measure.closing})
        assert solve_room(mended).misclosure < 1e-6
        assert measure.given == pytest.approx(measure.fitted + measure.misclosure)


def test_a_rectangle_spreads_half_of_the_diagonals_closure() -> None:
    """Derived: the self-stress of a rectangle with diagonals goes as the lengths, so the residual
    of a diagonal is a quarter of its closure."""
    corners = np.array([[0, 0], [4, 0], [4, 3], [0, 3]])
    solved = solve_room(taped(corners, AC=5004))
    diagonal = {m.name: m for m in solved.measures}["AC"]
    assert solved.misclosure == pytest.approx(0.004, abs=1e-5)
    assert diagonal.misclosure == pytest.approx(0.001, abs=1e-5)


def test_closure_is_warned_of_and_then_refused() -> None:
    assert solve_room(taped(SKEW, AC=7881.6 + 9)).checks[0].verdict is Verdict.HOLDS
    warned = solve_room(taped(SKEW, AC=7881.6 + 20))
    assert warned.checks[0].verdict is Verdict.FAILS
    assert warned.misclosure == pytest.approx(0.020, abs=2e-4)
    assert "again" in str(warned.notes[0])
    with pytest.raises(TimbrelError, match="does not close"):
        solve_room(taped(SKEW, AC=7881.6 + 26))


def refusal(room: StatedRoom, unit: Any = "mm") -> tuple[TimbrelError, dict[str, str]]:
    """The refusal of a room, and its closing sentences by measure."""
    with pytest.raises(TimbrelError) as raised:
        solve_room(room, unit)
    told = [str(line).replace(THIN_SPACE, " ") for line in raised.value.more]
    return raised.value, {line.split(" would close")[0]: line for line in told}


@pytest.mark.parametrize(
    ("name", "wrong", "mark"),
    [
        ("BD", 7815, "two digits exchanged, 7 851 mm?"),
        ("AC", 7981, "a slip of 100 mm?"),
        ("BC", 5604, "a slip of 1 000 mm?"),
        ("AB", 3420, "two digits exchanged, 4 320 mm?"),
        ("AC", 17882, "a slip of 10 000 mm?"),
    ],
)
def test_likely_slips_are_marked(name: str, wrong: float, mark: str) -> None:
    error, told = refusal(taped(SKEW, **{name: wrong}))
    assert mark in told[name]
    assert "take one more" in str(error.more[0])


def test_a_slip_in_feet() -> None:
    wrong = (7.8816 + 0.3048) * 1e3
    _, told = refusal(taped(SKEW, AC=wrong), "ft")
    assert "a slip of 305 mm?" in told["AC"]
    assert slip_between(1.000, 1.0254, "ft") is not None
    assert slip_between(1.000, 1.0254, "mm") is None
    assert slip_between(1.000, 1.003) is None


@pytest.mark.parametrize(
    ("given", "closing", "mistake"),
    [
        # 6706 noted for 6606: a slip of 100 mm, though 6607 has the same digits, nearer to 6609.
        (6.706, 6.609, "slip of 100 mm"),
        (7.848, 7.882, f"7{THIN_SPACE}884 mm"),  # neighbours exchanged
        (4.321, 1.324, f"1{THIN_SPACE}324 mm"),  # far apart, and nothing else explains it
    ],
)
def test_the_likelier_mistake_is_named(given: float, closing: float, mistake: str) -> None:
    assert mistake in str(slip_between(given, closing))


@pytest.mark.parametrize("name", ["AC", "BD"])
@pytest.mark.parametrize("off", [0.06, -0.25, 1.0])
def test_a_further_measure_finds_a_wrong_diagonal(name: str, off: float) -> None:
    right = getattr(taped(SKEW), name)
    error, _ = refusal(taped(SKEW, **{name: 1e3 * (right + off)}, further=[*BRACES, *SLANTS]))
    assert error.key == f"room.{name}"
    assert f"the fault is in {name}" in str(error)


def test_measures_that_cannot_be_told_apart_are_all_named() -> None:
    error, _ = refusal(taped(SKEW, BC=6504, further=[cross_tape("AB 1000", "CD 1000")]))
    assert "one of these: BC, DA" in str(error.more[0])
    right = taped(SKEW).BD
    error, _ = refusal(taped(SKEW, BD=1e3 * (right + 0.06), further=SLANTS))
    assert "one of these: AB, CD, BD" in str(error.more[0])


def test_two_mistakes_are_not_blamed_on_one() -> None:
    error, _ = refusal(taped(SKEW, AB=4420, AC=7982, further=BRACES))
    assert "More than one" in str(error.more[0])


def test_a_wrong_further_measure_is_found_too() -> None:
    further = [cross_tape("AB 3000", "DA 2500", off=0.08), BRACES[1]]
    error, _ = refusal(taped(SKEW, further=further))
    assert "the fault is in AB 3000" in str(error)


def test_swapped_diagonals_close_and_are_told_by_their_angles() -> None:
    room = taped(SKEW)
    swapped = room.model_copy(update={"AC": room.BD, "BD": room.AC})
    right, wrong = solve_room(room), solve_room(swapped)
    assert wrong.misclosure < room.warn
    assert right.swapped_angles is not None
    np.testing.assert_allclose(right.swapped_angles, wrong.angles, atol=1e-9)
    assert any("exchanged" in str(note) for note in right.notes)


def test_a_true_rectangle_has_no_swapped_double() -> None:
    square = solve_room(taped([[0, 0], [4, 0], [4, 6], [0, 6]]))
    assert square.swapped_angles is None and square.notes == ()
    np.testing.assert_allclose(np.degrees(square.angles), 90)


def test_a_corner_that_points_inwards_is_refused() -> None:
    with pytest.raises(TimbrelError, match="corner C would point into the room"):
        solve_room(taped([[0, 0], [4, 0], [1.5, 1.5], [0, 4]]))


def test_a_needle_of_a_room_is_refused() -> None:
    with pytest.raises(TimbrelError, match=r"accepted: 30\.0° or more"):
        solve_room(taped([[0, 0], [4, 0], [8, 1.5], [4, 1.6]]))


def test_levels_become_heights() -> None:
    levels = {"A": 1400, "B": 1404, "C": 1402, "D": 1398}
    solved = solve_room(taped(SKEW, levels=levels))
    np.testing.assert_allclose(solved.corners[:, 2], [1.4, 1.404, 1.402, 1.398])


def test_wall_offsets_draw_the_wall_and_judge_its_bulge() -> None:
    walls = [
        {"side": "BC", "step": 1000, "offsets": [0, 10, 25, 10, 0]},
        {"side": "DA", "step": 1000, "offsets": [0, -5, -12]},
    ]
    solved = solve_room(taped(SKEW, wall_offsets=walls))
    right, left = solved.walls
    assert (right.bulge, right.hollow) == (0.025, 0.0)
    assert (left.bulge, left.hollow) == (0.0, 0.012)
    # Into the room is to the left of BC as one walks from B to C.
    assert right.line[2][0] < 4.32 - 0.02
    assert left.line[2][0] < 0.041
    np.testing.assert_allclose(right.line[[0, -1]], solved.corners[[1, 2], :2], atol=1e-9)
    verdicts = {c.name: c.verdict for c in solved.checks}
    assert verdicts["room.wall.BC"] is Verdict.FAILS
    assert verdicts["room.wall.DA"] is Verdict.HOLDS


def test_a_tape_to_spare_checks_itself_only_where_it_is_controlled() -> None:
    figure = fit(tapes_of(taped(SKEW)))
    assert figure is not None
    assert float(np.sum(figure.redundancy)) == pytest.approx(1.0)
