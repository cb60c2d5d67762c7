"""A square pier under a vault's corner: where the resultant stands at its foot.

The pier is a block without tension. About both of its middle lines the resultant at the base must
stay inside the kern, |ex| + |ey| <= side/6, for the base to stay shut, and inside the base for the
pier to stand. The push comes along a diagonal, so both directions count at once (derived; the kern of
a rectangle, any text on strength of materials).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Factors, Wall
from timbrel.statics.floor import GRAVITY
from timbrel.statics.walls import LoadCase
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

Array = NDArray[np.float64]
SOURCE = "equilibrium of a block without tension, derived"


@dataclass(frozen=True)
class PierState:
    """A pier under one thrust. force: (3,) N that the vault puts on it. weight: its own, N, and over:
    of what stands over the springing. offset:
    (2,) of the resultant at the base from its middle, m. side, height: m. friction: of its beds."""

    corner: str
    case: LoadCase
    force: Array
    weight: float
    over: float
    offset: Array
    side: float
    height: float
    friction: float

    @property
    def level(self) -> float:
        """Push of the vault, N."""
        return float(np.hypot(self.force[0], self.force[1]))

    @property
    def middle_third(self) -> float:
        """Share of the kern that is used: over 1 the base opens."""
        return float(np.abs(self.offset).sum() * 6 / self.side)

    @property
    def edge(self) -> float:
        """Share of the base that is used: 1 when the resultant stands at its edge."""
        return float(np.abs(self.offset).max() * 2 / self.side)

    @property
    def overturning(self) -> float:
        """Factor on the level push at which the resultant reaches the edge of the base."""
        down = self.weight - float(self.force[2])
        push = np.abs(self.force[:2]).max() * self.height
        return float(down * self.side / 2 / push) if push > 0 else np.inf

    @property
    def sliding(self) -> float:
        """Friction of the bed under the springing, where least weight lies on it, over the push."""
        down = self.over - float(self.force[2])
        return self.friction * down / self.level if self.level > 0 else np.inf


def pier_state(wall: Wall, corner: str, case: LoadCase, force: Array) -> PierState:
    """A pier of known side and height; the vault's force acts over its middle."""
    assert wall.pier is not None and wall.height is not None
    unit = wall.density * GRAVITY * wall.pier**2
    weight, over = unit * (wall.height + wall.above), unit * wall.above
    offset = force[:2] * wall.height / (weight - force[2])
    return PierState(
        corner, case, force, weight, over, offset, wall.pier, wall.height, wall.friction
    )


def pier_checks(
    wall: Wall, corner: str, side: str, states: tuple[PierState, ...], factors: Factors
) -> tuple[Check, ...]:
    """Verdicts on one pier, each under the thrust that governs it."""
    rows: tuple[tuple[str, Message, float, bool], ...] = (
        ("middle_third", say("Pier {corner}: share of the kern used at the base", corner=corner),
         1.0, False),
        ("edge", say("Pier {corner}: share of the base used", corner=corner), 1.0, False),
        ("sliding", say("Pier {corner}: factor against sliding at its head", corner=corner),
         factors.sliding_least, True),
        ("overturning", say("Pier {corner}: factor against overturning", corner=corner),
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
                reason=_why(worst) if worst else reason or say("It is not known."),
                source=SOURCE,
            )
        )
    return tuple(found)


def _worst(states: tuple[PierState, ...], name: str, at_least: bool) -> PierState:
    def value(state: PierState) -> float:
        return float(getattr(state, name))

    return min(states, key=value) if at_least else max(states, key=value)


def _why(state: PierState) -> Message:
    bound = say("least") if state.case.bound == "least" else say("greatest")
    return say(
        "Under the {bound} thrust, {push:force} with {down:force} down ({load}).",
        bound=bound,
        push=state.level,
        down=-float(state.force[2]),
        load=state.case.title,
    )
