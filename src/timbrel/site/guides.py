"""Guides of vaults that are laid free-hand between lines: arches at the walls, groins or valleys,
diagonals of a sail, the meridian of a dome.

A guide is a light rib under a line of the vault. Its template is the surface less the lagging,
measured along the surface's own normal and cut by the plumb plane of the line: at a crease that is
lower than the line moved square to itself, because both webs fall away from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Site
from timbrel.shape.dome import Dome
from timbrel.shape.plan import CORNERS
from timbrel.shape.sail import Sail
from timbrel.shape.surface import Surface
from timbrel.site.rib import board_reach, refuse_narrow_boards
from timbrel.words import Message, say

Floats = NDArray[np.float64]
POINTS = 97


@dataclass(frozen=True)
class Guide:
    """One guide.

    key: stable. kind: "wall arch", "groin", "valley", "diagonal", "meridian" or "rib". stands_on: walls
    or corners that carry its feet. start, end: in plan, m. line: (n, 2) the intrados over it, plan
    distance from its start and level, m; template: (m, 2) the same for the rib's upper edge, which
    stops where the lagging no longer fits over it. x, level: (k,) the line at the job's step.
    boards: pieces in one ply, each board_length long. timber: m3 bought. mass: kg.
    """

    key: str
    title: Message
    kind: str
    stands_on: tuple[str, ...]
    start: tuple[float, float]
    end: tuple[float, float]
    line: Floats
    template: Floats
    x: Floats
    level: Floats
    boards: int
    board_length: float
    timber: float
    mass: float


def guides_of(vault: Surface, site: Site, *, middle_ribs: bool = False) -> tuple[Guide, ...]:
    """The guides of a vault that has no moving centring.

    middle_ribs: one more rib across the courses of each web (:func:`middle_lines`).

    Raises TimbrelError when the boards are narrower than the ribs are deep.
    """
    found = [
        _guide(vault, site, e.name, _title(e.kind, e.name), e.kind, e.stands_on, e.points[:, :2])
        for e in vault.edges
        if e.kind in ("wall arch", "groin", "valley")
    ]
    if isinstance(vault, Sail):
        corners = np.asarray(vault.room.corners)[:, :2]
        for i, ends in ((0, ("A", "C")), (1, ("B", "D"))):
            plan = np.linspace(corners[i], corners[i + 2], POINTS)
            name = f"diagonal.{ends[0]}{ends[1]}"
            title = say("Diagonal {start} to {end}", start=ends[0], end=ends[1])
            found.append(_guide(vault, site, name, title, "diagonal", ends, plan))
    if isinstance(vault, Dome):
        found.append(_meridian(vault, site))
    elif middle_ribs:
        for name, title, feet, plan in middle_lines(vault):
            found.append(_guide(vault, site, name, title, "rib", feet, plan))
    return tuple(found)


def middle_lines(vault: Any) -> list[tuple[str, Message, tuple[str, ...], Floats]]:
    """Ribs across the courses: key, title, what their feet stand by, plan (n, 2).

    A groin's courses run inward from its walls: its ribs stand from groin to groin, at a quarter of
    the arc from the wall. Those of a cloister and a sail run along the walls: from the middle of a
    wall to that of the facing one.
    """
    corners, middle = np.asarray(vault.plan.corners)[:, :2], np.asarray(vault.plan.middle)
    sides = [(k, (k + 1) % 4) for k in range(4)]
    found: list[tuple[str, Message, tuple[str, ...], Floats]] = []
    if vault.family == "groin":
        base = vault.base
        share = float(base.at(np.asarray(base.length / 4))[..., 0] / (base.span / 2))
        for i, j in sides:
            ends = [corners[k] + share * (middle - corners[k]) for k in (i, j)]
            name = f"{CORNERS[i]}{CORNERS[j]}"
            title = say("Rib inside {side}", side=name)
            found.append(
                (
                    f"rib.{name}",
                    title,
                    (CORNERS[i], CORNERS[j]),
                    np.linspace(ends[0], ends[1], POINTS),
                )
            )
        return found
    for k in (0, 1):
        ends = [(corners[i] + corners[j]) / 2 for i, j in (sides[k], sides[k + 2])]
        names = tuple(f"{CORNERS[i]}{CORNERS[j]}" for i, j in (sides[k], sides[k + 2]))
        title = say("Rib from {start} to {end}", start=names[0], end=names[1])
        found.append((f"rib.{names[0]}", title, names, np.linspace(ends[0], ends[1], POINTS)))
    return found


def _title(kind: str, name: str) -> Message:
    where = name.rsplit(".", 1)[-1]
    if kind == "wall arch":
        return say("Arch at {where}", where=where)
    if kind == "groin":
        return say("Groin from {where}", where=where)
    return say("Valley from {where}", where=where)


def _meridian(dome: Dome, site: Site) -> Guide:
    """From the springing to the crown or the rim of the oculus, to be turned round the centre."""
    rim, oculus = (float(r) for r in dome.rings([0.0, 1.0]).radius)
    radius = np.linspace(rim, oculus, POINTS)
    plan = np.asarray(dome.centre)[:2] + np.stack([radius, np.zeros(POINTS)], axis=-1)
    title = say("Meridian, turned round the centre")
    return _guide(dome, site, "meridian", title, "meridian", ("ring",), plan)


def _guide(
    vault: Surface, site: Site, key: str, title: Message, kind: str,
    stands_on: tuple[str, ...], plan: Floats,
) -> Guide:  # fmt: skip
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(plan, axis=0).T))])
    line = np.stack([along, vault.height(plan[:, 0], plan[:, 1])], axis=-1)
    line = line[np.isfinite(line[:, 1])]
    under = np.stack([along, vault.height(plan[:, 0], plan[:, 1], -site.lagging)], axis=-1)
    template = under[np.isfinite(under[:, 1])]
    steps = np.arange(line[0, 0], line[-1, 0], site.offsets_step)
    x = np.unique(np.round(np.append(steps, line[-1, 0]), 9))
    length = float(np.hypot(*np.diff(template, axis=0).T).sum())
    reach = board_reach(_tightest(template), site.board_width, site.rib_depth)
    if reach is None:
        refuse_narrow_boards(site)
    boards = max(1, math.ceil(length / reach - 1e-9))
    board_length = min(reach, length)
    section = site.rib_depth * site.board_thickness * site.rib_plies
    return Guide(
        key=key,
        title=title,
        kind=kind,
        stands_on=stands_on,
        start=(float(plan[0, 0]), float(plan[0, 1])),
        end=(float(plan[-1, 0]), float(plan[-1, 1])),
        line=line,
        template=template,
        x=x,
        level=np.interp(x, line[:, 0], line[:, 1]),
        boards=boards,
        board_length=board_length,
        timber=boards * board_length * site.board_width * site.board_thickness * site.rib_plies,
        mass=length * section * site.timber_density,
    )


def _tightest(line: Floats) -> float:
    """Tightest radius of a drawn line (n, 2), m: of the circles through points a tenth apart, so
    that the rounding of neighbours does not count. Infinite when it is straight."""
    step = max(1, len(line) // 10)
    a, b, c = line[: -2 * step], line[step:-step], line[2 * step :]
    sides = [np.hypot(*(q - p).T) for p, q in ((a, b), (b, c), (a, c))]
    cross = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    bend = 2 * np.abs(cross) / (sides[0] * sides[1] * sides[2])
    sharpest = float(bend.max(initial=0.0))
    return 1.0 / sharpest if sharpest > 1e-9 else math.inf
