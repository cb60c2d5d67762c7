"""The order of work, tile by tile: the site's order with each laying step split into courses.

The first layer goes arch by arch over the centring, from both springings to the crown; the later
layers go evenly from both springings over the whole length.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import LayerBond
from timbrel.statics.building.sequence import Way
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.plan import Plan, SurfacePlan
    from timbrel.statics.building.laying import Laying

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class LaidStep:
    """One step of the player. layer: from 0. tiles: indices in it, laid in this step. stop: what
    must be checked before going on, None when nothing. setting: where the centring stands (index
    of the arch), None when there is none."""

    layer: int
    tiles: list[int]
    text: Message
    stop: Message | None
    setting: int | None


def order_of_laying(plan: Plan) -> tuple[list[tuple[float, float]], list[LaidStep]]:
    """Where the centring stands for each arch (v from, v to), and the steps in order."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        return [], list(_between_guides(plan))
    first = plan.bond.layers[0]
    shares = _shares(plan, first)
    arches = [_reach(first, shares[:, 1], arch) for arch in range(int(first.arch.max()) + 1)]
    steps: list[LaidStep] = []
    for told in plan.site.order:
        stop = told.what if told.hold else None
        bare = LaidStep(0, [], told.what, stop, _setting(steps))
        if told.key == "lay.1":
            steps += _first_layer(plan, first, shares[:, 0])
        elif told.key.startswith("lay."):
            number = int(told.key.removeprefix("lay."))
            steps += _later_layer(plan, number - 1)
            if told.hold:
                steps.append(replace(bare, layer=number - 1, setting=None))
        elif told.key == "move":
            continue
        elif told.key == "rings":
            steps += _rings(plan, told.what, stop)
        else:
            steps.append(replace(bare, setting=0 if told.key == "ribs" else bare.setting))
    return arches, steps


def _rings(plan: Plan, text: Message, stop: Message | None) -> Iterator[LaidStep]:
    """The rings of openings, one ring layer a step; they follow the layers of the shell."""
    index = len(plan.bond.layers)
    rings = [ring for opening in plan.bond.openings for ring in opening.ring]
    for k, ring in enumerate(rings):
        last = k == len(rings) - 1
        yield LaidStep(index + k, list(range(ring.count)), text, stop if last else None, None)


def _between_guides(plan: SurfacePlan) -> Iterator[LaidStep]:
    """Vaults without a moving centring: the first layer in the order that is proposed (before the
    stages have been followed, in the usual one of its family), later ones from the springings."""
    from timbrel.statics.building.laying import layings
    from timbrel.statics.building.sequence import WAYS_ROUND

    usual = layings(plan.vault, plan.bond)[0]
    order = plan.stages.proposed if plan.stages else usual
    way = plan.stages.orders[0].way if plan.stages else None
    for told in plan.site.order:
        if not told.key.startswith("lay."):
            yield LaidStep(0, [], told.what, told.what if told.hold else None, None)
            continue
        index = int(told.key.removeprefix("lay.")) - 1
        if index == 0:
            yield from _units(order)
        else:
            told_way = WAYS_ROUND[way or Way.BOTH]
            text = say("layer {layer:count} {way}", layer=index + 1, way=told_way)
            yield from _advancing(plan, index, way or Way.BOTH, text)
        if told.hold:
            yield LaidStep(index, [], told.what, told.what, None)


def _units(order: Laying) -> Iterator[LaidStep]:
    """What is closed before the next is begun, one step each."""
    for unit in range(1, order.count + 1):
        text = say(
            "layer 1, {order}: {n:count} of {all:count}", order=order.title, n=unit, all=order.count
        )
        yield LaidStep(0, order.tiles(unit).tolist(), text, None, None)


