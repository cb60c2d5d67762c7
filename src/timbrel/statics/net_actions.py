"""What acts on a vault that is proved by a net: its layers, what stands on it, what moves over it.

All of it is plumb but the wind. Fill and floor press as columns over the extrados; the pressure of
fill against the haunches is left out (it helps). Sleeper walls are lines of load that carry the floor.
The imposed load stands on outlines in plan, what the job places stands where it is placed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import refuse_falling, refuse_over_floor
from timbrel.statics.floor import GRAVITY, UNIT_WEIGHT
from timbrel.statics.imposed import imposed_load
from timbrel.statics.net_kerbs import NetKerb, net_kerbs, with_stored
from timbrel.statics.net_loads import NetLoad, Pieces, lump, pieces, point_load
from timbrel.statics.net_lumping import area_load, without_holes
from timbrel.statics.net_others import Bodies, Body, NetOther, snow_loads, wind_loads
from timbrel.statics.net_placed import all_on_places
from timbrel.statics.net_sleepers import Sleepers
from timbrel.statics.net_solid import Array, NetGrid
from timbrel.statics.net_vaults import VaultSolid
from timbrel.statics.plan_outlines import arrangements, outline_of
from timbrel.statics.rim import rim_load
from timbrel.words import Message, TimbrelError, say

WALKED = 4  # steps each way in which the point load is walked


@dataclass(frozen=True)
class NetActions:
    """Loads on a net, unfactored.

    permanent: one a cause. dead: all of them together. patterns: arrangements of the imposed load,
    then what is placed or hung and comes and goes. others: snow, wind, water in the fill. bodies: what
    weighs, where a level acceleration finds it. points: the point load at each place where it is
    set down, and where that is (k, 2) in plan.
    imposed: N/m2 and its source.
    """

    permanent: tuple[NetLoad, ...]
    dead: NetLoad
    patterns: tuple[NetLoad, ...]
    others: tuple[NetOther, ...]
    bodies: Bodies
    points: tuple[NetLoad, ...]
    places: Array
    imposed: float
    source: str


def net_actions(job: Job, solid: VaultSolid, grid: NetGrid) -> NetActions:
    """Everything that acts on the nodes of a grid over a vault.

    The point load is the job's line load (N/m) on one metre, walked over the plan. Raises
    TimbrelError when the fill has no level, or a placed load stands off the plan.
    """
    loads, vault = job.loads, solid.vault
    parts = pieces(solid, grid)
    beds = len(solid.beds)
    over = (1.0,) * beds
    weights, shares = layer_weights(job, solid)
    layers = parts.area * sum(weights)
    permanent = [lump(grid, parts, "layers", say("Tiles, joints and beds"), layers, shares)]
    bodies = [Body(parts.cell, parts.point, layers)]
    sleepers = Sleepers.of(vault, loads.fill)
    stood: list[NetLoad] = []
    if sleepers is not None:
        stood.append(sleepers.own(grid, fill_top(job, solid, parts), beds))
        if loads.finish:
            whole = outline_of(vault)
            title = say("Finish")
            stood.append(sleepers.pressed(grid, "finish", title, whole, loads.finish, beds))
    else:
        fill = _fill(job, solid, parts)
        covered = parts.level * loads.finish
        if fill is not None:
            permanent.append(lump(grid, parts, "fill", say("Fill over the haunches"), fill, over))
            covered = covered + fill
        if loads.finish:
            finish = parts.level * loads.finish
            permanent.append(lump(grid, parts, "finish", say("Finish"), finish, over))
        on_top = parts.point + parts.normal * vault.thickness / 2
        bodies.append(Body(parts.cell, on_top, covered))
    rim = rim_load(job, vault, grid, beds)
    if rim is not None:
        stood.append(rim)
    stay, come = all_on_places(job, vault, grid, beds)
    kerbs = net_kerbs(job, vault, grid, beds)
    stood += [*stay, *(kerb.permanent for kerb in kerbs)]
    permanent += stood
    standing = np.sum([load.weight for load in stood], axis=0) if stood else np.zeros(grid.size)
    imposed, source = imposed_load(loads)
    patterns = _arranged(vault, grid, imposed, beds, sleepers, kerbs) if imposed > 0 else []
    others = [*snow_loads(solid, grid, loads, beds), *wind_loads(solid, grid, loads, beds)]
    water = _water(job, solid, parts)
    if water is not None:
        wet = lump(grid, parts, "water", say("Water in the fill"), water, over)
        others.append(NetOther("water", wet))
    places, points = _spots(job, solid, grid, beds)
    dead = together("dead", say("All permanent loads"), tuple(permanent))
    return NetActions(
        tuple(permanent),
        dead,
        (*(p for p in patterns if p.total > 0), *come),
        tuple(others),
        Bodies(tuple(bodies), standing),
        points,
        places,
        imposed,
        source,
    )


def _arranged(
    vault: Any,
    grid: NetGrid,
    imposed: float,
    beds: int,
    sleepers: Sleepers | None,
    kerbs: tuple[NetKerb, ...],
) -> list[NetLoad]:
    """The arrangements of the imposed load (N/m2); what hatches bear is brought to their edges."""
    found = []
    for key, name, outline in arrangements(vault):
        if sleepers is not None:
            load = sleepers.pressed(grid, key, name, outline, imposed, beds)
        else:
            left = without_holes(grid, outline)
            load = area_load(grid, key, name, left, imposed, beds)
        found.append(with_stored(load, outline, imposed, grid, kerbs))
    return found


def together(key: str, title: Message, loads: tuple[NetLoad, ...]) -> NetLoad:
    """Several loads as one."""
    weight = np.sum([load.weight for load in loads], axis=0)
    total = sum(load.total for load in loads)
    first = np.sum([load.first for load in loads], axis=0)
    above = tuple(
        sum(load.above[k] * load.total for load in loads) / total
        for k in range(len(loads[0].above))
    )
    return NetLoad(key, title, weight, above, total, first)


def layer_weights(job: Job, solid: VaultSolid) -> tuple[list[float], tuple[float, ...]]:
    """Weight (N/m2) of each bed and layer of tiles, and the share that lies over each bed."""
    weights: list[float] = []
    over: list[float] = []
    for place, layer in zip(solid.vault.layers, job.layers, strict=True):
        bed = job.binders[layer.bed_binder or layer.binder].density
        if place.bed:
            over.append(sum(weights))
            weights.append(bed * place.bed * GRAVITY)
        tile, joint = job.tiles[layer.tile], layer.joint.best
        full = tile.length * tile.width / ((tile.length + joint) * (tile.width + joint))
        density = full * tile.density + (1 - full) * job.binders[layer.binder].density
        weights.append(density * place.thickness * GRAVITY)
    total = sum(weights)
    return weights, tuple(1 - below / total for below in over)


def _water(job: Job, solid: VaultSolid, parts: Pieces) -> Array | None:
    """(p,) what the fill weighs more when it is full of water; None where it drains."""
    fill = job.loads.fill
    if fill.saturated is None or fill.kind in ("none", "sleeper walls"):
        return None
    dry, wet = _fill(job, solid, parts), _fill(job, solid, parts, fill.saturated)
    return None if dry is None or wet is None else wet - dry


def _fill(
    job: Job, solid: VaultSolid, parts: Pieces, unit_weight: float | None = None
) -> Array | None:
    """(p,) weight of the fill over the pieces, up to its top; None without fill. unit_weight: takes
    the place of the fill's own (water-logged)."""
    fill = job.loads.fill
    if fill.kind == "none":
        return None
    half = solid.vault.thickness / 2
    extrados = parts.point[:, 2] + half / np.maximum(parts.normal[:, 2], 0.05)
    corners = np.asarray(solid.vault.room.corners)
    lifts = [float(corners[:, 2].mean()) + lift.top for lift in fill.lifts]
    top = fill_top(job, solid, parts)
    if not lifts or unit_weight is not None:
        unit = unit_weight or fill.unit_weight or UNIT_WEIGHT[fill.kind]
        return np.asarray(unit * parts.level * np.maximum(top - extrados, 0.0))
    found, below = np.zeros(len(parts.level)), -np.inf
    for level, lift in zip(lifts, fill.lifts, strict=True):
        depth = np.maximum(level - np.maximum(extrados, below), 0.0)
        found += lift.unit_weight * parts.level * depth
        below = level
    return found


