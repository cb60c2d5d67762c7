"""Thrust along the springing of a vault on a plan, place by place.

From the states of the whole net under the unfactored loads: at every place of a wall, of the ring or
on a pier the least and the greatest outward thrust among them, each with what comes down beside it. It
is what those states put there, not the range that place would have by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.shape.plan import SIDES
from timbrel.statics.net import Net
from timbrel.statics.net_solid import Array, Support
from timbrel.statics.net_supports import PushState, arriving

PLACES = 6  # on every wall; round a ring


@dataclass(frozen=True)
class SpringingPlace:
    """A stretch of springing. start, end: from the first corner of its wall, or round the ring from x,
    m (both 0 on a pier). least, greatest: outward, N a metre (N on a pier); least_down, greatest_down:
    what comes down with them; least_by, greatest_by: keys of their combinations."""

    support: str
    start: float
    end: float
    least: float
    least_down: float
    least_by: str
    greatest: float
    greatest_down: float
    greatest_by: str


def springing_places(
    vault: Any, net: Net, states: tuple[PushState, ...]
) -> tuple[SpringingPlace, ...]:
    """Every stretch of every support under unfactored states."""
    found: list[SpringingPlace] = []
    if not states:
        return ()
    for support in net.grid.supports:
        length = float(support.length.sum())
        whole = support.kind == "pier" or length <= 0
        count = 1 if whole else PLACES
        edges = np.linspace(0.0, 0.0 if whole else length, count + 1)
        out, down = np.zeros((len(states), count)), np.zeros((len(states), count))
        for k, state in enumerate(states):
            points, forces = arriving(net, support, state)
            at, away = _along(vault, support, points)
            level = np.einsum("ka,ka->k", forces[:, :2], away)
            where = np.zeros(len(points), np.int64)
            if not whole:
                where = np.clip((at / length * count).astype(np.int64), 0, count - 1)
            size = 1.0 if whole else length / count
            out[k] = np.bincount(where, level, count) / size
            down[k] = np.bincount(where, -forces[:, 2], count) / size
            if whole:
                out[k] = np.hypot(*forces[:, :2].sum(axis=0))
        for n in range(count):
            low, high = int(out[:, n].argmin()), int(out[:, n].argmax())
            found.append(
                SpringingPlace(
                    support.name,
                    float(edges[n]),
                    float(edges[n + 1]),
                    float(out[low, n]),
                    float(down[low, n]),
                    states[low].case.load,
                    float(out[high, n]),
                    float(down[high, n]),
                    states[high].case.load,
                )
            )
    return tuple(found)


def _along(vault: Any, support: Support, points: Array) -> tuple[Array, Array]:
    """How far along its support each point lies, m, and the level direction outward there (k, 2)."""
    if support.kind == "pier":
        return np.zeros(len(points)), np.zeros((len(points), 2))
    if support.name == "ring":
        away = points[:, :2] - np.asarray(vault.centre)[:2]
        radius = np.hypot(*away.T)
        turn = np.mod(np.arctan2(away[:, 1], away[:, 0]), 2 * np.pi)
        return turn / (2 * np.pi) * float(support.length.sum()), away / radius[:, None]
    side = SIDES.index(support.name)
    _, wall = vault.plan.wall(side)
    p, q = vault.plan.side(side)
    run = (q - p)[:2] / np.linalg.norm((q - p)[:2])
    return (points - p)[:, :2] @ run, np.broadcast_to(wall[:2], (len(points), 2))
