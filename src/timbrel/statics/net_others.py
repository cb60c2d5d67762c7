"""Snow, wind, water in the fill and level accelerations, over a vault on a plan.

Snow lies evenly, or drifted: all of it over one half and half of it over the other (EN 1991-1-3:2003,
5.3.5, arrangement (ii), its triangles taken as even; from memory). Wind stands square to the true
extrados, by halves left and right of the middle or near and far, as the job gives it; over a groin in
the planes of its rows. A level acceleration pushes the shell at its middle surface, what stands on it
at the extrados.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.net_level import (
    FacePieces,
    LevelLoad,
    extrados_pieces,
    force_load,
    shell_shares,
)
from timbrel.statics.net_level import together_with_level as together
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_lumping import area_load
from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.statics.net_vaults import EDGE, CrossedSolid, VaultSolid
from timbrel.statics.plan_outlines import arrangements, outline_of
from timbrel.words import Message, say

NetOtherKind = Literal["snow", "drift", "wind", "water", "level"]
DRIFTED = (1.0, 0.5)  # of the stated snow: on the loaded half, on the other


@dataclass(frozen=True)
class NetOther:
    """One action that is neither permanent nor imposed. across: the part of wind that leaves the
    plumb planes of a groin's rows, or of the edge arches of a sail on its corners, N/m2 of extrados at
    most: friction holds it, not the net."""

    kind: NetOtherKind
    load: NetLoad
    across: float = 0.0


@dataclass(frozen=True)
class Body:
    """What weighs over a vault, where a level acceleration finds it.

    cell: (p,). point: (p, 3). weight: (p,) N.
    """

    cell: Index
    point: Array
    weight: Array


@dataclass(frozen=True)
class Bodies:
    """All that weighs over a vault. spread: over its cells. standing: (n,) on the extrados ends of
    single lines, N."""

    spread: tuple[Body, ...]
    standing: Array


def snow_loads(solid: VaultSolid, grid: NetGrid, loads: Loads, beds: int) -> list[NetOther]:
    """Even snow, and drifted to each side."""
    if not loads.snow:
        return []
    snow, vault = loads.snow, solid.vault
    whole = area_load(grid, "snow", say("Snow"), outline_of(vault), snow, beds)
    found = [NetOther("snow", whole)]
    titles = {
        "half.left": say("Snow drifted to the left"),
        "half.right": say("Snow drifted to the right"),
        "half.near": say("Snow drifted to the near side"),
        "half.far": say("Snow drifted to the far side"),
    }
    most, least = DRIFTED
    for key, _, outline in arrangements(vault):
        if key in titles:
            name = f"drift.{key.removeprefix('half.')}"
            half = area_load(grid, name, titles[key], outline, snow, beds)
            both = together(name, titles[key], ((half, most - least), (whole, least)))
            found.append(NetOther("drift", both))
    return found


def wind_loads(solid: VaultSolid, grid: NetGrid, loads: Loads, beds: int) -> list[NetOther]:
    """Pressure square to the extrados by halves, inward positive: left and right, near and far. The
    two are winds of different days."""
    stated = (
        ("wind", say("Wind"), 0, loads.wind_left, loads.wind_right),
        ("wind.near", say("Wind on the near and far halves"), 1, loads.wind_near, loads.wind_far),
    )
    if all(one is None and other is None for *_, one, other in stated):
        return []
    parts = extrados_pieces(solid, grid)
    middle = outline_of(solid.vault).centroid
    found = []
    for key, title, axis, one, other in stated:
        if one is None and other is None:
            continue
        first = parts.point[:, axis] < float((middle.x, middle.y)[axis])
        pressure = np.where(first, one or 0.0, other or 0.0)
        force = -pressure[:, None] * parts.area
        force, across = _held(solid, grid, parts, force)
        load = force_load(grid, key, title, parts.cell, parts.point, force, beds)
        found.append(NetOther("wind", load, across))
    return found


def _held(solid: VaultSolid, grid: NetGrid, parts: FacePieces, force: Array) -> tuple[Array, float]:
    """Forces (p, 3) that the net can hold beside open edges, and the most (N/m2) that is left out.

    A row of a groin ends at a free edge and has nothing to lean on along the web: it is loaded in its
    own plumb plane. In a square groin wind stays in it; out of square a little leaves it. The edge
    arches of a sail on its corners stand in a plumb plane too, and take of what presses on the cells
    along them what lies in it.
    """
    vault = solid.vault
    left = np.zeros_like(force)
    if isinstance(solid, CrossedSolid) and vault.family == "groin":
        walls = np.stack([vault.plan.wall(k)[1] for k in range(4)])
        web = solid.web_at(*grid.spread[parts.cell].mean(axis=1).T)
        left = np.einsum("pa,pa->p", force, walls[web])[:, None] * walls[web]
    elif vault.family == "sail" and vault.on_corners:
        u, v = np.moveaxis(grid.spread[parts.cell], -1, 0)
        for k, on in enumerate((v <= EDGE, u >= 1 - EDGE, v >= 1 - EDGE, u <= EDGE)):
            wall, here = vault.plan.wall(k)[1], on.any(axis=1)
            left[here] += ((force - left)[here] @ wall)[:, None] * wall
    most = np.linalg.norm(left, axis=1) / np.linalg.norm(parts.area, axis=1)
    return force - left, float(most.max(initial=0.0))


def level_pushes(grid: NetGrid, bodies: Bodies, share: float, beds: int) -> tuple[NetOther, ...]:
    """A level force on all that stays, a share of its weight, in four directions."""
    ways: tuple[tuple[str, Message, tuple[float, float]], ...] = (
        ("level.right", say("Level acceleration to the right"), (1.0, 0.0)),
        ("level.left", say("Level acceleration to the left"), (-1.0, 0.0)),
        ("level.far", say("Level acceleration to the far side"), (0.0, 1.0)),
        ("level.near", say("Level acceleration to the near side"), (0.0, -1.0)),
    )
    cell = np.concatenate([b.cell for b in bodies.spread])
    point = np.concatenate([b.point for b in bodies.spread])
    weight = share * np.concatenate([b.weight for b in bodies.spread])
    at, along = shell_shares(grid, cell, point)
    on, couple = share * bodies.standing, share * bodies.standing
    np.add.at(on, grid.cells[cell], at * weight[:, None])
    np.add.at(couple, grid.cells[cell], at * (along * weight)[:, None])
    none, found = np.zeros(grid.size), []
    for key, title, way in ways:
        load = LevelLoad(
            key,
            title,
            none,
            (0.0,) * beds,
            0.0,
            np.zeros(2),
            on[:, None] * np.array(way),
            couple[:, None] * np.array([*way, 0.0]),
        )
        found.append(NetOther("level", load))
    return tuple(found)
