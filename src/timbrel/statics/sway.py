"""What a level acceleration makes of a support's own weight.

Every slice of masonry pushes level with the stated share of its weight, at its own height; so does what
stands over the springing, at the middle of its height, and what the job says of the load from above
(`load_above_level`, all of it if left out), at the head of the wall. The share is even over the height:
what a building adds by swinging is for the code of the place. The direction is that of the combination,
the same for the vault and for all of its supports.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Wall
from timbrel.statics.strip import Array

WAYS = {
    "right": (1.0, 0.0),
    "left": (-1.0, 0.0),
    "far": (0.0, 1.0),
    "near": (0.0, -1.0),
}
ACCIDENTAL = "accidental.level."
MOST = 100.0  # multiple beyond which the acceleration is called unlimited
LADDER = 48
ROUNDS = 3


def way_of(key: str) -> Array:
    """(2,) direction in plan of the level acceleration that leads a combination; nothing where none
    does."""
    if not key.startswith(ACCIDENTAL):
        return np.zeros(2)
    return np.array(WAYS[key.removeprefix(ACCIDENTAL).split("+", maxsplit=1)[0]])


def swaying_head(wall: Wall, own: float, load: float) -> tuple[float, float]:
    """What pushes level over the springing, N for each unit of share, and its height, m. own: weight
    of the masonry there, load: from above, N."""
    pushes = wall.load_above_level * load
    total = own + pushes
    return total, (own * wall.above / 2 + pushes * wall.above) / total if total > 0 else 0.0


def multiple_borne(fallen: Callable[[Array], NDArray[np.bool_]]) -> float:
    """Greatest multiple of an acceleration under which a support stands, looked for up to MOST; from
    there on infinite. fallen: does it fall at each of some multiples. Under the acceleration itself it
    is asked first: what it bears lies over 1 where it stands, under 1 where it does not."""
    stands = not bool(fallen(np.ones(1))[0])
    ladder = np.geomspace(1.0, MOST, LADDER) if stands else np.linspace(0.0, 1.0, LADDER)
    for _ in range(ROUNDS):
        falls = fallen(ladder)
        if not falls.any():
            return np.inf
        first = int(np.argmax(falls))
        if first == 0:
            return float(ladder[0]) if stands else 0.0
        ladder = np.linspace(ladder[first - 1], ladder[first], LADDER)
    return float(ladder[0])
