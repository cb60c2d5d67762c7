"""One way to help supports that do not do, what it costs, and the search for the least of its kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from timbrel.job.works import Prices
from timbrel.words import Message, say

STEP = 0.05  # sizes are rounded up to this, m
MORE = 0.10  # thickness added to a wall or a pier that does already, m
THICKEST, DEEPEST = 2.5, 3.0
LEAST_BUTTRESS = 0.30
TIE_SPACING = 1.5  # of ties across that are offered, m
RISES = (1.1, 1.25, 1.5, 1.75, 2.0)
LIGHT_FILL = 6e3


@dataclass(frozen=True)
class Alternative:
    """One way to help.

    key: stated, thicker, pier, buttress, tie, across, spacing, rise, fill or backing. size: of it (m;
    N/m3 for fill), None when no size would do. reserve: the least multiple of the design push that
    all supports bear, cracked (EQU); None where it is not known, infinite without a push. thrust:
    greatest characteristic thrust with it, N/m (N on piers). material: what is added. masonry: m3;
    steel: kg. cost: in the job's currency, None when its price is not stated.
    """

    key: str
    title: Message
    size: float | None
    reserve: float | None
    thrust: float | None
    material: Message
    masonry: float
    steel: float
    cost: float | None

    @property
    def serves(self) -> bool:
        return self.size is not None


def as_stated(reserve: float | None, thrust: float | None) -> Alternative:
    """The job as it is: nothing is added. reserve: None when a verdict on a support fails."""
    size = None if reserve is None else 0.0
    return Alternative(
        "stated", say("As stated"), size, reserve, thrust, say("nothing"), 0.0, 0.0, 0.0
    )


def not_offered(key: str, title: Message, why: Message) -> Alternative:
    """A way that this job has not."""
    return Alternative(key, title, None, None, None, why, 0.0, 0.0, None)


def priced(
    prices: Prices,
    key: str,
    title: Message,
    size: float | None,
    reserve: float | None,
    thrust: float | None,
    masonry: float = 0.0,
    steel: float = 0.0,
) -> Alternative:
    """A way with what it takes of masonry (m3) or steel (kg) at the job's prices."""
    material = say("will not do by itself") if size is None else say("nothing")
    price, amount = None, 0.0
    if masonry > 0:
        material = say("{volume:volume} of masonry", volume=masonry)
        price, amount = prices.masonry_m3, masonry
    elif steel > 0:
        material = say("{mass:mass} of steel", mass=steel)
        price, amount = prices.steel_kg, steel
    cost = None if price is None or size is None else price * amount
    if size is not None and not amount:
        cost = 0.0
    return Alternative(key, title, size, reserve, thrust, material, masonry, steel, cost)


def least_step(
    low: float,
    high: float,
    stands: Callable[[float], bool],
    reserve: Callable[[float], float | None],
) -> tuple[float | None, float | None]:
    """Least multiple of STEP from low up that does, and its reserve; None, None where none does.

    Where it stands at all (a quick question) is halved for; from there all verdicts are asked for.
    """
    steps = max(round((high - low) / STEP), 0)
    if not stands(low + steps * STEP):
        return None, None
    first, last = 0, steps
    while first < last:
        middle = (first + last) // 2
        if stands(low + middle * STEP):
            last = middle
        else:
            first = middle + 1
    for step in range(last, steps + 1):
        found = reserve(low + step * STEP)
        if found is not None:
            return low + step * STEP, found
    return None, None
