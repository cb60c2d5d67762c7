"""Partitions, loads on one spot, patches and hooks, where they bear on a vault on a plan.

Lines and patches stand on their own outlines. A load on one spot spreads through the shell by 45
degrees (common practice), as on a strip; what the fill spreads beside is left out, which is on the
safe side. Sum and moments are kept exactly (:mod:`timbrel.statics.net_lumping`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job, Loads
from timbrel.job.supports import LineAction, PointAction
from timbrel.shape.opened_plan import hooks_of
from timbrel.statics.net_loads import NetLoad, point_load
from timbrel.statics.net_lumping import area_load, line_load
from timbrel.statics.net_solid import Array, NetGrid
from timbrel.statics.placed import Placed, load_ends, off_plan, placed_loads
from timbrel.statics.plan_outlines import outline_of
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

GRACE = 1e-3  # m beyond the plan: measured plans are as good as that


def placed_on_net(
    vault: Any, grid: NetGrid, loads: Loads, beds: int
) -> tuple[tuple[NetLoad, ...], tuple[NetLoad, ...]]:
    """Placed loads that stay, and those that come and go.

    Raises TimbrelError for one that stands off the plan.
    """
    whole = outline_of(vault)
    stay: list[NetLoad] = []
    come: list[NetLoad] = []
    for key, load in placed_loads(loads):
        refuse_off_outline(whole, key, load)
        made = _on_net(vault, grid, whole, key, load, beds)
        (stay if load.permanent else come).append(made)
    return tuple(stay), tuple(come)


def all_on_places(
    job: Job, vault: Any, grid: NetGrid, beds: int
) -> tuple[tuple[NetLoad, ...], tuple[NetLoad, ...]]:
    """Placed loads and hooks that stay, and those that come and go."""
    stay, come = placed_on_net(vault, grid, job.loads, beds)
    hung, at_times = hung_on_net(job, vault, grid, beds)
    return (*stay, *hung), (*come, *at_times)


def hung_on_net(
    job: Job, vault: Any, grid: NetGrid, beds: int
) -> tuple[tuple[NetLoad, ...], tuple[NetLoad, ...]]:
    """Hooks that hang for good, and those that come and go. Raises TimbrelError for one that hangs
    where it may not."""
    if not job.hooks:
        return (), ()
    whole = outline_of(vault)
    stay: list[NetLoad] = []
    come: list[NetLoad] = []
    for hook in hooks_of(job, vault):
        stated = job.hooks[hook.number - 1]
        half = stated.plate / 2 + float(vault.thickness)
        title = say("{name}", name=hook.name)
        made = _on_spot(grid, whole, hook.key, title, hook.plan, half, stated.load, beds)
        (stay if stated.permanent else come).append(made)
    return tuple(stay), tuple(come)


def refuse_off_outline(whole: Polygon, key: str, load: Placed) -> None:
    """Refuse a load that stands outside the plan of a vault, or over its oculus."""
    import shapely
    from shapely import Point, Polygon

    outside = shapely.difference(_shape(load), whole.buffer(GRACE))
    if not outside.is_empty:
        ends = [end for end in load_ends(load) if outside.distance(shapely.Point(end)) < 1e-9]
        spot = outside.representative_point()
        x, y = ends[0] if ends else (spot.x, spot.y)
        if any(Polygon(eye).contains(Point(x, y)) for eye in whole.interiors):
            raise _in_the_eye(key, load, float(x), float(y))
        raise off_plan(key, load, float(x), float(y))


def _in_the_eye(key: str, load: Placed, x: float, y: float) -> TimbrelError:
    return TimbrelError(
        say(
            "{key} ({name}) stands at x {x:length}, y {y:length}, where the vault is open; accepted: a "
            "place on the shell, x along AB from A, y into the room.",
            key=key,
            name=load.name,
            x=x,
            y=y,
        ),
        key=key,
    )


def _shape(load: Placed) -> BaseGeometry:
    from shapely import LineString, Point, Polygon

    ends = load_ends(load)
    if isinstance(load, LineAction):
        return LineString(ends)
    return Point(ends[0]) if isinstance(load, PointAction) else Polygon(ends)


def _on_net(
    vault: Any, grid: NetGrid, whole: Polygon, key: str, load: Placed, beds: int
) -> NetLoad:
    import shapely

    title = say("{name}", name=load.name)
    if isinstance(load, LineAction):
        return line_load(grid, key, title, np.array(load_ends(load)), load.load, beds)
    if isinstance(load, PointAction):
        half = load.patch / 2 + float(vault.thickness)
        at = np.array([load.x, load.y])
        return _on_spot(grid, whole, key, title, at, half, load.force, beds)
    inside = shapely.intersection(_shape(load), whole)
    pressure = load.pressure * load.width * load.length / inside.area
    return area_load(grid, key, title, inside, pressure, beds)


def _on_spot(
    grid: NetGrid,
    whole: Polygon,
    key: str,
    title: Message,
    at: Array,
    half: float,
    force: float,
    beds: int,
) -> NetLoad:
    """A force (N) at a place (2,), spread to a square of half a side."""
    import shapely

    x, y = at.tolist()
    foot = shapely.box(x - half, y - half, x + half, y + half)
    if not whole.covers(foot):
        return point_load(grid, key, title, at, force, beds)
    return area_load(grid, key, title, foot, force / foot.area, beds)
