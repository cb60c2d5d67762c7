"""Thrust against eccentricity at the foot of every support of a vault on a plan.

Across: the normal force at the foot. Up: how far the resultant lies from the middle of the bed. Each
dot is one combination for strength under its least or greatest thrust; between the curves the bed
bears.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from timbrel.sheets.board import Board, Picture, moved
from timbrel.sheets.support_names import support_name
from timbrel.sheets.ticks import round_marks
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.statics.net_bases import SupportFoot

Floats = NDArray[np.float64]
SIZE_MM = (120.0, 70.0)
STEPS = 61


def foot_pictures(
    plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """One picture for every wall, ring or pier whose data are known."""
    carried = plan.statics.carried
    if carried is None:
        return ()
    wide = min(room_mm[0] - 40.0, SIZE_MM[0]) * 1e-3
    return tuple(
        _foot(foot, voice, wide, SIZE_MM[1] * 1e-3) for foot in carried.feet if foot.states
    )


def _foot(foot: SupportFoot, voice: Voice, wide: float, tall: float) -> Picture:
    title = say("{support}: thrust against eccentricity", support=support_name(foot.support))
    board = Board(f"foot-{foot.support}", title, voice, 1)
    top = max(s.normal for s in foot.states) * 1.3
    high = foot.thickness / 2
    unit = "force" if foot.support in "ABCD" else "line_load"

    def at(normal: ArrayLike, away: ArrayLike) -> Floats:
        x, y = np.broadcast_arrays(np.asarray(normal, float), np.asarray(away, float))
        return np.stack([x / top * wide, y / high * tall / 2], -1)

    normal = np.linspace(0.0, top, STEPS)
    limit = np.maximum(foot.limit(normal), 0.0)
    ring = np.concatenate([at(normal, limit), at(normal, -limit)[::-1]])
    board.line(ring, "EXTRADOS", closed=True)
    board.hatch([ring], "HALF HATCH", gap_mm=2.5)
    third = foot.thickness / 6
    board.lines([(at(0.0, s * third), at(top, s * third)) for s in (1, -1)], "AXIS")
    board.arrow(at(top * 1.05, 0.0), at(0.0, 0.0), "DIMENSION")
    board.arrow(at(0.0, high * 1.1), at(0.0, -high * 1.1), "DIMENSION")
    for state in foot.states:
        if state.away is None:
            continue
        greatest = state.bound == "greatest"
        layer = "THRUST GREATEST" if greatest else "THRUST LEAST"
        board.dot(at(state.normal, state.away), layer, 1.4, filled=greatest)
    for mark in round_marks(top):
        spot = at(mark, -high)
        board.lines([(spot, spot - [0.0, 1.2e-3])], "DIMENSION")
        board.text(moved(spot, 0.0, -3.5e-3), voice.quantity(float(mark), unit))
    for share in (-1.0, -1 / 3, 1 / 3, 1.0):
        board.text(
            moved(at(0.0, high * share), -1.5e-3, 0.0), voice.length(high * share), anchor="right"
        )
    fallen = sum(s.away is None for s in foot.states)
    note = say(
        "Hatched: the bed bears; chain lines: middle third. Open: least, filled: greatest thrust."
    )
    notes = [note]
    if fallen:
        notes.append(
            say("{count:count} combinations leave the bed and are not drawn.", count=fallen)
        )
    return board.finish(margin_mm=1.0, notes=tuple(notes), diagram=True)
