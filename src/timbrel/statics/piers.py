"""A pier under a vault's corner without factors: where the resultant stands, bed by bed.

The vault comes down at the corner of the room and the middle of the pier stands out from it (half of
its side where the job does not say), so its weight leans the pier into the room as its push leans it
out. The pier is without tension. The resultant of every bed must stay inside the kern for the bed to
stay shut, on a square |ex| + |ey| <= side/6 (strength of materials), and inside the bed for the pier
to stand. The push comes along a diagonal, so both directions count at once. The factor against
overturning is that of the cracked pier (:mod:`timbrel.statics.cracked_pier`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Factors, Wall
from timbrel.statics.cracked_pier import (
    PierLoads,
    descend_pier,
    pier_factor,
    rigid_factor,
)
from timbrel.statics.floor import GRAVITY
from timbrel.statics.pier_shape import OUTWARD, PierShape, pier_shape
from timbrel.statics.sway import swaying_head
from timbrel.statics.walls import LoadCase
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

Array = NDArray[np.float64]
SOURCE = "equilibrium of a pier without tension, derived"


@dataclass(frozen=True)
class PierState:
    """A pier under one thrust. force: (3,) N that the vault puts on it. weight: of the pier and of
    what stands over the springing, N; over: the latter alone. offset: (2,) of the resultant at the
    base from the middle of the shaft, m. side, height: m. friction: of its beds. middle_third:
    greatest share of the kern that is used: over 1 a bed opens. opens: depth under the springing
    where it first does, None where none opens. edge: greatest share of a bed that is used: 1 when
    the resultant stands at its edge. overturning: factor on the push of the cracked pier; rigid: of
    a block, to compare."""

    corner: str
    case: LoadCase
    force: Array
    weight: float
    over: float
    offset: Array
    side: float
    height: float
    friction: float
    middle_third: float
    opens: float | None
    edge: float
    overturning: float
    rigid: float

    @property
    def level(self) -> float:
        """Push of the vault, N."""
        return float(np.hypot(self.force[0], self.force[1]))

    @property
    def sliding(self) -> float:
        """Friction of the bed under the springing, where least weight lies on it, over the push."""
        down = self.over - float(self.force[2])
        return self.friction * down / self.level if self.level > 0 else np.inf


def middle_of_pier(wall: Wall, corner: str) -> Array:
    """(2,) middle of a pier from the corner of the room that it stands under, m: as the job states it,
    or so that its inner edge stands in the corner."""
    assert wall.pier is not None
    out = wall.pier / 2 if wall.pier_out is None else wall.pier_out
    return out * np.array(OUTWARD[corner])


def outer_face(wall: Wall) -> float | None:
    """How far the outer face of a pier stands out of the room, m; None where there is no pier."""
    if wall.pier is None:
        return None
    return wall.pier / 2 + abs(float(middle_of_pier(wall, "A")[0]))


def pier_loads(
    wall: Wall,
    corner: str,
    force: Array,
    couple: Array | None = None,
    dead: float = 1.0,
    sway: Array | None = None,
) -> PierLoads:
    """Loads on the head of a pier. force: (3,) N of the vault, in the plumb line of the corner. couple:
    (2,) N m of the push. dead: factor on the pier and on what stands over the springing. sway: (2,)
    their level push as a share of their weight.

    What stands over the springing is the shaft going up, but for what would stand in the room, and
    the load from above on its own length of wall, off the middle as the job says.
    """
    assert wall.pier is not None
    middle, outward = middle_of_pier(wall, corner), np.array(OUTWARD[corner])
    room = wall.pier / 2 - abs(float(middle[0]))
    weight = wall.density * GRAVITY * wall.above
    shaft, gone = weight * wall.pier**2, weight * room**2
    load = wall.load_above * wall.pier
    held = gone * (wall.pier - room) / 2 * outward
    held[0] += load * wall.load_offset * outward[0]
    borne = -float(force[2])
    swaying, over = swaying_head(wall, shaft - gone, load)
    return PierLoads(
        dead * (shaft - gone + load) + borne,
        np.asarray(force[:2], float),
        np.zeros(2) if couple is None else np.asarray(couple, float),
        dead * held,
        dead,
        borne,
        -borne * middle,
        np.zeros(2) if sway is None else sway,
        swaying,
        over,
    )


def pier_state(
    wall: Wall,
    corner: str,
    case: LoadCase,
    force: Array,
    couple: Array | None = None,
    *,
    beside: Wall | None = None,
    enough: float = np.inf,
) -> PierState:
    """A pier of known side and height under a vault's corner.

    beside: the near or far wall, whose buttress leans on the pier too. enough: a factor against
    overturning past which it need not be told any nearer.
    """
    shape = pier_shape(wall, corner, beside)
    loads = pier_loads(wall, corner, force, couple)
    down = descend_pier(shape, loads)
    kern, edge = _uses(shape, down.at)
    opens = np.flatnonzero(~(kern <= 1))
    own = float(shape.own[-1, 0])
    over = loads.down + float(force[2])
    return PierState(
        corner,
        case,
        np.asarray(force),
        own + over,
        over,
        down.at[-1],
        shape.side,
        shape.height,
        wall.friction,
        _most(kern),
        float(down.depth[opens[0]]) if len(opens) else None,
        _most(edge),
        pier_factor(shape, loads, enough),
        rigid_factor(shape, loads),
    )


def _uses(shape: PierShape, at: Array) -> tuple[Array, Array]:
    """(m,) share of the kern and of the bed used at every bed."""
    pairs = list(zip(shape.beds, at, strict=True))
    return (
        np.array([float(bed.kern_use(place)) for bed, place in pairs]),
        np.array([float(bed.edge_use(place)) for bed, place in pairs]),
    )


def _most(use: Array) -> float:
    """The greatest share; a pier that has fallen uses up all."""
    return float(use.max()) if np.isfinite(use).all() else np.inf


def pier_checks(
    wall: Wall, corner: str, side: str, states: tuple[PierState, ...], factors: Factors
) -> tuple[Check, ...]:
    """Verdicts on one pier, each under the thrust that governs it."""
    rows: tuple[tuple[str, Message, float, bool], ...] = (
        ("middle_third",
         say("Pier {corner}: resultant within the kern of every bed, share used", corner=corner),
         1.0, False),
        ("edge", say("Pier {corner}: resultant within every bed, share used", corner=corner),
         1.0, False),
        ("sliding", say("Pier {corner}: factor against sliding at its head", corner=corner),
         factors.sliding_least, True),
        ("overturning", say("Pier {corner}: factor against overturning, cracked", corner=corner),
         factors.overturning_least, True),
    )  # fmt: skip
    missing = [name for name in ("pier", "height") if getattr(wall, name) is None]
    reason = None
    if missing:
        keys = ", ".join(f"walls.{side}.{name}" for name in missing)
        reason = say("The job does not state {keys}.", keys=keys)
    elif not states:
        reason = say("The vault has no state of compression, so its thrust is not known.")
    found = []
    for name, title, limit, at_least in rows:
        worst = _worst(states, name, at_least) if reason is None else None
        found.append(
            judge(
                f"piers.{corner}.{name}",
                title,
                float(getattr(worst, name)) if worst else None,
                limit,
                kind="ratio",
                at_least=at_least,
                reason=_why(name, worst) if worst else reason or say("It is not known."),
                source=SOURCE,
            )
        )
    return tuple(found)


def _worst(states: tuple[PierState, ...], name: str, at_least: bool) -> PierState:
    def value(state: PierState) -> float:
        return float(getattr(state, name))

    return min(states, key=value) if at_least else max(states, key=value)


def _why(name: str, state: PierState) -> Message:
    values = {
        "bound": say("least") if state.case.bound == "least" else say("greatest"),
        "push": state.level,
        "down": -float(state.force[2]),
        "load": state.case.title,
    }
    if name == "overturning":
        return say(
            "Under the {bound} thrust, {push:force} with {down:force} down ({load}); a block that "
            "could not crack would have {rigid:ratio}.",
            rigid=state.rigid,
            **values,
        )
    if name == "middle_third" and state.opens is not None:
        return say(
            "Under the {bound} thrust, {push:force} with {down:force} down ({load}), beds open from "
            "{depth:length} under the springing.",
            depth=state.opens,
            **values,
        )
    return say(
        "Under the {bound} thrust, {push:force} with {down:force} down ({load}).",
        **values,
    )
