"""The states that the work passes through, in the order in which it is done.

First layer: arch by arch, each from its springings to its key, with the centring under it until it
has closed. Later layers: followed in steps, from both springings to the crown (one side a step
ahead, as one mason works), from one side, or from the crown outward.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Building, Job
from timbrel.statics.building.section import ShellSection
from timbrel.statics.building.state import Resting, State
from timbrel.statics.floor import GRAVITY
from timbrel.words import Message, say

Array = NDArray[np.float64]
PLACES = 9
"""Places along the arc at which something that may rest anywhere is tried."""


class Way(StrEnum):
    """How a later layer advances over the one below."""

    BOTH = "both springings"
    SIDE = "one side"
    CROWN = "crown outward"


WAYS: dict[Way, Message] = {
    Way.BOTH: say("from both springings to the crown"),
    Way.SIDE: say("from one side"),
    Way.CROWN: say("from the crown outward"),
}
WAYS_ROUND = WAYS | {Way.BOTH: say("from the springings up to the crown, all round")}
"""The same over a vault on a plan, which has no two springings that face each other alone."""


def way_told(worst: dict[Way, float]) -> Message:
    """Whether the common practice is the safest. worst: bond that each way asks at most (Pa)."""
    best = min(worst, key=lambda way: worst[way])
    if worst[Way.BOTH] <= worst[best] * 1.001:
        return say(
            "Brought up from both springings the second layer asks {both:stress} of the bond, from "
            "one side {side:stress}, from the crown outward {crown:stress}: the common practice is "
            "the safest here.",
            both=worst[Way.BOTH],
            side=worst[Way.SIDE],
            crown=worst[Way.CROWN],
        )
    return say(
        "For this job the common practice (both springings, {both:stress} of bond) is not the "
        "safest: {way} asks {least:stress}.",
        both=worst[Way.BOTH],
        way=WAYS[best],
        least=worst[best],
    )


@dataclass(frozen=True)
class Arching:
    """The first layer as arches.

    count: how many. tiles: in each. length: of one along the axis (m). lead: one course, as a share
    of the arc: how far one side runs ahead of the other.
    """

    count: int
    tiles: float
    length: float
    lead: float

    def station(self, arch: int) -> float:
        """Station of an arch, counted from 0 at the near end."""
        return (arch + 0.5) / self.count


def fronts(way: Way, share: float, lead: float) -> tuple[tuple[float, float], ...]:
    """Stretches of the arc (shares) covered when `share` of the layer lies there.

    lead: how far one front runs ahead of the other, as one mason works from side to side.
    """
    if way is Way.SIDE:
        return ((0.0, share),)
    ahead = min((share + lead) / 2, share)
    behind = share - ahead
    if way is Way.BOTH:
        return ((0.0, ahead), (1.0 - behind, 1.0))
    return ((0.5 - min(ahead, 0.5), 0.5 + min(behind, 0.5)),)


def covered(stretches: tuple[tuple[float, float], ...], pieces: int) -> Array:
    """Share (0 to 1) of each of the equal pieces of the arc that the stretches cover."""
    edges = np.linspace(0.0, 1.0, pieces + 1)
    share = np.zeros(pieces)
    for start, end in stretches:
        share += np.clip(np.minimum(edges[1:], end) - np.maximum(edges[:-1], start), 0, None)
    return np.minimum(share * pieces, 1.0)


def way_of_arches(job: Job) -> Way:
    """How each arch of the first layer is laid: a flight climbs from its lower landing, which is on the
    left; all else is laid from both springings."""
    return Way.SIDE if job.curve.family == "flight" else Way.BOTH


def closing_joints(pieces: int, course_share: float, way: Way = Way.BOTH) -> NDArray[np.bool_]:
    """The joints on both sides of the last tile of an arch: the key, or from one side the one at the
    other springing."""
    middle = 1.0 - course_share / 2 if way is Way.SIDE else 0.5
    last = (middle - course_share / 2, middle + course_share / 2)
    at = np.linspace(0.0, 1.0, pieces + 1)
    marks = np.zeros(pieces + 1, dtype=bool)
    for place in last:
        marks[int(np.argmin(np.abs(at - place)))] = True
    return marks


def as_laid(state: State, way: Way) -> bool:
    """Does the work come through this state of an arch, where the next arch is laid so?"""
    return ".leaning." not in state.key or state.key.endswith(f".{way.name.lower()}")


def arch_states(
    section: ShellSection, job: Job, arching: Arching, arch: int, young: NDArray[np.bool_]
) -> Iterator[State]:
    """States of one closed arch of the first layer with nothing under it.

    Half the weight of the next arch leans on it, the other half on the next rib; closed arches, and
    the end wall where there is one, share what leans as far as a load spreads along the axis.
    """
    laid, acting = _layers(section, 1)
    number = arch + 1
    closed = State(
        f"arch.{number}.closed",
        say("arch {number:count} closed, centring eased", number=number),
        operation="arch",
        layer=1,
        progress=number / arching.count,
        v=arching.station(arch),
        laid=laid,
        acting=acting,
        young=young,
    )
    yield closed
    sharing = number + (job.room.near_end in ("wall", "carrying wall"))
    sharing = max(1, min(sharing, round(job.building.load_width / arching.length)))
    for way in (Way.BOTH, Way.SIDE):
        leaning = covered(fronts(way, 0.5, arching.lead), section.pieces) / (2 * sharing)
        yield replace(
            closed,
            key=f"arch.{number}.leaning.{way.name.lower()}",
            title=say(
                "arch {number:count} carries half of the next, laid {way}",
                number=number,
                way=WAYS[way],
            ),
            laid=laid + np.eye(len(laid))[:, :1] * leaning,
        )


def resting_states(
    section: ShellSection, job: Job, v: float, done: int, young: NDArray[np.bool_], width: float
) -> Iterator[State]:
    """A hand, a kneeling person, a stack of tiles and a bucket on `done` finished layers."""
    laid, acting = _layers(section, done)
    for key, title, force in things(job, min(done + 1, len(job.layers))):
        # A hand meets one young arch alone; the rest is shared by the width it is set down on.
        shared = width if key == "hand" and done == 1 else job.building.load_width
        for place in np.linspace(0.1, 0.9, PLACES):
            yield State(
                f"layers.{done}.{key}.{place:.1f}",
                say(
                    "{thing} at {place:percent} of the arc, layers closed: {done:count}",
                    thing=title,
                    place=float(place),
                    done=done,
                ),
                operation="use",
                layer=done,
                progress=1.0,
                v=v,
                laid=laid,
                acting=acting,
                young=young,
                resting=(Resting(float(place), force / shared),),
            )


def layer_states(
    section: ShellSection,
    steps: int,
    layer: int,
    way: Way,
    v: float,
    lead: float,
    age: float,
    young: NDArray[np.bool_],
    sets: bool,
) -> Iterator[State]:
    """A later layer (from 2) as it advances over layers whose youngest joint has a stated age (s).

    sets: has each step set before the next is laid? Then all but the last step is stiff. If not,
    each step is looked at twice, with all that this layer has laid still soft too, for either may
    be the worse. Nothing else is set down on the shell meanwhile.
    """
    below, soft = _layers(section, layer - 1)
    mark_young = "young." if young.any() else ""
    for step in range(1, steps + 1):
        share = step / steps
        laid = below.copy()
        laid[layer - 1] = covered(fronts(way, share, lead), section.pieces)
        stiff = soft.copy()
        before = covered(fronts(way, (step - 1) / steps, lead), section.pieces)
        stiff[layer - 1] = before > 1 - 1e-9
        for mark, acting in (("soft", soft), ("set", stiff)):
            if (mark == "set" and step == 1) or (mark == "soft" and sets and step > 1):
                continue
            yield State(
                f"layer.{layer}.{way.name.lower()}.{step}.{mark_young}{mark}",
                say(
                    "layer {layer:count} {way}, {share:percent} laid",
                    layer=layer,
                    way=WAYS[way],
                    share=share,
                ),
                operation="layer",
                layer=layer,
                progress=share,
                v=v,
                laid=laid,
                acting=acting,
                young=young,
                age=age,
            )


def _layers(section: ShellSection, done: int) -> tuple[Array, NDArray[np.bool_]]:
    """What lies there and what acts when `done` layers are whole and no more is laid."""
    laid = np.zeros_like(section.weight)
    laid[:done] = 1.0
    return laid, laid > 0


def _stack(job: Job, layer: int) -> float:
    tile = job.tiles[job.layers[layer - 1].tile]
    return job.building.stack * tile.length * tile.width * tile.thickness * tile.density * GRAVITY


def things(job: Job, next_layer: int) -> tuple[tuple[str, Message, float], ...]:
    """What is set down on the work: key, in words, weight (N)."""
    building: Building = job.building
    return (
        ("hand", say("a hand"), building.hand),
        ("kneeling", say("a person who kneels"), building.kneeling),
        ("stack", say("a stack of tiles"), _stack(job, next_layer)),
        ("bucket", say("a full bucket"), building.bucket),
    )
