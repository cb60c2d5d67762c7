"""What the shell does when its springings give: three hinges and the drop of the crown.

When the supports spread, the arch comes to its least thrust and opens at three hinges (Heyman 1995,
The Stone Skeleton): two at the springings or haunches, one near the crown. The two halves then turn
as rigid bodies; where the crown hinge goes is exact geometry, not a small-movement rule.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.words import TimbrelError, say


@dataclass(frozen=True)
class Settling:
    """The movement to compare with what is measured.

    spread, settlement: of the right springing against the left (m); drop: of the crown hinge (m);
    shift: its way sideways, positive to the right (m).
    """

    spread: float
    settlement: float
    drop: float
    shift: float


def crown_after(
    left: NDArray[np.float64],
    crown: NDArray[np.float64],
    right: NDArray[np.float64],
    spread: float,
    settlement: float = 0.0,
) -> Settling:
    """Where the crown hinge comes to when the right hinge moves out and down.

    left, crown, right: (2,) hinges (x, z) in m. Raises TimbrelError when the two halves no longer
    reach each other: the arch has fallen.
    """
    first, second = math.dist(left, crown), math.dist(crown, right)
    foot = np.asarray(right) + np.array([spread, -settlement])
    apart = math.dist(left, foot)
    if apart >= first + second:
        raise TimbrelError(
            say(
                "A spread of {spread:length} lets the arch through: its halves reach "
                "{reach:length} and the springings would stand {apart:length} apart.",
                spread=spread,
                reach=first + second,
                apart=apart,
            ),
            key="building.spread",
        )
    along = (apart**2 + first**2 - second**2) / (2 * apart)
    up = math.sqrt(first**2 - along**2)
    axis = (foot - left) / apart
    now = np.asarray(left) + along * axis + up * np.array([-axis[1], axis[0]])
    return Settling(spread, settlement, float(crown[1] - now[1]), float(now[0] - crown[0]))
