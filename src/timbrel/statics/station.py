"""A strip of the vault at one place, proved."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.statics.actions import StripActions
from timbrel.statics.strip_answer import StripAnswer
from timbrel.statics.walls import SpringingCase, ThrustCase, WallState
from timbrel.words import Message


@dataclass(frozen=True)
class Station:
    """One strip of the vault, with what acts on it and what it answers.

    name: ``near``, ``far`` or ``worst``. cases: least and greatest thrust under the dead load and
    under each arrangement of the imposed load. forces: what they put on a metre of each wall.
    walls: states of the walls under them.
    """

    name: str
    title: Message
    v: float
    actions: StripActions
    answer: StripAnswer
    cases: tuple[ThrustCase, ...]
    forces: tuple[SpringingCase, ...]
    walls: tuple[WallState, ...]
