"""What stands on an uncertain vault beside its dead load: characteristic combinations (EN 1990 6.5.3).

Each arrangement of the imposed load with snow and wind beside it at their psi0; snow, drifted snow and
wind leading, alone and with the full imposed load at its psi0. Samples follow the one that a thin
shell bears least of, and for the supports the full imposed load too. The imposed load is drawn, snow
and wind stay as stated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.imposed import psi_imposed
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_actions import NetActions
from timbrel.statics.net_level import together_with_level
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_reserve import THICKEST, THIN, CoarseNet
from timbrel.words import Message, say

Part = tuple[NetLoad, float]


@dataclass(frozen=True)
class Standing:
    """A characteristic combination. title: of what leads. imposed: its arrangements with their
    factors. weather: snow and wind with theirs."""

    title: Message
    imposed: tuple[Part, ...]
    weather: tuple[Part, ...] = ()

    def variable(self, drawn: float = 1.0) -> NetLoad | None:
        """All of it as one load, the imposed load times what is drawn; None where nothing stands."""
        parts = (*((load, f * drawn) for load, f in self.imposed), *self.weather)
        if not parts:
            return None
        return together_with_level(parts[0][0].key, self.title, parts)


NOTHING = Standing(say("Dead load alone"), ())


def standings(acts: NetActions, loads: Loads) -> tuple[Standing, ...]:
    """All of them; those of the imposed load first, the full load before the others."""
    national, psi = loads.national, psi_imposed(loads).accompanying
    snow = tuple((o.load, national.psi0_snow) for o in acts.others if o.kind == "snow")
    winds: list[tuple[Part, ...]]
    winds = [((o.load, national.psi0_wind),) for o in acts.others if o.kind == "wind"] or [()]
    patterns = sorted(acts.patterns, key=lambda p: p.key != "full")
    found = [Standing(p.title, ((p, 1.0),), (*snow, *w)) for p in patterns for w in winds]
    full = next((p for p in patterns if p.key == "full"), None)
    for led in acts.others:
        if led.kind not in ("snow", "drift", "wind"):
            continue
        # Snow that leads stands in the place of even snow; of winds one blows at a time.
        beside: list[tuple[Part, ...]] = [snow] if led.kind == "wind" else list(winds)
        for held in beside:
            alone = Standing(led.load.title, (), ((led.load, 1.0), *held))
            found.append(alone)
            if full is not None:
                found.append(Standing(led.load.title, ((full, psi),), alone.weather))
    return tuple(found)


def governing_standing(net: CoarseNet, loads: Loads, dead_share: float) -> Standing:
    """The one that a thin shell bears least of beside its dead load; what no strut of the net holds
    is left to the combinations of the plan."""
    drawn = net.drawn(min(THIN * dead_share, THICKEST))
    least, found = np.inf, NOTHING
    for standing in standings(net.acts, loads):
        variable = standing.variable()
        if variable is None:
            continue
        question = NetQuestion(drawn, net.acts.dead, variable)
        if question.unheld:
            continue
        answer = question.load_factor()
        factor = 0.0 if answer is None else answer.factor
        if found is NOTHING or factor < least:
            least, found = factor, standing
    return found


def loaded_with(dead: NetLoad, variable: NetLoad | None) -> NetLoad:
    """Dead and variable load as one; it has level parts where wind is among them."""
    if variable is None:
        return dead
    return together_with_level(dead.key, dead.title, ((dead, 1.0), (variable, 1.0)))
