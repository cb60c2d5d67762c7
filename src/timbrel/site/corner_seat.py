"""The seat of a corner: a groin or a sail on its piers, one plane square to the curve of the groin, or
of the sail over its diagonal.

Two seats, each square to its own wall arch, would meet in an arris right where the thrust comes
down, and each would have no width at the corner. So one plane is cut square to the groin's curve,
which takes the thrust of both webs together along the diagonal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.shape.plan import CORNERS
from timbrel.site.corner_pier import borne_share, pier_outline
from timbrel.site.corner_shape import (
    CornerShape,
    bed_section,
    corbel_section,
    corner_shape,
    pocket_volume,
)
from timbrel.site.corner_stated import kind_of, reach_of, refuse_depth_at
from timbrel.site.seat import BULKING
from timbrel.site.seat_shape import CORBEL_STEP, chase_section
from timbrel.statics.net_supports import wall_at
from timbrel.statics.support_push import SupportPush
from timbrel.words import Message, say

Floats = NDArray[np.float64]

TURNS = ("A", "C", "B", "D")
"""One corner at a time, and the one across the diagonal next (common practice, no source)."""


@dataclass(frozen=True)
class CornerThrust:
    """One state of the vault on a corner. load, bound: which. level, down: of the resultant, N. lean:
    of it to the level, rad. square, along: its parts square to the seat and in it, N. pressure:
    N/m2, of twice the mean over what of the seat lies on the pier: the resultant is taken at the edge
    of the middle third, as on the seat of a wall. slip: friction (tangent) that it asks of the seat."""

    load: Message
    bound: str
    level: float
    down: float
    lean: float
    square: float
    along: float
    pressure: float
    slip: float


@dataclass(frozen=True)
class CornerSeat:
    """The seat at one corner.

    turn: its place in the order of cutting. kind: "chase" (a pocket in the pier), "corbel", or "bed"
    (level, under a steep curve). slope: of the groin's curve at the springing to the level, rad.
    walls: of the two wall arches. angle: of the seat to the level. width: across the groin's
    line, m; thickness: of the shell on the seat, in the groin's plumb plane, m. reach: along both
    walls, within which the corner is built solid, m. front: levels over the springing of the intrados
    at that reach: on the first wall arch, the groin, the second wall arch, m. section: (n, 2) what is
    cut or corbelled, in the groin's plumb plane, x into the pier. depth, height, stands_out: as of a
    seat on a wall, along the groin's line, m. debris: loose, m3. thrusts: every state that was asked.
    turns: angles in plan from the groin's line to the two walls, rad. borne: share of the seat that
    lies on the pier; what hangs over its faces is not counted on. pier: (4, 2) the pier in plan, its
    inner edge first, x across the groin's line and y along it into the room, m; None where no pier is
    stated. notes: how to do it.
    """

    corner: str
    turn: int
    kind: str
    slope: float
    walls: tuple[float, float]
    turns: tuple[float, float]
    angle: float
    width: float
    thickness: float
    reach: float
    front: tuple[float, float, float]
    section: Floats
    depth: float
    height: float
    stands_out: float
    debris: float
    thrusts: tuple[CornerThrust, ...]
    borne: float
    pier: Floats | None
    notes: tuple[Message, ...]

    @property
    def worst(self) -> CornerThrust | None:
        """The state that presses the seat most."""
        return max(self.thrusts, key=lambda t: t.pressure, default=None)

    @property
    def slipping(self) -> CornerThrust | None:
        """The state that leans most off the square."""
        return max(self.thrusts, key=lambda t: t.slip, default=None)


def plan_corner_seats(
    job: Job, vault: Any, pushes: tuple[SupportPush, ...]
) -> tuple[CornerSeat, ...]:
    """The seats of a vault that stands on its corners, A to D.

    Raises TimbrelError when the job asks for a seat that a corner cannot have, or for a pocket that
    leaves no pier.
    """
    return tuple(_corner(job, vault, k, pushes) for k in range(4))


def _corner(job: Job, vault: Any, k: int, pushes: tuple[SupportPush, ...]) -> CornerSeat:
    name, stated = CORNERS[k], job.seat
    shape = corner_shape(vault, k)
    reach = reach_of(job, vault.thickness)
    half = shape.half_width(reach)
    kind = kind_of(job, shape)
    depth = height = out = debris = 0.0
    angle = 0.0 if kind == "bed" else math.pi / 2 - shape.slope
    if kind == "corbel":
        middle = half / math.tan(max(shape.turns))
        out = middle + shape.thickness * math.sin(shape.slope) / 2
        section = corbel_section(shape.slope, shape.thickness, out)
        height = float(np.ptp(section[:, 1]))
    else:
        if kind == "chase":
            section = chase_section(shape.slope, shape.thickness, stated.depth, stated.clearance)
        else:
            section = bed_section(shape.plumb, shape.level, stated.clearance)
        depth = float(section[:, 0].max())
        height = float(section[-1, 1] - section[0, 1])
        refuse_depth_at(job, name, depth)
        debris = BULKING * pocket_volume(section, half + stated.clearance, shape.turns)
    thickness = shape.level if kind == "bed" else shape.thickness
    outline = pier_outline(wall_at(job, name)[0], shape.turns)
    near, far = _lies(kind, section, depth, out)
    borne = borne_share(outline, half, near, far)
    bearing = 2 * half * thickness * borne
    thrusts = tuple(_thrust(push, shape, angle, bearing) for push in pushes if push.support == name)
    return CornerSeat(
        corner=name,
        turn=TURNS.index(name) + 1,
        kind=kind,
        slope=shape.slope,
        walls=shape.walls,
        turns=shape.turns,
        angle=angle,
        width=2 * half,
        thickness=thickness,
        reach=reach,
        front=_front(vault, k, shape, reach),
        section=section,
        depth=depth,
        height=height,
        stands_out=out,
        debris=debris,
        thrusts=thrusts,
        borne=borne,
        pier=outline,
        notes=_notes(kind, angle, reach, out, creased=vault.family == "groin"),
    )


def _lies(kind: str, section: Floats, depth: float, out: float) -> tuple[float, float]:
    """From where to where behind the corner the seat lies, in plan; a corbel is tailed into the pier by
    as much as it stands out (common practice, no source)."""
    if kind == "bed":
        return 0.0, depth
    if kind == "corbel":
        return 0.0, out
    return float(section[1, 0]), float(section[2, 0])


def _thrust(push: SupportPush, shape: CornerShape, angle: float, area: float) -> CornerThrust:
    """The resultant on the seat: of its level part, that along the groin's line presses square; what
    goes across it slides."""
    outward = -float(push.total[:2] @ shape.towards)
    across = float(push.total[:2] @ np.array([-shape.towards[1], shape.towards[0]]))
    down = -float(push.total[2])
    # The seat's normal leans by `angle` off the plumb, away from the room.
    square = outward * math.sin(angle) + down * math.cos(angle)
    in_line = outward * math.cos(angle) - down * math.sin(angle)
    along = math.hypot(in_line, across)
    level = float(np.hypot(*push.total[:2]))
    return CornerThrust(
        load=push.case.title,
        bound=push.case.bound,
        level=level,
        down=down,
        lean=math.atan2(down, level),
        square=square,
        along=along,
        pressure=2 * square / area if area > 0 else math.inf,
        slip=along / square if square > 0 else math.inf,
    )


def _front(vault: Any, k: int, shape: CornerShape, reach: float) -> tuple[float, float, float]:
    """Where the tiles of the webs begin: intrados on both wall arches at the reach, and on the
    groin where the front of the springer crosses it."""
    corners = np.asarray(vault.plan.corners)
    ways = [corners[(k + step) % 4, :2] - shape.at for step in (-1, 1)]
    first, second = (shape.at + reach * way / np.hypot(*way) for way in ways)
    inside = 1e-4 * shape.towards
    # The front runs straight from one wall arch to the other.
    share = abs(_cross(first - shape.at, shape.towards))
    share = share / (share + abs(_cross(second - shape.at, shape.towards)))
    on_groin = first + share * (second - first)
    points = np.array([first + inside, on_groin, second + inside])
    levels = np.asarray(vault.height(points[:, 0], points[:, 1], 0.0)) - float(corners[k, 2])
    return float(levels[0]), float(levels[1]), float(levels[2])


def _cross(a: Floats, b: Floats) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _notes(
    kind: str, angle: float, reach: float, out: float, *, creased: bool
) -> tuple[Message, ...]:
    order = say(
        "One corner at a time, A, then C across from it, then B and D: prop the corner and what "
        "stands over it first, and open the next when the springer in this one is packed and hard."
    )
    solid = say(
        "Build the springer solid in mortar, its tiles on bed and broken, out to {reach:length} from "
        "the corner along both walls; the webs and the groin begin square on its front. The proof "
        "takes the corner as solid within that reach.",
        reach=reach,
    )
    if not creased:
        solid = say(
            "Build the springer solid in mortar, its tiles on bed and broken, out to {reach:length} "
            "from the corner along both edge arches; the courses of the sail begin square on its "
            "front. The proof takes the corner as solid within that reach.",
            reach=reach,
        )
    how = {
        "chase": say(
            "One plane, square to the groin's curve, {angle:angle} to the level: hold the "
            "groin's template in the diagonal and the square against it. Cut back to sound "
            "masonry, brush, wet, pack all round.",
            angle=angle,
        )
        if creased
        else say(
            "One plane, square to the sail's curve over its diagonal, {angle:angle} to the level: hold "
            "the template of the diagonal in place and the square against it. Cut back to sound "
            "masonry, brush, wet, pack all round.",
            angle=angle,
        ),
        "bed": say(
            "The groin comes down steeply: cut a level bed into the pier and pack the springer "
            "hard against its back, which takes the push."
        )
        if creased
        else say(
            "The sail comes down steeply in its corners: cut a level bed into the pier and pack the "
            "springer hard against its back, which takes the push."
        ),
        "corbel": say(
            "Corbelled courses carry the seat, {angle:angle} to the level: each stands out by at "
            "most a third of its height, so {out:length} needs {height:length} of courses, tailed "
            "into the pier.",
            angle=angle,
            out=out,
            height=out / CORBEL_STEP,
        ),
    }[kind]
    return order, how, solid
