"""Where openings and hooks lie on a vault, and why one is refused.

The sides of an opening are cut square to the shell, so that it has one outline in the common
coordinates (u, v) of every face; its long sides follow the vault's axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.openings import Hook, VaultOpening
from timbrel.shape.planecurve import Array
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.job.model import Job
    from timbrel.shape.barrel import Barrel

ROUND = 24
"""Corners with which a round opening is cut: every tile at its edge gets one or two straight cuts."""
WALL = {"A": (0, 3), "B": (1, 2), "C": (2, 1), "D": (3, 0)}
"""Each corner, and the corner at the other end of its springing wall."""


@dataclass(frozen=True)
class PlacedOpening:
    """One opening on the vault.

    number: from 1, as the job lists them. plan: (k, 2) outline on plan, anticlockwise from above.
    uv: (k, 2) the same in common coordinates. points: (k, 3) on the intrados. u, v: least and
    greatest, and middle: its middle. along, across: size along the axis and on the curve across
    it, of the intrados (m). ring: width of its ring (m). round: is it a circle. web: number of the
    web that it lies in. edge: (m, 2) its outline in common coordinates, closely set where its sides
    are not straight in them; None where the corners are enough.
    """

    number: int
    name: str
    use: str
    plan: Array
    uv: Array
    points: Array
    u: tuple[float, float]
    v: tuple[float, float]
    middle: tuple[float, float]
    along: float
    across: float
    ring: float
    round: bool
    web: int = 0
    edge: Array | None = None

    @property
    def key(self) -> str:
        """Its key in the job."""
        return f"openings.{self.number}"

    @property
    def closely(self) -> Array:
        """(m, 2) its outline in common coordinates, as close as it has to be."""
        return self.uv if self.edge is None else self.edge

    def flat(self, development: Any) -> Array:
        """Its corners (k, 2) on an unrolled face."""
        return np.asarray(development.flat(self.uv[:, 0], self.uv[:, 1]))

    def cut(self, development: Any) -> Array:
        """What is cut out of an unrolled face: its outline (m, 2)."""
        return np.asarray(development.flat(self.closely[:, 0], self.closely[:, 1]))


@dataclass(frozen=True)
class PlacedHook:
    """One hook. plan: (2,) on plan. u, v: common coordinates. point: (3,) on the intrados. web:
    number of the web that it hangs from."""

    number: int
    name: str
    plan: Array
    u: float
    v: float
    point: Array
    web: int = 0

    @property
    def key(self) -> str:
        """Its key in the job."""
        return f"hooks.{self.number}"


def place_openings(job: Job, vault: Barrel) -> tuple[PlacedOpening, ...]:
    """Every opening on the vault. Raises TimbrelError for one that leaves no arch, lies off the
    plan, at a springing, an end or a ridge, or too near to another."""
    found = tuple(
        _placed(job, vault, number, stated) for number, stated in enumerate(job.openings, 1)
    )
    for one, other in combinations(found, 2):
        _refuse_neighbours(vault, one, other)
    return found


def place_hooks(
    job: Job, vault: Barrel, openings: tuple[PlacedOpening, ...]
) -> tuple[PlacedHook, ...]:
    """Every hook on the vault. Raises TimbrelError for one off the plan or in an opening."""
    found = []
    for number, stated in enumerate(job.hooks, 1):
        spot = taped(vault, stated)
        key = f"hooks.{number}"
        refuse_off_plan(vault, key, stated, spot[None])
        u, v, level = (float(a[0]) for a in vault.surface.over(spot[:1], spot[1:]))
        if not (np.isfinite(level) and 0 < u < 1 and 0 < v < 1):
            raise off_plan(key, stated)
        refuse_in_opening(vault, key, stated, spot, openings)
        found.append(
            PlacedHook(number, stated.name, spot, u, v, np.append(spot, level).astype(float))
        )
    return tuple(found)


def taped(vault: Any, stated: VaultOpening | Hook) -> Array:
    """The place (2,) on plan that a tape from a corner finds."""
    corners = np.asarray(vault.room.corners, float)[:, :2]
    here, there = WALL[stated.corner]
    way = corners[there] - corners[here]
    way /= np.linalg.norm(way)
    inward = np.array([-way[1], way[0]])
    if (corners.mean(axis=0) - corners[here]) @ inward < 0:
        inward = -inward
    return np.asarray(corners[here] + stated.along * way + stated.across * inward)


def axis_way(vault: Any) -> Array:
    """Unit vector (2,) on plan of the axis, from the near end to the far one."""
    corners = np.asarray(vault.room.corners, float)[:, :2]
    way = (corners[2] + corners[3] - corners[0] - corners[1]) / 2
    return np.asarray(way / np.linalg.norm(way))


def outline_on_plan(vault: Any, stated: VaultOpening, along: Array) -> Array:
    """Outline (k, 2) on plan, anticlockwise seen from above. along: (2,) way of its length."""
    middle = taped(vault, stated)
    if stated.diameter is not None:
        turn = 2 * np.pi * (np.arange(ROUND) + 0.5) / ROUND
        # Sides as long as those of the polygon that has the circle's area.
        radius = stated.diameter / 2 * np.sqrt(2 * np.pi / ROUND / np.sin(2 * np.pi / ROUND))
        return np.asarray(middle + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    assert stated.length is not None and stated.width is not None
    half, side = along * stated.length / 2, np.array([along[1], -along[0]]) * stated.width / 2
    return np.stack(
        [middle - half - side, middle - half + side, middle + half + side, middle + half - side]
    )


def ring_width(job: Job, stated: VaultOpening) -> float:
    """Width of the ring in the shell: as stated, or one tile."""
    tile = job.tiles[stated.trimmer.tile or job.layers[-1].tile]
    return stated.trimmer.width or tile.length


def _placed(job: Job, vault: Barrel, number: int, stated: VaultOpening) -> PlacedOpening:
    key = f"openings.{number}"
    plan = outline_on_plan(vault, stated, axis_way(vault))
    refuse_off_plan(vault, key, stated, plan)
    u, v, level = vault.surface.over(plan[:, 0], plan[:, 1])
    if not np.all(np.isfinite(level)):
        raise no_arch(key, stated)
    points = np.column_stack([plan, level])
    spans = (float(u.min()), float(u.max())), (float(v.min()), float(v.max()))
    middle = (sum(spans[0]) / 2, sum(spans[1]) / 2)
    placed = PlacedOpening(
        number,
        stated.name,
        stated.use,
        plan,
        np.stack([u, v], axis=1),
        points,
        *spans,
        middle,
        float(np.ptp(plan @ axis_way(vault))),
        arc_between(vault, *spans[0], middle[1]),
        ring_width(job, stated),
        stated.diameter is not None,
    )
    _refuse_misplaced(vault, placed, stated)
    return placed


def arc_between(vault: Barrel, start: float, end: float, v: float) -> float:
    """Length on the intrados between two u at station v, m."""
    line = vault.point(np.linspace(start, end, 65), np.full(65, v))
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def axis_between(vault: Barrel, u: float, start: float, end: float) -> float:
    """Length along the ruling at u between two stations, m."""
    return float(np.linalg.norm(vault.point(u, end) - vault.point(u, start)))


def refuse_off_plan(vault: Any, key: str, stated: VaultOpening | Hook, points: Array) -> None:
    corners = np.asarray(vault.room.corners, float)[:, :2]
    edge = np.roll(corners, -1, axis=0) - corners
    to = points[:, None] - corners
    cross = edge[:, 0] * to[..., 1] - edge[:, 1] * to[..., 0]
    if not np.all(cross > 0):
        raise off_plan(key, stated)


def off_plan(key: str, stated: VaultOpening | Hook) -> TimbrelError:
    return TimbrelError(
        say(
            "{key} ({name}), {along:length} along the wall from corner {corner} and "
            "{across:length} off it, does not lie wholly inside the plan of the vault; accepted: a "
            "place between the four walls.",
            key=key,
            name=stated.name,
            along=stated.along,
            corner=stated.corner,
            across=stated.across,
        ),
        key=key,
    )


def no_arch(key: str, stated: VaultOpening) -> TimbrelError:
    return TimbrelError(
        say(
            "{key} ({name}) leaves no arch: it reaches past the springing of the shell; accepted: "
            "an opening that stays off the springings by its ring.",
            key=key,
            name=stated.name,
        ),
        key=key,
    )


def _refuse_misplaced(vault: Barrel, placed: PlacedOpening, stated: VaultOpening) -> None:
    (low, high), (near, far) = placed.u, placed.v
    v, u = placed.middle[1], placed.middle[0]
    sides = (
        (arc_between(vault, 0.0, low, v), say("the left springing")),
        (arc_between(vault, high, 1.0, v), say("the right springing")),
        (axis_between(vault, u, 0.0, near), say("the near end")),
        (axis_between(vault, u, far, 1.0), say("the far end")),
    )
    for room, where in sides:
        if room < placed.ring:
            raise TimbrelError(
                say(
                    "{key} ({name}) leaves no arch between it and {where}: {room:length} of shell, "
                    "less than its ring of {ring:length}; accepted: {ring:length} of shell or more "
                    "on each side.",
                    key=placed.key,
                    name=placed.name,
                    where=where,
                    room=room,
                    ring=placed.ring,
                ),
                key=placed.key,
            )
    for kink, _ in vault.surface.kinks:
        if low < kink < high:
            raise TimbrelError(
                say(
                    "{key} ({name}) cuts through the ridge, where the two sides lean on each "
                    "other; accepted: an opening on one side of the ridge.",
                    key=placed.key,
                    name=placed.name,
                ),
                key=placed.key,
            )


def _refuse_neighbours(vault: Barrel, one: PlacedOpening, other: PlacedOpening) -> None:
    from shapely import Polygon

    face = vault.develop(0.0)
    apart = Polygon(one.flat(face)).distance(Polygon(other.flat(face)))
    refuse_too_near(one, other, apart)


def refuse_too_near(one: PlacedOpening, other: PlacedOpening, apart: float) -> None:
    """Openings whose rings have no shell between them. apart: of their outlines, m."""
    wanted = one.ring + other.ring
    if apart < wanted:
        raise TimbrelError(
            say(
                "{key} ({name}) lies {apart:length} from {other}; accepted: {wanted:length} or "
                "more, so that both rings have shell to bear on.",
                key=other.key,
                name=other.name,
                apart=apart,
                other=one.name,
                wanted=wanted,
            ),
            key=other.key,
        )


def refuse_in_opening(
    vault: Any, key: str, stated: Hook, spot: Array, openings: tuple[PlacedOpening, ...]
) -> None:
    from shapely import Point, Polygon

    wanted = stated.plate / 2 + vault.thickness
    for opening in openings:
        apart = Polygon(opening.plan).distance(Point(spot))
        if apart < wanted:
            raise TimbrelError(
                say(
                    "{key} ({name}) hangs in or at the edge of {opening}, {apart:length} off; "
                    "accepted: {wanted:length} or more, half of its plate and the shell's "
                    "thickness.",
                    key=key,
                    name=stated.name,
                    opening=opening.name,
                    apart=apart,
                    wanted=wanted,
                ),
                key=key,
            )
