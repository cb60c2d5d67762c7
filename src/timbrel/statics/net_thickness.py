"""The geometric factor of a surface: how much of its thickness it could lose.

The shell is thinned about its middle; loads and supports stay. A share of the thickness will do when
a net drawn into what is left carries the dead load; the least such share is closed in on by halving.
Every share that is told had a net, so the factor is never on the unsafe side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from timbrel.statics.net import Net, NetQuestion
from timbrel.statics.net_loads import NetLoad

STANDS = 1 - 1e-6
CLOSE = 0.02  # relative width at which the halving stops
LEAST = 0.02


@dataclass(frozen=True)
class NetThickness:
    """share: least share found to stand. fails: greatest share found not to (0 when none failed)."""

    share: float
    fails: float

    @property
    def factor(self) -> float:
        return 1 / self.share


def least_share(draw: Callable[[float], tuple[Net, NetLoad]]) -> NetThickness | None:
    """Close in on the least share; None when the whole thickness does not stand.

    draw: the net of a share of the thickness, and the dead load on its nodes.
    """

    def stands(share: float) -> bool:
        net, dead = draw(share)
        return NetQuestion(net, dead).share_of_dead() >= STANDS

    if not stands(1.0):
        return None
    low, high = 0.0, 1.0
    while high - low > CLOSE * high and high > LEAST:
        middle = max((low + high) / 2, high / 2)
        if stands(middle):
            high = middle
        else:
            low = middle
    return NetThickness(high, low)
