"""The pencil's laws by family: the two halves of what stands on corners, the webs over four walls, the
lunes of a dome."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from timbrel.shape.plan import CORNERS, SIDE_NAMES, SIDES
from timbrel.site.corner_shape import corner_shape
from timbrel.site.hand_moments import about_nearer, about_ring, about_walls, even_share
from timbrel.site.hand_states import HandPart, PlanHandCase
from timbrel.statics.net import Net
from timbrel.statics.support_push import SupportPush
from timbrel.words import say

STEEPEST_MEMBRANE = math.acos((math.sqrt(5) - 1) / 2)
"""Angle from the crown at which the ring of a sphere under its own weight turns to tension."""
CUT = 129  # places along the cut between two halves


def corner_cases(
    vault: Any, net: Net, weight: np.ndarray, pushes: list[SupportPush]
) -> list[PlanHandCase]:
    """Both ways across: half of the vault about its two corners, a three-pinned arch.

    The halves lean on each other somewhere between the lowest intrados and the highest extrados of
    the cut between them: over a groin, whose ridge is level, at the crown; under a sail from the
    crown of its edge arch to that of the vault.
    """
    level = float(np.asarray(vault.plan.corners)[:, 2].mean())
    corner = float(np.mean([corner_shape(vault, k).plumb for k in range(4)]))
    plan = net.grid.middle[:, :2]
    found = []
    for k in (3, 0):
        lowest, rise, highest = _cut(vault, k)
        rise -= level + corner / 2
        most, least = highest - level, lowest - level - corner
        facing = (k + 2) % 4
        both = about_nearer(vault.plan, plan, weight, (k, facing))
        # Of a three-pinned arch with equal halves H f is the mean of both moments.
        moment = both / 2
        part = HandPart(
            name=f"{SIDE_NAMES[k]}, {SIDE_NAMES[facing]}",
            length=_length(vault, k),
            reach=(_reach(vault, k) + _reach(vault, facing)) / 2,
            rise=rise,
            most=most,
            least=least if least > 0 else None,
            slope=0.0,
            weight=float(weight.sum()) / 2,
            moment=moment,
            low=moment / most,
            way=moment / least if least > 0 else math.inf,
            high=moment / least if least > 0 else None,
        )
        pushed = {
            push.case.bound: _across(vault, [p for p in pushes if p.case.bound == push.case.bound],
                                     (k, facing))
            for push in pushes
        }  # fmt: skip
        found.append(
            PlanHandCase(
                load=pushes[0].case.load,
                title=pushes[0].case.title,
                where=say("two corners together, across from {one} to {other}",
                          one=SIDE_NAMES[k], other=SIDE_NAMES[facing]),
                even=float(weight.sum()) / plan_area(vault),
                spread=both / even_share(vault.plan, (k, facing)) / float(weight.sum()),
                parts=(part,),
                least=pushed["least"],
                greatest=pushed.get("greatest"),
            )
        )  # fmt: skip
    return found


def _across(vault: Any, pushes: list[SupportPush], sides: tuple[int, int]) -> float:
    """Mean of both sides: what two corners take square to the side between them."""
    total = {push.support: push.total for push in pushes}
    both = 0.0
    for k in sides:
        _, outward = vault.plan.wall(k)
        both += sum(float(total[CORNERS[i % 4]] @ outward) for i in (k, k + 1))
    return both / 2


def walls_case(vault: Any, net: Net, weight: np.ndarray, pushes: list[SupportPush]) -> PlanHandCase:
    """A cloister or a sail on four walls: each wall by its own piece and its own strips."""
    plan, at = vault.plan, net.grid.middle[:, :2]
    inner, outer = _crown(vault)
    lowest = float(np.asarray(plan.corners)[:, 2].min())
    moments, weights = about_walls(plan, at, weight)
    even = float(weight.sum()) / plan_area(vault)
    parts = []
    for k in range(4):
        reach, length = _reach(vault, k), _length(vault, k)
        foot, slope = _springing(vault, k)
        rise = inner - foot
        # A piece turns about its wall; over the arch of a sail about the lowest of the springing.
        most = outer - (foot if vault.family == "cloister" else lowest)
        if vault.family == "cloister":
            way = membrane_most(
                float(weights[k]),
                slope,
                _inside_of_web(vault, k, slope) * even * length * reach / 2,
            )
        else:
            facing = (k + 2) % 4
            way = about_nearer(plan, at, weight, (k, facing)) / 4 / rise
        parts.append(
            HandPart(
                name=SIDE_NAMES[k],
                length=length,
                reach=reach,
                rise=rise,
                most=most,
                least=None,
                slope=slope,
                weight=float(weights[k]),
                moment=float(moments[k]),
                low=float(moments[k]) / most,
                way=way,
                high=None,
            )
        )
    least = sum(p.force.level * _length(vault, SIDES.index(p.support))
                for p in pushes if p.case.bound == "least" and p.force)  # fmt: skip
    first = pushes[0].case
    return PlanHandCase(
        load=first.load,
        title=first.title,
        where=say("all four walls together"),
        even=even,
        spread=float(moments.sum()) / (even * sum(p.length * p.reach**2 / 6 for p in parts)),
        parts=tuple(parts),
        least=least,
        greatest=None,
    )


def dome_case(vault: Any, net: Net, weight: np.ndarray, pushes: list[SupportPush]) -> PlanHandCase:
    """The ring under a dome: lunes, and the membrane."""
    rings = vault.rings([0.0, 1.0])
    radius, slope = float(rings.radius[0]), float(rings.lean[0])
    top_in = float(rings.level[1])
    top_out = float(vault.rings([1.0], vault.thickness).level[0])
    foot = float(rings.level[0])
    total = float(weight.sum())
    moment = about_ring(np.asarray(vault.centre), net.grid.middle[:, :2], weight, radius)
    rise = (top_in + top_out) / 2 - foot - vault.thickness / 2
    area = plan_area(vault)
    inner = float(rings.radius[1]) if vault.oculus else 0.0
    within = math.pi * (_radius_at(vault, STEEPEST_MEMBRANE) ** 2 - inner**2)
    way = membrane_most(total, slope, total / area * within)
    length = 2 * math.pi * radius
    part = HandPart(
        name="", length=length, reach=radius, rise=rise, most=top_out - foot, least=None,
        slope=slope, weight=total, moment=moment, low=moment / (top_out - foot), way=way, high=None,
    )  # fmt: skip
    level = next(p.force.level for p in pushes if p.case.bound == "least" and p.force)
    first = pushes[0].case
    # Of an even load on a ring between two radii: the mean of R - r over it.
    mean = radius - 2 / 3 * (radius**3 - inner**3) / (radius**2 - inner**2)
    return PlanHandCase(
        load=first.load,
        title=first.title,
        where=say("the whole ring"),
        even=total / area,
        spread=moment / (total * mean),
        parts=(part,),
        least=level * length,
        greatest=None,
    )


def membrane_most(weight: float, slope: float, within: float) -> float:
    """Greatest V cot a that a shell reaches on the way down to a springing at `slope`, N. within: the
    load inside the ring where it leans by 51.83 degrees; below that no ring is pressed any more,
    and the thrust that has come down stays as it is."""
    at_springing = weight / math.tan(slope) if slope < math.pi / 2 - 1e-9 else 0.0
    if slope <= STEEPEST_MEMBRANE:
        return at_springing
    return max(at_springing, within / math.tan(STEEPEST_MEMBRANE))


def _radius_at(vault: Any, slope: float) -> float:
    """Radius of the ring where a dome leans by `slope`, m; of the springing where none is so steep."""
    rings = vault.rings(np.linspace(0.0, 1.0, 513))
    return float(np.interp(-slope, -rings.lean, rings.radius))


def _inside_of_web(vault: Any, k: int, slope: float) -> float:
    """Share of a web's triangle that lies above where it leans by 51.83 degrees: all of it where it
    springs flatter."""
    if slope <= STEEPEST_MEMBRANE:
        return 1.0
    reach = _reach(vault, k)
    p, q = (np.asarray(end)[:2] for end in vault.plan.side(k))
    _, outward = vault.plan.wall(k)
    away = np.linspace(0.0, 0.95, 257) * reach
    points = (p + q) / 2 - np.outer(away, outward[:2])
    level = np.asarray(vault.height(points[:, 0], points[:, 1], 0.0))
    lean = np.arctan2(np.diff(level), np.diff(away))
    at = float(np.interp(-STEEPEST_MEMBRANE, -lean, (away[1:] + away[:-1]) / 2))
    return (1 - at / reach) ** 2


def _crown(vault: Any) -> tuple[float, float]:
    """Level of the intrados and of the extrados over the middle of the plan."""
    x, y = (np.array([c]) for c in vault.plan.middle)
    return tuple(float(vault.height(x, y, d)[0]) for d in (0.0, vault.thickness))  # type: ignore[return-value]


def _cut(vault: Any, k: int) -> tuple[float, float, float]:
    """Levels of the cut half-way between side k and the one that faces it: of the lowest intrados, the
    middle line in the mean, the highest extrados."""
    if vault.family == "groin":
        inner, outer = _crown(vault)
        return inner, (inner + outer) / 2, outer
    corners = np.asarray(vault.plan.corners)[:, :2]
    ends = [(corners[(k + i) % 4] + corners[(k + i + 1) % 4]) / 2 for i in (1, 3)]
    share = np.linspace(1e-6, 1 - 1e-6, CUT)[:, None]
    at = ends[0] + share * (ends[1] - ends[0])
    low, high = (np.asarray(vault.height(*at.T, d)) for d in (0.0, vault.thickness))
    return float(low.min()), float((low + high).mean()) / 2, float(high.max())


def _length(vault: Any, k: int) -> float:
    p, q = vault.plan.side(k)
    return float(np.hypot(*(q - p)[:2]))


def _reach(vault: Any, k: int) -> float:
    """Distance of a wall from the middle of the plan."""
    through, outward = vault.plan.wall(k)
    return float((np.asarray(through)[:2] - vault.plan.middle) @ outward[:2])


def _springing(vault: Any, k: int) -> tuple[float, float]:
    """Level and slope of the intrados at the middle of a wall, square to it: from short steps."""
    p, q = (np.asarray(end)[:2] for end in vault.plan.side(k))
    _, outward = vault.plan.wall(k)
    step = 0.002
    points = (p + q) / 2 - np.outer(step * np.array([1.0, 2.0, 3.0]), outward[:2])
    level = np.asarray(vault.height(points[:, 0], points[:, 1], 0.0))
    first, second = np.arctan2(np.diff(level), step)
    return float(3 * level[0] - 3 * level[1] + level[2]), float(first + 1.5 * (first - second))


def girth(vault: Any) -> float:
    """Length of the springing all round, m."""
    if vault.family == "dome":
        return float(2 * math.pi * vault.rings(0.0).radius)
    return sum(_length(vault, k) for k in range(4))


def plan_area(vault: Any) -> float:
    """Area of the plan that is covered, m2."""
    if vault.family == "dome":
        springing, rim = (float(r) for r in vault.rings([0.0, 1.0]).radius)
        return math.pi * (springing**2 - (rim**2 if vault.oculus else 0.0))
    return float(vault.plan.area)
