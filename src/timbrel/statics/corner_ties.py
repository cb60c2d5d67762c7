"""Ties from corner to corner of a plan: what each holds of the push of its corners, what stays.

The push of each corner is taken apart along the two sides that meet there (equilibrium). A tie holds
on its side what both of its corners push alike, the rest stays with the pier; its height over or under
the springing leaves a couple.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.supports import Ties
from timbrel.statics.strip import Array
from timbrel.statics.support_push import SupportPush

CORNERS = "ABCD"
BALANCE = 1e-3  # of the push: what a net in balance leaves over at a corner is no push


@dataclass(frozen=True)
class Rest:
    """What ties leave a pier of a push. force: (3,) N. couple: (2,) N m of all level forces about the
    springing. tied: N that they take."""

    force: Array
    couple: Array
    tied: float


def corners_of(vault: Any) -> Array:
    """(4, 2) corners of the springing in plan, A to D."""
    return np.asarray(vault.room.corners, float)[:, :2]


def along_sides(corners: Array) -> tuple[Array, Array]:
    """(4, 2) unit directions from each corner to the next and to the one before."""
    to_next = np.roll(corners, -1, axis=0) - corners
    to_next /= np.linalg.norm(to_next, axis=1)[:, None]
    return to_next, -np.roll(to_next, 1, axis=0)


def held_by_sides(corners: Array, forces: Array) -> Array:
    """(4, 2) what each side would hold of the level forces (4, 2) at the corners, N: at its first
    and at its second end; a tie cannot push."""
    to_next, before = along_sides(corners)
    found = np.zeros((4, 2))
    for c in range(4):
        parts = np.linalg.solve(np.stack([to_next[c], before[c]], axis=1), -forces[c])
        found[c, 0], found[c - 1, 1] = parts
    return np.maximum(found, 0.0)


def rest_of_piers(vault: Any, ties: Ties | None, pushes: Iterable[SupportPush]) -> dict[str, Rest]:
    """What every pier has to bear beside the ties, by its corner."""
    on = {p.support: p for p in pushes if p.support in CORNERS}
    corners = corners_of(vault)
    held = np.zeros(4)
    if ties is not None and ties.stay == "for good" and len(on) == 4:
        held = held_by_sides(corners, np.array([on[c].total[:2] for c in CORNERS])).min(axis=1)
    to_next, before = along_sides(corners)
    found = {}
    for c, name in enumerate(CORNERS):
        if name not in on:
            continue
        pull = held[c] * to_next[c] + held[c - 1] * before[c]
        force, over = on[name].total, on[name].over
        height = ties.over_springing if ties is not None else 0.0
        left = force[:2] + pull
        left = np.where(np.abs(left) < BALANCE * np.abs(force[:2]).max(), 0.0, left)
        found[name] = Rest(
            np.array([*left, force[2]]),
            np.asarray(force[:2] * over + pull * height),
            float(np.hypot(*pull)),
        )
    return found
