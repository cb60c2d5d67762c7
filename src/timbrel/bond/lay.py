"""Lay the bond of a vault: every layer, the laps between them, the cut list and the checks."""

from __future__ import annotations

from typing import Any

import numpy as np

from timbrel.bond.bedding import Bedding, Laid, beddings
from timbrel.bond.checks import bond_checks, ring_checks
from timbrel.bond.cuts import cut_list
from timbrel.bond.diagonal import lay_diagonal
from timbrel.bond.dome import LaidRings, draw_rings, lay_dome_layer
from timbrel.bond.dome_lap import dome_lap
from timbrel.bond.dome_opened import rings_round
from timbrel.bond.laps import measure_lap
from timbrel.bond.layer import drawn
from timbrel.bond.layout import Bond, LayerBond
from timbrel.bond.merge import merged
from timbrel.bond.phase import lay_first, lay_over
from timbrel.bond.ring import trim_opening
from timbrel.bond.stock import stock_of
from timbrel.bond.trimmed import drawn_round
from timbrel.job.model import Job, Layer
from timbrel.shape.opened import PlacedOpening
from timbrel.shape.opened_plan import openings_of
from timbrel.words import Progress, TimbrelError, say, silent


def lay_bond(job: Job, vault: Any, progress: Progress = silent) -> Bond:
    """The bond of the whole vault, tile by tile.

    Raises TimbrelError when a joint range cannot close or a tile is larger than the vault.
    """
    if vault.family == "dome":
        return lay_dome(job, vault, progress)
    stocks = tuple(stock_of(job, layer, i + 1) for i, layer in enumerate(job.layers))
    free = free_of(job)
    openings = openings_of(job, vault)
    laid: list[list[Laid]] = []
    for i, (stock, layer) in enumerate(zip(stocks, job.layers, strict=True)):
        progress(say("Laying layer {layer}", layer=i + 1), i / len(stocks))
        webs = beddings(i + 1, stock, layer.direction, vault, free)
        below: list[Laid | None] = [*laid[-1]] if laid else [None] * len(webs)
        laid.append([lay_web(bed, layer, under) for bed, under in zip(webs, below, strict=True)])
    beds = [[web.bed for web in webs] for webs in laid]
    layers = drawn_layers(laid, openings)
    laps = tuple(
        measure_lap(
            layers[i],
            layers[i + 1],
            (stocks[i], stocks[i + 1]),
            [(bed.surface, bed.development) for bed in beds[i + 1]],
            vault.layers[i + 1].inner,
        )
        for i in range(len(stocks) - 1)
    )
    trimmed = tuple(trim_opening(job, vault, placed) for placed in openings)
    cuts = cut_list(job, [*layers, *(ring for opening in trimmed for ring in opening.ring)])
    checks = (*bond_checks(job, layers, stocks, laps), *ring_checks(trimmed))
    return Bond(tuple(layers), laps, cuts, checks, trimmed)


def free_of(job: Job) -> tuple[bool, bool]:
    """Is the near, the far end of the room a free edge. On corners no wall stands under an end but
    one that is said to close it."""
    near, far = (
        end == "free" or (job.curve.on_corners and end != "closing wall")
        for end in (job.room.near_end, job.room.far_end)
    )
    return near, far


def drawn_layers(laid: list[list[Laid]], openings: tuple[PlacedOpening, ...]) -> list[LayerBond]:
    """Every layer drawn, web by web; cut to the openings where there are any."""
    if not openings:
        return [merged([drawn(web) for web in webs]) for webs in laid]
    made: list[list[LayerBond]] = []
    for i, webs in enumerate(laid):
        parts = []
        for k, web in enumerate(webs):
            own = tuple(opening for opening in openings if opening.web == k)
            under = made[-1][k] if made else None
            over = laid[i + 1][k] if i + 1 < len(laid) else None
            parts.append(drawn_round(web, own, under, over) if own else drawn(web))
        made.append(parts)
    return [merged(parts) for parts in made]


def lay_dome(job: Job, dome: Any, progress: Progress) -> Bond:
    """The bond of a dome, ring upon ring."""
    stocks = tuple(stock_of(job, layer, i + 1) for i, layer in enumerate(job.layers))
    laid: list[LaidRings] = []
    for i, (stock, layer) in enumerate(zip(stocks, job.layers, strict=True)):
        progress(say("Laying layer {layer}", layer=i + 1), i / len(stocks))
        under = laid[-1] if laid else None
        laid.append(lay_dome_layer(i + 1, stock, layer.direction, dome, under))
    openings = openings_of(job, dome)
    layers = rings_round([draw_rings(rings, dome) for rings in laid], laid, dome, openings)
    laps = tuple(
        dome_lap(
            layers[i], layers[i + 1], (stocks[i], stocks[i + 1]), dome, dome.layers[i + 1].inner
        )
        for i in range(len(stocks) - 1)
    )
    trimmed = tuple(trim_opening(job, dome, placed) for placed in openings)
    cuts = cut_list(job, [*layers, *(ring for opening in trimmed for ring in opening.ring)])
    checks = (*bond_checks(job, layers, stocks, laps), *ring_checks(trimmed))
    return Bond(tuple(layers), laps, cuts, checks, trimmed)


def lay_web(bed: Bedding, layer: Layer, below: Laid | None) -> Laid:
    """One layer on one web, over what lies below."""
    refuse_giants(bed)
    key = f"layers.{bed.number - 1}.joint"
    if layer.direction == "diagonal":
        return lay_diagonal(bed, layer.stagger)
    if below is None or below.bed.direction == "diagonal":
        laid = lay_first(bed, layer.stagger, key)
    else:
        laid = lay_over(bed, below, layer.stagger, key)
    # Beside a crease the rows that taper to nothing stay open; that none closes is another matter.
    if not np.any(bed.creases) or not np.any(np.isfinite(laid.walled.rows.joint)):
        refuse_open_rows(laid, key)
    return laid


def refuse_giants(bed: Bedding) -> None:
    """A tile must be smaller than the arc and the axis."""
    arc = min(bed.near.length, bed.far.length)
    axis = float(np.max(np.hypot(*(bed.far.points - bed.near.points).T)))
    for size, room in ((bed.stock.across, arc), (bed.stock.along, axis)):
        if size + 2 * bed.stock.joint.least > room:
            raise TimbrelError(
                say(
                    "Tile {tile} of layer {layer} is {size:length} long where the vault has only "
                    "{room:length}; choose a smaller tile or turn it.",
                    tile=bed.stock.name,
                    layer=bed.number,
                    size=size,
                    room=room,
                ),
                key=f"layers.{bed.number - 1}.tile",
            )


def refuse_open_rows(laid: Laid, key: str) -> None:
    """Every row must close inside its joint range without a piece below the least."""
    open_rows = np.flatnonzero(~np.isfinite(laid.walled.rows.joint))
    if len(open_rows):
        stock = laid.bed.stock
        raise TimbrelError(
            say(
                "Course {course} of layer {layer} cannot close: {length:length} takes no row of "
                "tiles {tile:length} long and closers of {closer:length} or more with joints from "
                "{least:length} to {most:length}; widen the range or change the tile.",
                course=int(open_rows[0]) + 1,
                layer=laid.bed.number,
                length=float(laid.courses.length[open_rows[0]]),
                tile=stock.along,
                closer=stock.least_along,
                least=stock.joint.least,
                most=stock.joint.most,
            ),
            key=key,
        )
