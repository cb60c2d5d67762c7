"""Moments of plumb loads about the springings of a plan, as a pencil takes them: weight times arm."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.plan import QuadPlan

Floats = NDArray[np.float64]

TURN = 1e-6
"""What stands on a diagonal is shared by the webs on both sides: it is looked at a hair to the left
and a hair to the right (rad about the middle)."""


def distances(plan: QuadPlan, at: Floats) -> Floats:
    """(4, n) level distances of points (n, 2) from the four walls, into the room."""
    found = []
    for k in range(4):
        through, outward = plan.wall(k)
        found.append((np.asarray(through)[:2] - at) @ outward[:2])
    return np.array(found)


def about_nearer(plan: QuadPlan, at: Floats, weight: Floats, sides: tuple[int, int]) -> float:
    """Sum of the moments of both halves, each load about the nearer of two facing sides, N m."""
    away = distances(plan, at)
    return float(weight @ np.minimum(away[sides[0]], away[sides[1]]))


def even_share(plan: QuadPlan, sides: tuple[int, int]) -> float:
    """Mean arm of an even load about the nearer of two facing sides, m: a quarter of the span."""
    middle = distances(plan, plan.middle[None, :])[:, 0]
    return float(middle[sides[0]] + middle[sides[1]]) / 4


def about_walls(plan: QuadPlan, at: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """(4,) moments of the load over each side's triangle about its wall, N m, and its weight, N."""
    away = distances(plan, at)
    from_middle = at - plan.middle
    crown = np.hypot(*from_middle.T) < TURN
    moments = away[:, crown] @ weight[crown] / 4
    weights = np.full(4, weight[crown].sum() / 4)
    for turn in (-TURN, TURN):
        cos, sin = np.cos(turn), np.sin(turn)
        turned = plan.middle + from_middle @ np.array([[cos, sin], [-sin, cos]])
        web = plan.web_of(turned[:, 0], turned[:, 1])
        for k in range(4):
            mine = (web == k) & ~crown
            moments[k] += weight[mine] @ away[k][mine] / 2
            weights[k] += weight[mine].sum() / 2
    return moments, weights


def about_ring(centre: Floats, at: Floats, weight: Floats, radius: float) -> float:
    """Moment of the load of all lunes about the springing ring, N m."""
    return float(weight @ (radius - np.hypot(*(at - centre[:2]).T)))
