"""What a support of a net takes in one state."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from timbrel.statics.strip import Array
from timbrel.statics.walls import LoadCase, SpringingForce


@dataclass(frozen=True)
class SupportPush:
    """What a support takes in one state. total: (3,) N. force: a metre of wall, None for a pier.
    Of a pier, over: height of the push over the springing, m; couple: (2,) N m of all level forces
    about the springing; tied: N that ties take of it (all of the push is in total where none do)."""

    support: str
    kind: str
    case: LoadCase
    total: Array
    force: SpringingForce | None
    over: float = 0.0
    couple: Array = field(default_factory=lambda: np.zeros(2))
    tied: float = 0.0