def _advancing(plan: SurfacePlan, index: int, way: Way, text: Message) -> Iterator[LaidStep]:
    """A later layer in as many steps as it has courses from springing to crown."""
    from timbrel.statics.building.laying import advance, middles_of

    layer = plan.bond.layers[index]
    ranked = np.argsort(advance(way, middles_of(layer)), kind="stable")
    steps = max(2, layer.courses if plan.vault.family == "dome" else layer.courses // 2)
    for tiles in np.array_split(ranked, steps):
        yield LaidStep(index, tiles.tolist(), text, None, None)


def _setting(steps: list[LaidStep]) -> int | None:
    """The centring stays where the step before left it, until the first layer is closed."""
    return steps[-1].setting if steps and not steps[-1].tiles else None


def _shares(plan: Plan, layer: LayerBond) -> NDArray[np.float64]:
    """(m, 2) shares u, v of the surface at every corner of a layer."""
    place = plan.vault.layers[layer.layer - 1]
    u, v = plan.vault.develop(place.inner).lift(layer.points)
    return np.stack([u, v], axis=-1)


def _middle(layer: LayerBond, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """(n,) mean of a corner value over each tile."""
    sums = np.add.reduceat(values, layer.start[:-1])
    return np.asarray(sums / np.diff(layer.start))


def _reach(layer: LayerBond, v: NDArray[np.float64], arch: int) -> tuple[float, float]:
    """Where an arch begins and ends along the axis, as shares."""
    owner = np.repeat(layer.arch, np.diff(layer.start))
    own = v[owner == arch]
    return float(np.clip(own.min(), 0, 1)), float(np.clip(own.max(), 0, 1))


def _ranks(layer: LayerBond, u: NDArray[np.float64], chosen: Ints) -> Ints:
    """(k,) how far from its springing each chosen tile lies, counted in rows of tiles from 1."""
    if layer.direction == "along axis":
        course = layer.course[chosen]
        return np.minimum(course, layer.courses + 1 - course)
    middle = _middle(layer, u)[chosen]
    depth = 0.5 - np.abs(middle - 0.5)
    rows = max(1, round(layer.courses / 2))
    return np.asarray(1 + np.minimum((depth * 2 * rows).astype(np.int64), rows - 1))


def _first_layer(plan: Plan, layer: LayerBond, u: NDArray[np.float64]) -> list[LaidStep]:
    steps: list[LaidStep] = []
    drop = plan.site.centring.wedges.drop
    arches = int(layer.arch.max()) + 1
    for arch in range(arches):
        chosen = np.flatnonzero(layer.arch == arch)
        ranks = _ranks(layer, u, chosen)
        top = int(ranks.max())
        for rank in range(1, top + 1):
            told = (
                say("layer 1, arch {arch:count}: the crown closes it", arch=arch + 1)
                if rank == top
                else say(
                    "layer 1, arch {arch:count}, course {n:count} from each springing",
                    arch=arch + 1,
                    n=rank,
                )
            )
            steps.append(LaidStep(0, chosen[ranks == rank].tolist(), told, None, arch))
        moved = arch + 1 < arches
        eased = (
            say(
                "Ease the centring evenly by {drop:length}, look at every joint from below, then "
                "move it on by one arch.",
                drop=drop,
            )
            if moved
            else say(
                "Ease the centring evenly by {drop:length}, look at every joint from below, then "
                "take it out.",
                drop=drop,
            )
        )
        told = say("arch {arch:count} is closed", arch=arch + 1)
        steps.append(LaidStep(0, [], told, eased, arch + 1 if moved else None))
    return steps


def _later_layer(plan: Plan, index: int) -> list[LaidStep]:
    layer = plan.bond.layers[index]
    everything = np.arange(layer.count)
    ranks = _ranks(layer, _shares(plan, layer)[:, 0], everything)
    top = int(ranks.max())
    return [
        LaidStep(
            index,
            np.flatnonzero(ranks == rank).tolist(),
            say("layer {layer:count}: closed at the crown", layer=layer.layer)
            if rank == top
            else say(
                "layer {layer:count}, course {n:count} from each springing",
                layer=layer.layer,
                n=rank,
            ),
            None,
            None,
        )
        for rank in range(1, top + 1)
    ]
