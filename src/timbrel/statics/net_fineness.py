"""How fine a net is drawn over each family, and where its supports stand.

Grid lines run on every ridge and crease, and end on the real edges: springing walls, corners, ring.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.net import REACH
from timbrel.statics.net_grid import Edge, ring_grid, sheet_grid
from timbrel.statics.net_solid import Array, NetGrid
from timbrel.statics.net_symmetry import symmetries
from timbrel.statics.net_vaults import DomeSolid, VaultSolid

LADDER: dict[str, tuple[int, ...]] = {
    # Steps (even, so that a line runs over the crown) across the vault, coarse to fine.
    "barrel": (60, 120),
    "flight": (60, 120),
    "groin": (8, 12, 16, 20),
    "cloister": (8, 12, 16, 20),
    "sail": (8, 12, 16, 20),
    "dome": (6, 8, 12, 16),
}
ALIKE: dict[str, tuple[int, ...]] = {"cloister": (24,)}
"""Finer steps where the eight parts of a square vault are alike, and its program is an eighth."""
SLANTWISE = 5
"""Reach of struts over a sail on its corners. Its thrust runs slantwise to four points, and struts
that lie in its masonry are long: a reach of 3 carries two thirds of what one of 5 does."""
MANY = 12  # steps of a dome from which its net has four rays to a step
ALONG_BARREL = 2  # steps along the axis of a barrel, which is straight


def steps_over(solid: VaultSolid) -> tuple[int, ...]:
    """The finenesses at which a vault may be asked, coarse to fine."""
    family = solid.vault.family
    steps = LADDER[family]
    if family not in ALIKE or len(symmetries(grid_of(solid, steps[0]))) < 8:
        return steps
    return steps + ALIKE[family]


def reach_over(solid: VaultSolid) -> int:
    """Rows and columns that struts may span in a net over a vault."""
    vault = solid.vault
    return SLANTWISE if vault.family == "sail" and vault.on_corners else REACH


def grid_of(solid: VaultSolid, steps: int) -> NetGrid:
    """The net's nodes over a vault in a number of steps: across a barrel, across each way of a vault
    on a plan, along the meridian of a dome."""
    vault = solid.vault
    if isinstance(solid, DomeSolid):
        return _dome_grid(solid, steps)
    even = np.linspace(0, 1, steps + 1)
    near, far = _ends(vault)
    if vault.family in ("barrel", "flight"):
        u = even.copy()
        for kink, _ in vault.surface.kinks:
            u[1 + np.argmin(np.abs(u[1:-1] - kink))] = kink
        v = np.linspace(0, 1, ALONG_BARREL + 1)
        return sheet_grid(solid, u, v, edges=("free", "wall", "free", "wall"))
    if vault.family == "groin":
        return sheet_grid(solid, even, even, piers=(0.0, 0.0, 0.0, 0.0), creased=True)
    if vault.family == "cloister":
        return sheet_grid(solid, even, even, edges=("wall",) * 4, creased=True)
    if vault.on_corners:
        return sheet_grid(solid, even, even, piers=(0.0, 0.0, 0.0, 0.0))
    return sheet_grid(solid, even, even, edges=(near, "wall", far, "wall"))


def _ends(vault: object) -> tuple[Edge, Edge]:
    """What the near and far edges of a sail stand on: walls, unless the room says free."""
    room = getattr(vault, "room", None)
    return _edge(room, "near_end"), _edge(room, "far_end")


def _edge(room: object, name: str) -> Edge:
    return "free" if getattr(room, name, "wall") in ("free", "closing wall") else "wall"


def _dome_grid(solid: DomeSolid, steps: int) -> NetGrid:
    """Equal steps along the meridian; rays about as far apart half-way down, a multiple of four. Fine
    nets have more: what a chord round a ring rises is lost of the thickness too, and lost first."""
    rays = 4 * (steps if steps >= MANY else max(4, round(np.pi * steps / 5)))
    if not solid.vault.oculus:
        return ring_grid(solid, 1 - np.arange(1, steps + 1) / steps, rays, top=1.0)
    first = _beside_eye(solid, rays)
    return ring_grid(solid, np.linspace(first, 0, steps + 1), rays, top=1.0, eye=1.0)


def _beside_eye(solid: DomeSolid, rays: int) -> float:
    """Parameter of the ring whose chords between rays clear the oculus at both faces."""

    def clear(u: float) -> float:
        inner, outer = solid.faces(np.array([u, u]), np.array([0.0, 1.0 / rays]))
        chords = [face.mean(axis=0)[None, :] for face in (inner, outer)]
        guess: Array = np.array([[u, 0.5 / rays]])
        feet = [solid.vault.patch.foot(p, (guess[:, 0], guess[:, 1])).u[0] for p in chords]
        return float(max(feet))

    low, high = 0.5, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if clear(middle) < 1 - 1e-6 else (low, middle)
    return low
