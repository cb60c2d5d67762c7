"""What a state of a net asks of the mortar beds between the layers.

A net holds for masonry whose layers act as one. On each line the bed must pass what the struts
and loads over it leave out of balance: along the line as tension, square to it as shear. A strut
that crosses a bed between two lines passes its force through the bed there; half is put to each
line. Pressure that such a strut brings is not set against tension.

The least demand of all states that carry the same loads is found by further programs: first the
least tension, then the least shear beside it. A limit on either may be put on the load factor.

Source: derived from the equilibrium of the layers over the bed; the rigid line of the net is the
classical assumption of limit analysis, and this is its price.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net import Net
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_rows import frames_of
from timbrel.statics.net_solid import Array


@dataclass(frozen=True)
class BedDemand:
    """Greatest tension and shear on any bed, N/m2, with the nodes where they stand (-1: none).

    tensions, shears: (beds, n) on every bed at every line.
    """

    tension: float
    shear: float
    tension_node: int
    shear_node: int
    tensions: Array
    shears: Array


def bed_demand(net: Net, force: Array, loads: list[tuple[NetLoad, float]]) -> BedDemand:
    """The demand of one state: forces (m,) in the struts under loads, each with its multiple."""
    grid, struts = net.grid, net.struts
    start, end = struts.ends(grid)
    push = (end - start) / np.linalg.norm(end - start, axis=1)[:, None] * force[:, None]
    frames, area = frames_of(grid), grid.area()
    half = np.linalg.norm(grid.half, axis=1)
    free = ~grid.held
    tensions, shears = [], []
    for k, bed in enumerate(net.solid.beds):
        over_i = (struts.si * half[struts.i] > bed).astype(float)
        over_j = (struts.sj * half[struts.j] > bed).astype(float)
        both = (over_i + over_j) / 2
        pulled, slid = np.zeros((grid.size, 3)), np.zeros((grid.size, 3))
        for load, factor in loads:
            down = factor * load.weight * load.above[k]
            pulled[:, 2] -= down
            slid[:, 2] -= down
        np.add.at(pulled, struts.j, push * over_j[:, None])
        np.add.at(pulled, struts.i, -push * over_i[:, None])
        np.add.at(slid, struts.j, push * both[:, None])
        np.add.at(slid, struts.i, -push * both[:, None])
        along = np.einsum("na,na->n", pulled, frames[:, 2])
        across = np.einsum("nba,na->nb", frames[:, :2], slid)
        tensions.append(np.where(free, np.maximum(along, 0.0) / area, 0.0))
        shears.append(np.where(free, np.linalg.norm(across, axis=1) / area, 0.0))
    if not tensions:
        none = np.zeros((0, grid.size))
        return BedDemand(0.0, 0.0, -1, -1, none, none)
    tension, shear = np.stack(tensions), np.stack(shears)
    return BedDemand(
        float(tension.max()),
        float(shear.max()),
        int(tension.max(axis=0).argmax()),
        int(shear.max(axis=0).argmax()),
        tension,
        shear,
    )
