"""Weights on a dome by unit of slant and turn, for a motion that cracks all over and for its check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_loads import bounds_of, middle_of, stands
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome_field import DomeField, Meridian, meridian_of
from timbrel.statics.mechanism_splines import Array
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.rim import rim_weight

PARTS = 8  # even parts each way of a cell: edges of a patch cross cells
SEARCHED = 1001  # slants between which the edge of the floor is looked for
SIMPSON = ((-0.5, 1 / 6), (0.0, 4 / 6), (0.5, 1 / 6))  # depths and shares of the thickness
AXES = {
    # Turn of the axis about which load and motion are their own mirror image.
    "full": np.pi,
    "patch": np.pi,
    "half.left": np.pi,
    "half.right": 0.0,
    "half.near": 1.5 * np.pi,
    "half.far": 0.5 * np.pi,
    "quarter": 1.25 * np.pi,
}
EDGES = {key: np.pi / 2 for key in AXES if key.startswith("half")} | {"quarter": np.pi / 4}


@dataclass(frozen=True)
class DomeLoads:
    """The dead load of a dome and one pattern of its imposed load."""

    job: Job
    vault: Any
    pattern: str

    def shell(self, middle: Meridian, depth: float) -> Array:
        """(n,) N by unit slant, turn and depth."""
        fibre = (1 + depth * middle.curve) * (middle.radius + depth * np.sin(middle.lean))
        return np.asarray(Weights(self.job, self.vault).unit * fibre)

    def above(self, middle: Meridian) -> Array:
        """(n,) N by unit slant and turn of what lies on the extrados for good."""
        top = middle.level + self.vault.thickness / 2 * np.cos(middle.lean)
        level = middle.radius * np.cos(middle.lean)
        return np.asarray(Weights(self.job, self.vault).above(top) * level)

    def live(self, middle: Meridian, turn: Array) -> Array:
        """(n, m) N by unit slant and turn of the imposed load, mean of both halves. What hangs over
        the springing circle of the plan is in the wall, and carries no floor."""
        solid = BlockSolid(self.vault)
        under: Array = np.zeros((len(middle.radius), len(turn)))
        for side in (1, -1):
            way = AXES[self.pattern] + side * turn
            plan = solid.centre + middle.radius[:, None, None] * np.stack(
                [np.cos(way), np.sin(way)], axis=1
            )
            low, high = bounds_of(solid)
            found = stands(self.pattern, plan.reshape(-1, 2), low, high, middle_of(solid))
            under += found.reshape(under.shape) / 2
        load = imposed_load(self.job.loads)[0] * middle.radius * np.cos(middle.lean)
        return np.asarray((load * (middle.radius <= solid.reach))[:, None] * under)

    @property
    def rim(self) -> float:
        """N by unit turn on the rim of the eye."""
        return rim_weight(self.job) / (2 * np.pi)


def middles(places: Array, parts: int) -> tuple[Array, Array]:
    """Middles of so many even parts of each cell, and their lengths."""
    step = np.diff(places)[:, None] / parts
    at = places[:-1, None] + (np.arange(parts) + 0.5) * step
    return at.ravel(), np.broadcast_to(step, at.shape).ravel()


def cells_of(loads: DomeLoads, field: DomeField) -> tuple[Array, Array]:
    """Slants and turns between which sums are made: those of the field, and the straight edges of the
    load."""
    s = np.linspace(0.0, field.length, SEARCHED)
    radius = meridian_of(loads.vault, s).radius
    edge = np.interp(-BlockSolid(loads.vault).reach, -radius, s)
    turns = [turn for turn in (EDGES.get(loads.pattern),) if turn is not None]
    return np.union1d(field.slants, edge), np.union1d(field.turns, turns)


def work_of(loads: DomeLoads, field: DomeField) -> tuple[Array, Array]:
    """Work (unknowns,) of the dead load and of the imposed load over unit motions."""
    thickness = float(loads.vault.thickness)
    slants, turns = cells_of(loads, field)
    s, by_s = middles(slants, PARTS)
    turn, by_turn = middles(turns, PARTS)
    piece = 2 * by_s[:, None] * by_turn
    middle = meridian_of(loads.vault, s)
    once: Array = np.ones((1, len(turn)))

    def sunk(load: Array, depth: float) -> Array:
        return field.pushed(s, turn, middle.lean, load, depth)

    dead: Array = np.zeros(field.size)
    for share, part in SIMPSON:
        z = share * thickness
        dead += sunk(piece * loads.shell(middle, z)[:, None] * part * thickness * once, z)
    dead += sunk(piece * loads.above(middle)[:, None] * once, thickness / 2)
    edge = np.array([field.length])
    rim = 2 * loads.rim * by_turn[None]
    dead += field.pushed(edge, turn, meridian_of(loads.vault, edge).lean, rim, 0.0)
    return dead, sunk(piece * loads.live(middle, turn), 0.0)
