"""What backs the haunches of one section."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.statics.strip import Array, StripLoad


@dataclass(frozen=True)
class Backed:
    """The backing at one section. top: its level, m. beyond: (n + 1,) length of each joint past the
    extrados, m. crest: (n + 1, 2) where what lies over it is parted between the voussoirs. load:
    its weight."""

    top: float
    beyond: Array
    crest: Array
    load: StripLoad
