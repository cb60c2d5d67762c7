"""The stages that the work on a vault on a plan passes through, in the order in which it is done.

Few of all the courses govern: units at even shares of the layer (the free edge grows and flattens
on the way), the last before it closes, and the closed layer. At each the closed units are looked
at with the guides standing and with nothing under them, and with half of the next unit hanging.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.statics.building.laying import (
    Laying,
    cell_units,
    closing_cells,
    covered_cells,
)
from timbrel.statics.building.orders import Pace
from timbrel.statics.building.sequence import WAYS_ROUND, Way, things
from timbrel.statics.building.stage_model import StageModel
from timbrel.statics.building.surface_stage import Stage
from timbrel.words import Message, say

Array = NDArray[np.float64]
LOOKED_AT = 6
"""Units of one order that are looked at, the last but one and the last among them."""
LATER_STEPS = 5
"""Even steps of a later layer."""
NONE: NDArray[np.int64] = np.zeros(0, np.int64)
NO_ARMS: Array = np.zeros((0, 3))
PLACES = (0.2, 0.5, 0.8)
"""Shares of the plan, each way, at which something is set down."""


def chosen_units(count: int) -> tuple[int, ...]:
    """Units looked at: even shares of all, the last but one, the last."""
    even = np.linspace(0, count, LOOKED_AT)[1:]
    found = {max(1, round(float(k))) for k in even} | {max(count - 1, 1), count}
    return tuple(sorted(found))


def laying_stages(model: StageModel, bond: Bond, laying: Laying) -> Iterator[Stage]:
    """The first layer in one order: closed units, and half of the next one open."""
    layer = bond.layers[0]
    units = cell_units(laying, layer, model.middles)
    nothing = np.zeros(len(units), bool)
    before = -1
    for done in chosen_units(laying.count):
        acting = units <= done
        closed = done == laying.count
        # What no cell of the model tells from the stage before, or from the whole, is not asked.
        if not closed and (acting.sum() == before or acting.all() or not acting.any()):
            continue
        before = int(acting.sum())
        laid = int((laying.unit <= done).sum())
        tiles = laying.tiles(done)
        names = layer.names[int(tiles[0])], layer.names[int(tiles[-1])]
        # Where no guides stand, nothing is eased: a closed unit is bare all the time.
        eased = closed or laying.guides
        bare = Stage(
            f"first.{laying.key}.{done}.eased",
            say(
                "{order}: {done:count} of {all:count} closed, nothing under them",
                order=laying.title,
                done=done,
                all=laying.count,
            ),
            operation="eased" if eased else "course",
            laying=laying.key,
            layer=1,
            progress=laid / layer.count,
            tiles=laid,
            last=names,
            layers=1,
            acting=acting,
            hanging=NONE,
            arms=NO_ARMS,
            youngest=acting & closing_cells(laying, layer, done, model.middles),
            weight=np.where(acting, model.weights[0], 0.0),
            doubled=nothing,
            guides=False,
            box=model.opened is not None,
        )
        yield bare
        if not closed:
            if laying.guides:
                yield replace(
                    bare,
                    key=f"first.{laying.key}.{done}.closed",
                    title=say(
                        "{order}: {done:count} of {all:count} closed, guides standing",
                        order=laying.title,
                        done=done,
                        all=laying.count,
                    ),
                    operation="course",
                    guides=True,
                )
            yield _open(model, laying, bare, done, bond)


def _open(model: StageModel, laying: Laying, closed: Stage, done: int, bond: Bond) -> Stage:
    """Half of the next unit hangs: from one end of the plan to its middle."""
    tiles = laying.tiles(done + 1)
    across = model.tile_middles[tiles] @ np.array([1.0, 1e-3, 0.0])
    hanging = tiles[np.argsort(across, kind="stable")][: max(len(tiles) // 2, 1)]
    names = bond.layers[0].names
    return replace(
        closed,
        key=f"first.{laying.key}.{done}.open",
        title=say(
            "{order}: half of number {next:count} hangs unclosed",
            order=laying.title,
            next=done + 1,
        ),
        operation="open",
        tiles=closed.tiles + len(hanging),
        last=(names[int(hanging.min())], names[int(hanging.max())]),
        hanging=hanging,
        arms=model.arms(hanging, np.flatnonzero(laying.unit <= done), laying.half),
        guides=laying.guides,
        pace=len(hanging) / Pace.of(model.job, 1).first,
    )


def whole_stage(model: StageModel, bond: Bond, layers: int, key: str, title: Message) -> Stage:
    """So many layers whole, nothing under them."""
    everything = np.ones(len(model.middles), bool)
    layer = bond.layers[layers - 1]
    return Stage(
        key,
        title,
        operation="use",
        laying="",
        layer=layers,
        progress=1.0,
        tiles=layer.count,
        last=(layer.names[0], layer.names[-1]),
        layers=layers,
        acting=everything,
        hanging=NONE,
        arms=NO_ARMS,
        youngest=~everything,
        weight=np.full(len(everything), model.weights[:layers].sum()),
        doubled=~everything,
        guides=False,
        box=model.opened is not None,
    )


def spread_stages(model: StageModel, bond: Bond) -> Iterator[Stage]:
    """The single layer, closed and eased, when its springings have spread."""
    yield replace(
        whole_stage(
            model,
            bond,
            1,
            "first.spread",
            say(
                "first layer closed, nothing under it, springings {spread:length} further apart",
                spread=model.job.building.spread,
            ),
        ),
        operation="spread",
        spread=model.job.building.spread,
    )


def struck_stages(model: StageModel, bond: Bond) -> Iterator[Stage]:
    """The whole shell when the rings of its openings have cured and their boxes are taken away, with
    and without what stands on the edges; none without openings."""
    if model.opened is None:
        return
    job = model.job
    cured = min(opening.trimmer.cure for opening in job.openings)
    whole = whole_stage(model, bond, len(job.layers), "", say("finished shell"))
    whole = replace(whole, operation="struck", box=False, age=cured)
    title = say("rings cured, boxes and props taken away, kerbs and covers on")
    yield replace(whole, key="struck.kerbs", title=title, kerbs=True)
    title = say("rings cured, boxes and props taken away, no kerbs yet")
    yield replace(whole, key="struck.bare", title=title)


def resting_stages(
    model: StageModel, bond: Bond, job: Job, done: int, *, struck: bool = False
) -> Iterator[Stage]:
    """A hand, a kneeling person, a stack of tiles and a bucket on `done` finished layers. struck: the
    boxes of openings are taken away."""
    whole = whole_stage(model, bond, done, "", say("finished shell"))
    if struck:
        whole = replace(whole, box=False)
    for at, (x, y) in places(model):
        heavy_first = sorted(things(job, min(done + 1, len(job.layers))), key=lambda t: -t[2])
        for key, title, force in heavy_first:
            yield replace(
                whole,
                key=f"layers.{done}.{key}.{x:.1f}.{y:.1f}" + (".struck" if struck else ""),
                title=_set_down(title, x, y, done, struck=struck),
                place=at,
                force=force,
            )


def _set_down(thing: Message, x: float, y: float, done: int, *, struck: bool) -> Message:
    if struck:
        return say(
            "{thing} at {x:percent} across and {y:percent} along, layers closed: {done:count}, boxes "
            "taken away",
            thing=thing,
            x=x,
            y=y,
            done=done,
        )
    return say(
        "{thing} at {x:percent} across and {y:percent} along, layers closed: {done:count}",
        thing=thing,
        x=x,
        y=y,
        done=done,
    )


def places(model: StageModel) -> list[tuple[Array, tuple[float, float]]]:
    """Places in plan (2,) over the vault with their shares across and along."""
    plan = model.grid.middle[:, :2]
    low, high = plan.min(axis=0), plan.max(axis=0)
    free = plan[~model.held]
    found = []
    for x in PLACES:
        for y in PLACES:
            at = low + np.array([x, y]) * (high - low)
            # Over an oculus nobody kneels: the nearest place on the shell.
            found.append((np.asarray(free[np.argmin(((free - at) ** 2).sum(axis=1))]), (x, y)))
    return found


def later_stages(
    model: StageModel, bond: Bond, layer: int, way: Way, sets: bool
) -> Iterator[Stage]:
    """A later layer (from 2) as it advances over the closed layers below.

    sets: has each step set before the next is laid? Then all but the last step is stiff too. If
    not, it is looked at soft as well; the worse counts.
    """
    below = whole_stage(model, bond, layer - 1, "", say("finished shell"))
    count = bond.layers[layer - 1].count
    names = bond.layers[layer - 1].names
    gone = np.zeros(len(model.middles), bool)
    for step in range(1, LATER_STEPS + 1):
        share = step / LATER_STEPS
        covered = covered_cells(way, model.middles, model.area, share)
        laid = round(count * float(model.area[covered].sum() / model.area.sum()))
        for mark, doubled in (("soft", np.zeros_like(gone)), ("set", gone)):
            if (mark == "set" and step == 1) or (mark == "soft" and sets and step > 1):
                continue
            yield replace(
                below,
                key=f"layer.{layer}.{way.name.lower()}.{step}.{mark}",
                title=say(
                    "layer {layer:count} {way}, {share:percent} laid",
                    layer=layer,
                    way=WAYS_ROUND[way],
                    share=share,
                ),
                operation="layer",
                layer=layer,
                progress=share,
                tiles=laid,
                last=(names[0], names[max(laid - 1, 0)]),
                weight=below.weight + np.where(covered, model.weights[layer - 1], 0.0),
                doubled=doubled,
                age=model.job.site.wait_later_layer,
            )
        gone = covered
