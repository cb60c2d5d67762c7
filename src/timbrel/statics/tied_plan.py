"""The ties of a vault on a plan as they are told: straight ones, a ring, the walls between them."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Job, Wall
from timbrel.statics.combinations import Situation
from timbrel.statics.level_arch import LevelArch
from timbrel.statics.support_push import SupportPush
from timbrel.statics.ties import TieAnswer
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.walls import Bound
from timbrel.words import Message


@dataclass(frozen=True)
class PushRow:
    """What one combination puts on every support. key, situation, bound: its own."""

    key: str
    situation: Situation
    bound: Bound
    pushes: tuple[SupportPush, ...]

    def of(self, name: str) -> SupportPush:
        return next(p for p in self.pushes if p.support == name)


@dataclass(frozen=True)
class NetTie:
    """A tie on a side, or one of those across. name: AB, BC, CD, DA; x or y across. strength: design,
    of the weaker masonry behind its plates, N/m2, None where it is not stated. combination: that
    governs it. answer: the tie under it."""

    name: str
    strength: float | None
    combination: str
    answer: TieAnswer


@dataclass(frozen=True)
class NetRing:
    """The ring round a dome. force, service: design and characteristic tension, N. resistance: N.
    radius: m. pressing: of the ring on the masonry behind its thinner side, N/m2. grown: of its
    radius by load and warmth, m. mass: kg."""

    combination: str
    force: float
    service: float
    resistance: float
    radius: float
    pressing: float
    grown: float
    mass: float


@dataclass(frozen=True)
class NetTies:
    """All ties of a vault. layout: across or round. section: bar or flat as it is ordered. stay: until
    when. warmer: warmth reckoned with, K. ties: straight ones. ring: of a dome. arches: side
    of the wall and its level arch under the greatest push. lacking: key of what the job does not
    state and an arch needs, empty otherwise. helps: do walls and piers lean on the ties. across,
    apart: between the springings (m) and how far they move apart, along x and y. rise: of the crown
    over the springings, m. halves: length over which two rigid halves turn, and by how much it grows:
    the diagonal where a vault comes down on corners or bends both ways, a span of a cloister, twice
    the way from ring to rim of a dome. drop: of the crown, m. alone: least multiple of its push that
    a support bears when the ties are lost, None where that is not known.
    """

    layout: str
    section: Message
    stay: str
    warmer: float
    ties: tuple[NetTie, ...]
    ring: NetRing | None
    arches: tuple[tuple[str, LevelArch], ...]
    lacking: str
    helps: bool
    across: tuple[float, float]
    apart: tuple[float, float]
    rise: float
    halves: tuple[float, float]
    drop: float
    alone: float | None = None


def weaker_strength(job: Job, walls: tuple[Wall, Wall]) -> float | None:
    """Design strength of the weaker masonry at the two ends of a tie, N/m2; None where that of one
    is not stated."""
    found = [wall_strength(w.masonry, job.loads.national) for w in walls]
    known = [s.design for s in found if s is not None]
    return min(known) if len(known) == len(found) else None
