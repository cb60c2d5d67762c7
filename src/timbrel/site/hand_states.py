"""What a pencil finds of one load on a vault on a plan, and the net's thrust beside it."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.words import Message


@dataclass(frozen=True)
class HandPart:
    """A wall, a ring, or half of a groin.

    name: of it. length: of springing, m. reach: level, from the springing to the middle, m. rise:
    of the middle line, m; most, least: the highest and the flattest that a line may rise, m (least
    None where it does not count). slope: of the shell at the springing, rad. weight: that comes
    down on it, N. moment: of that about the springing, N m. low: thrust that the pieces ask for;
    way: of the pencil's way to carry; high: of the flattest line, None where nothing bounds it, N.
    """

    name: str
    length: float
    reach: float
    rise: float
    most: float
    least: float | None
    slope: float
    weight: float
    moment: float
    low: float
    way: float
    high: float | None


@dataclass(frozen=True)
class PlanHandCase:
    """One load on the supports that are compared. load: its key. even: weight over the plan, N/m2.
    spread: moment over that of an even load: under 1 the load stands nearer to its support. least,
    greatest: thrust of the net on the same supports, N; greatest None where it was not asked."""

    load: str
    title: Message
    where: Message
    even: float
    spread: float
    parts: tuple[HandPart, ...]
    least: float
    greatest: float | None

    @property
    def low(self) -> float:
        """Least that the pieces ask for."""
        return sum(part.low for part in self.parts)

    @property
    def way(self) -> float:
        """Thrust of the pencil's way to carry."""
        return sum(part.way for part in self.parts)

    @property
    def high(self) -> float | None:
        """Greatest by hand, where it is bounded."""
        found = [part.high for part in self.parts if part.high is not None]
        return sum(found) if found else None

    @property
    def apart(self) -> float:
        """Share by which the net leaves what the hand allows."""
        under = (self.low - self.least) / self.low if self.low > 0 else 0.0
        over = (self.least - self.way) / self.way
        beyond = 0.0
        if self.high is not None and self.greatest is not None:
            beyond = (self.greatest - self.high) / self.high
        return max(under, over, beyond, 0.0)
