"""Where openings lie on a vault on a plan (groin, cloister, sail, dome), and why one is refused.

An opening lies in one web. Its length follows the courses there: along the ring of a dome, square
to the wall of a groin's web, along the wall of a cloister's, from AB to CD in a sail. Its outline is
true in plan on the intrados; its sides are cut square to the shell.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.openings import Hook, VaultOpening
from timbrel.shape.opened import (
    PlacedHook,
    PlacedOpening,
    axis_way,
    no_arch,
    off_plan,
    outline_on_plan,
    place_hooks,
    place_openings,
    refuse_in_opening,
    refuse_off_plan,
    refuse_too_near,
    ring_width,
    taped,
)
from timbrel.shape.planecurve import Array
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.job.model import Job

CLOSE = 8
"""Parts of each side of an opening, whose sides are not straight in the coordinates of its web."""
PARTS = 32
"""Parts in which lines over the shell are measured."""
BARRELS = ("barrel", "flight")


def openings_of(job: Job, vault: Any) -> tuple[PlacedOpening, ...]:
    """Every opening of a vault of any family. Raises TimbrelError for one that leaves no shell to
    carry what it cuts, lies off the plan, over a crease or the crown, or too near to another."""
    if not job.openings:
        return ()
    if vault.family in BARRELS:
        return place_openings(job, vault)
    found = tuple(_placed(job, vault, k, stated) for k, stated in enumerate(job.openings, 1))
    for one, other in combinations(found, 2):
        _refuse_neighbours(vault, one, other)
    return found


def hooks_of(job: Job, vault: Any) -> tuple[PlacedHook, ...]:
    """Every hook of a vault of any family. Raises TimbrelError for one off the plan, in an opening or
    the oculus, or whose plate would lie over a crease or an edge."""
    if not job.hooks:
        return ()
    openings = openings_of(job, vault)
    if vault.family in BARRELS:
        return place_hooks(job, vault, openings)
    return tuple(_hung(vault, k, stated, openings) for k, stated in enumerate(job.hooks, 1))


def _hung(vault: Any, number: int, stated: Hook, openings: tuple[PlacedOpening, ...]) -> PlacedHook:
    key = f"hooks.{number}"
    spot = taped(vault, stated)
    refuse_off_plan(vault, key, stated, spot[None])
    web = int(vault.plan.web_of(*spot[:, None])[0]) if len(vault.webs) > 1 else 0
    uv, level = on_shell(vault, web, spot[None])
    (u, v), inside = (
        uv[0].tolist(),
        0 < uv[0, 0] < 1 and (vault.family == "dome" or 0 < uv[0, 1] < 1),
    )
    if not (inside and np.isfinite(level).all()):
        raise off_plan(key, stated)
    refuse_in_opening(vault, key, stated, spot, openings)
    point = np.append(spot, level).astype(float)
    _refuse_over_edge(vault, key, stated, web, point)
    return PlacedHook(number, stated.name, spot, u, v, point, web)


def _refuse_over_edge(vault: Any, key: str, stated: Hook, web: int, point: Array) -> None:
    """A plate lies flat on one web, its cone of 45 degrees in whole masonry."""
    wanted = stated.plate / 2 + vault.thickness
    for edge in vault.edges:
        if vault.webs[web].name not in edge.webs:
            continue
        apart = _nearest(point[None], np.asarray(edge.points))
        if apart < wanted:
            raise TimbrelError(
                say(
                    "{key} ({name}) hangs {apart:length} from {where}; accepted: {wanted:length} or "
                    "more, half of its plate and the shell's thickness.",
                    key=key,
                    name=stated.name,
                    apart=apart,
                    where=_edge_words(edge.kind, edge.stands_on),
                    wanted=wanted,
                ),
                key=key,
            )


def way_along(vault: Any, web: int, middle: Array) -> Array:
    """Unit vector (2,) on plan along the courses of a web at a place (2,)."""
    if vault.family == "dome":
        away = middle - np.asarray(vault.centre)[:2]
        size = float(np.hypot(*away))
        return np.array([-away[1], away[0]]) / size if size > 1e-9 else np.array([1.0, 0.0])
    if vault.family == "sail":
        return axis_way(vault)
    p, q = (corner[:2] for corner in vault.plan.side(web))
    way = (q - p) if vault.family == "cloister" else vault.plan.middle - (p + q) / 2
    return np.asarray(way / np.hypot(*way))


def closed(outline: Array, parts: int) -> Array:
    """A closed outline (k, d) with each side in so many parts: (k parts, d)."""
    share = np.arange(parts)[:, None] / parts
    sides = zip(outline, np.roll(outline, -1, axis=0), strict=True)
    return np.concatenate([a + share * (b - a) for a, b in sides])


def on_shell(vault: Any, web: int, plan: Array) -> tuple[Array, Array]:
    """Common coordinates (k, 2) and levels (k,) of the intrados over plan points (k, 2); levels are
    not a number where the web has none."""
    surface = vault.webs[web]
    u, v, level = surface.patch.over(plan[:, 0], plan[:, 1], surface.shift)
    if vault.family == "dome":
        v = v - np.round(v - v[0])
    return np.stack([u, v], axis=1), level


def _placed(job: Job, vault: Any, number: int, stated: VaultOpening) -> PlacedOpening:
    key = f"openings.{number}"
    middle = taped(vault, stated)
    refuse_off_plan(vault, key, stated, middle[None])
    web = int(vault.plan.web_of(*middle[:, None])[0]) if len(vault.webs) > 1 else 0
    plan = outline_on_plan(vault, stated, way_along(vault, web, middle))
    refuse_off_plan(vault, key, stated, plan)
    _refuse_two_webs(vault, key, stated, plan, web)
    _refuse_crown(job, vault, key, stated, plan)
    uv, level = on_shell(vault, web, plan)
    close = closed(plan, 1 if stated.diameter is not None else CLOSE)
    edge, near = on_shell(vault, web, close)
    if not (np.isfinite(level).all() and np.isfinite(near).all()):
        raise no_arch(key, stated)
    sides = [(plan[k] + plan[k + 1]) / 2 for k in (0, len(plan) // 2)]
    ends = [(plan[k - 1] + plan[k]) / 2 for k in (0, len(plan) // 2)]
    if stated.diameter is not None:
        way = way_along(vault, web, middle) * stated.diameter / 2
        across = np.array([way[1], -way[0]])
        sides, ends = [middle - way, middle + way], [middle - across, middle + across]
    placed = PlacedOpening(
        number,
        stated.name,
        stated.use,
        plan,
        uv,
        np.column_stack([plan, level]),
        (float(edge[:, 0].min()), float(edge[:, 0].max())),
        (float(edge[:, 1].min()), float(edge[:, 1].max())),
        tuple(on_shell(vault, web, middle[None])[0][0].tolist()),
        _walked(vault, web, *sides),
        _walked(vault, web, *ends),
        ring_width(job, stated),
        stated.diameter is not None,
        web,
        edge,
    )
    _refuse_edges(vault, placed, stated, np.column_stack([close, near]))
    return placed


def _walked(vault: Any, web: int, start: Array, end: Array) -> float:
    """Length (m) over the intrados of a line that is straight in plan."""
    line = start + np.linspace(0, 1, PARTS + 1)[:, None] * (end - start)
    points = np.column_stack([line, on_shell(vault, web, line)[1]])
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _refuse_two_webs(vault: Any, key: str, stated: VaultOpening, plan: Array, web: int) -> None:
    if len(vault.webs) == 1 or np.all(vault.plan.web_of(*closed(plan, CLOSE).T) == web):
        return
    raise TimbrelError(
        say(
            "{key} ({name}) cuts a crease, where two webs lean on each other; accepted: an opening "
            "that lies in one web by its ring.",
            key=key,
            name=stated.name,
        ),
        key=key,
    )


def _refuse_crown(job: Job, vault: Any, key: str, stated: VaultOpening, plan: Array) -> None:
    """The crown of a dome is opened by an oculus."""
    if vault.family != "dome":
        return
    from shapely import Point, Polygon

    ring = ring_width(job, stated)
    apart = Polygon(plan).distance(Point(np.asarray(vault.centre)[:2]))
    if apart >= ring or (vault.oculus and apart > vault.oculus / 2):
        return
    raise TimbrelError(
        say(
            "{key} ({name}) takes the crown of the dome or comes within its ring, {ring:length}, of "
            "it; accepted: an opening off the crown, or curve.oculus, which opens the crown.",
            key=key,
            name=stated.name,
            ring=ring,
        ),
        key=key,
    )


def _refuse_edges(vault: Any, placed: PlacedOpening, stated: VaultOpening, close: Array) -> None:
    """Shell as wide as the ring must be left to every edge of the web."""
    name = vault.webs[placed.web].name
    for edge in vault.edges:
        if name not in edge.webs:
            continue
        apart = _nearest(close, np.asarray(edge.points))
        if apart < placed.ring:
            raise TimbrelError(
                say(
                    "{key} ({name}) leaves no shell to carry what it cuts between it and "
                    "{where}: {room:length}, less than its ring of {ring:length}; accepted: "
                    "{ring:length} or more on each side.",
                    key=placed.key,
                    name=stated.name,
                    where=_edge_words(edge.kind, edge.stands_on),
                    room=apart,
                    ring=placed.ring,
                ),
                key=placed.key,
            )


def _edge_words(kind: str, stands_on: tuple[str, ...]) -> Message:
    words = {
        "springing": say("the springing"),
        "wall arch": say("the edge over {where}", where="".join(stands_on)),
        "groin": say("the groin"),
        "valley": say("the valley"),
        "ridge": say("the ridge"),
        "oculus": say("the oculus"),
    }
    return words[kind]


def _nearest(points: Array, line: Array) -> float:
    """Least distance (m) of points (k, 3) from a line (n, 3)."""
    start, step = line[:-1], np.diff(line, axis=0)
    away = points[:, None] - start
    share = (away * step).sum(axis=-1) / np.maximum((step * step).sum(axis=-1), 1e-18)
    foot = start + np.clip(share, 0, 1)[..., None] * step
    return float(np.linalg.norm(points[:, None] - foot, axis=-1).min())


def _refuse_neighbours(vault: Any, one: PlacedOpening, other: PlacedOpening) -> None:
    lines = []
    for placed in (one, other):
        edge = placed.closely
        points = vault.webs[placed.web].point(edge[:, 0], edge[:, 1])
        lines.append(np.concatenate([points, points[:1]]))
    refuse_too_near(one, other, _nearest(lines[0], lines[1]))
