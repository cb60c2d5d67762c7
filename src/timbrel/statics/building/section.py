"""One metre of the shell, cut square to its axis, layer by layer, between radial joints.

What the stages need: where the faces of each layer lie at each joint, what each piece of each layer
weighs and where, and the strip of what acts at a stage.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.shape.vault import Barrel
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Strip

Array = NDArray[np.float64]
Marks = NDArray[np.bool_]


BLOCK = 1.0
"""Half the depth of a box in an opening (m): within it a thrust line may run anywhere."""


@dataclass(frozen=True)
class ShellSection:
    """The section at one station.

    inner, outer: (n+1, 2) joint ends at intrados and extrados (x, z). low, high: (layers,) share of
    the whole thickness at which each layer's tiles begin and end. weight: (layers, n) N a metre of
    axis, each layer with the bed under it. at: (layers, n, 2) where that weight acts. box: joints
    between which the box of an opening stands in the place of masonry, None without.
    """

    inner: Array
    outer: Array
    low: Array
    high: Array
    weight: Array
    at: Array
    friction: float
    box: tuple[int, int] | None = None

    @property
    def pieces(self) -> int:
        """How many pieces between joints."""
        return len(self.inner) - 1

    def face(self, share: float | Array) -> Array:
        """(n+1, 2) points at a share of the thickness, 0 the intrados."""
        part = np.broadcast_to(np.asarray(share, float), len(self.inner))
        return np.asarray(self.inner + part[:, None] * (self.outer - self.inner))

    def acting_top(self, acting: Marks) -> Array:
        """(n+1,) share of the thickness up to which the shell acts at each joint.

        acting: (layers, n). A layer acts across a joint when the pieces on both sides do, and only
        on layers that act under it; at the springings the one piece beside the joint tells.
        """
        on = np.logical_and.accumulate(acting, axis=0)
        padded = np.concatenate([on[:, :1], on, on[:, -1:]], axis=1)
        crosses = padded[:, :-1] & padded[:, 1:]
        top: Array = np.max(np.where(crosses, self.high[:, None], 0.0), axis=0)
        return top

    def strip(self, acting: Marks) -> Strip:
        """The strip of what acts; a box hands on what arrives at its sides, wherever that runs."""
        strip = Strip(self.inner, self.face(self.acting_top(acting)), self.friction)
        if self.box is None:
            return strip
        wider = np.zeros((len(self.inner), 1))
        wider[self.box[0] + 1 : self.box[1]] = BLOCK
        out = wider * strip.along
        return replace(strip, inner=strip.inner - out, outer=strip.outer + out)

    def box_sides(self) -> Marks:
        """(n+1,) joints at the sides of a box, across which no tension runs."""
        marks = np.zeros(len(self.inner), bool)
        if self.box is not None:
            marks[list(self.box)] = True
        return marks


def shell_section(job: Job, vault: Barrel, v: float, pieces: int) -> ShellSection:
    """Cut the shell at station v (0 near end, 1 far end) into equal pieces along the arc."""
    inner, outer = vault.joints(v, np.linspace(0.0, 1.0, pieces + 1))
    low = np.array([place.inner for place in vault.layers]) / vault.thickness
    high = np.array([place.outer for place in vault.layers]) / vault.thickness
    weights, places = [], []
    under = 0.0
    for k, layer in enumerate(job.layers):
        tile_area, tile_at = _between(inner, outer, low[k], high[k])
        bed_area, bed_at = _between(inner, outer, under, low[k])
        bed = job.binders[layer.bed_binder or layer.binder]
        tile_weight = tile_area * job.tiles[layer.tile].density * GRAVITY
        bed_weight = bed_area * bed.density * GRAVITY
        total = tile_weight + bed_weight
        weights.append(total)
        moment = tile_at * tile_weight[:, None] + bed_at * bed_weight[:, None]
        places.append(moment / total[:, None])
        under = high[k]
    return ShellSection(
        inner, outer, low, high, np.array(weights), np.array(places), job.masonry.friction
    )


def _between(inner: Array, outer: Array, low: float, high: float) -> tuple[Array, Array]:
    """Areas (n,) and middles (n, 2) of the pieces between two shares of the thickness."""
    under = inner + low * (outer - inner)
    over = inner + high * (outer - inner)
    corners = np.stack([under[:-1], under[1:], over[1:], over[:-1]])
    across = corners[2] - corners[0], corners[3] - corners[1]
    area = np.abs(across[0][:, 0] * across[1][:, 1] - across[0][:, 1] * across[1][:, 0]) / 2
    return area, corners.mean(axis=0)
