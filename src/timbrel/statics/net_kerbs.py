"""What stands on the edge of an opening of a net: ring, kerb, cover, and on a hatch what is stored
on it.

It presses on the whole girth alike (:func:`timbrel.statics.trimmed.kerb_load`), on the nodes round the
opening by the length that each stands for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.bond.ring import trim_opening
from timbrel.job.model import Job
from timbrel.shape.opened_plan import openings_of
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_solid import Array, NetGrid, NetHole
from timbrel.statics.trimmed import KerbLoad, kerb_load
from timbrel.words import Message, say


@dataclass(frozen=True)
class NetKerb:
    """An opening's permanent load on a net, and its imposed load under 1 N/m2 on its plan (None: no
    hatch). number: of the opening."""

    number: int
    permanent: NetLoad
    stored: NetLoad | None


def net_kerbs(job: Job, vault: Any, grid: NetGrid, beds: int) -> tuple[NetKerb, ...]:
    """Of every opening that the grid leaves out."""
    if not grid.holes:
        return ()
    kerbs = kerb_loads(job, vault)
    found = []
    for hole in grid.holes:
        kerb = kerbs[hole.number]
        title = say("Kerb, ring and cover of {name}", name=job.openings[hole.number - 1].name)
        key, share = f"openings.{hole.number}", rim_shares(grid, hole)

        def load(
            total: float, share: Array = share, key: str = key, title: Message = title
        ) -> NetLoad:
            weight = total * share
            first = weight @ grid.middle[:, :2]
            return NetLoad(key, title, weight, (1.0,) * beds, total, first)

        stored = load(kerb.imposed * kerb.girth) if kerb.imposed else None
        found.append(NetKerb(hole.number, load(kerb.permanent * kerb.girth), stored))
    return tuple(found)


def rim_shares(grid: NetGrid, hole: NetHole) -> Array:
    """(n,) share of an even load round an opening on each node: half of the two sides beside it."""
    plan = grid.middle[hole.rim, :2]
    side = np.hypot(*(np.roll(plan, -1, axis=0) - plan).T)
    share = np.zeros(grid.size)
    share[hole.rim] = (side + np.roll(side, 1)) / 2 / side.sum()
    return share


def kerb_loads(job: Job, vault: Any) -> dict[int, KerbLoad]:
    """What stands on the girth of every opening, by its number."""
    return {
        placed.number: kerb_load(job, trim_opening(job, vault, placed))
        for placed in openings_of(job, vault)
    }


def with_stored(
    load: NetLoad, outline: Any, imposed: float, grid: NetGrid, kerbs: tuple[NetKerb, ...]
) -> NetLoad:
    """An arrangement of the imposed load (N/m2 over a shapely outline), with what hatches within it
    bear on their edges: the share of each that the outline covers."""
    import shapely

    for kerb, hole in zip(kerbs, grid.holes, strict=True):
        if kerb.stored is None:
            continue
        own = shapely.Polygon(hole.outline)
        share = imposed * shapely.intersection(own, outline).area / own.area
        load = replace(
            load,
            weight=load.weight + share * kerb.stored.weight,
            total=load.total + share * kerb.stored.total,
            first=load.first + share * kerb.stored.first,
        )
    return load