def fill_top(job: Job, solid: VaultSolid, parts: Pieces) -> float:
    """Level at which the fill ends, m. Raises TimbrelError when the job does not tell it, or it stands
    over the floor."""
    top = _stated_top(job, solid, parts)
    refuse_over_floor(job, top)
    return top


def _stated_top(job: Job, solid: VaultSolid, parts: Pieces) -> float:
    fill = job.loads.fill
    chord = float(np.asarray(solid.vault.room.corners)[:, 2].mean())
    if fill.lifts:
        refuse_falling(tuple(lift.top for lift in fill.lifts))
        return chord + fill.lifts[-1].top
    if fill.level is not None:
        return chord + fill.level
    if fill.to_crown_cover:
        half = solid.vault.thickness / 2
        crown = float((parts.point[:, 2] + half * parts.normal[:, 2]).max())
        return crown + job.levels.crown_cover
    raise TimbrelError(
        say(
            "The fill is not brought up to the crown cover and has no level: give "
            "loads.fill.level, the height of its top over the springing chord."
        ),
        key="loads.fill.level",
    )


def _spots(
    job: Job, solid: VaultSolid, grid: NetGrid, beds: int
) -> tuple[Array, tuple[NetLoad, ...]]:
    """Where the point load is set down, and it at each place."""
    places, title = walk(solid, grid), say("A load on one spot")
    points = (
        point_load(grid, f"point.{k}", title, at, job.loads.line, beds)
        for k, at in enumerate(places)
    )
    return places, tuple(points)


def walk(solid: VaultSolid, grid: NetGrid) -> Array:
    """(k, 2) places in plan where the point load is set down: even steps over the surface, openings
    left out."""
    import shapely

    inside = (np.arange(WALKED) + 0.5) / WALKED
    u, v = (g.ravel() for g in np.meshgrid(inside, inside))
    places = np.asarray(solid.lines(u, v)[0][..., :2])
    for hole in grid.holes:
        places = places[~shapely.contains_xy(shapely.Polygon(hole.outline), places)]
    return places
