"""An upper bound of a dome with an oculus whose strength is stated: it cracks and crushes all over.

Lunes fail all round at once; under a half or a quarter of the load a dome goes oval instead, and
cracks run every way. The motion of least price is looked for among splines
(:mod:`timbrel.statics.mechanism_dome_field`), then proved afresh
(:mod:`timbrel.statics.mechanism_dome_check`). Nothing is shared with the net but the shape.

By the kinematic theorem (Heyman 1966; with a finite strength, Drucker, Prager and Greenberg 1952):
factor <= (work of crushing - work of the dead load)/work of the imposed load.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_loads import bounds_of, middle_of, stands
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome_check import DomeReport, check_dome
from timbrel.statics.mechanism_dome_field import (
    DomeField,
    length_of,
    meridian_of,
    opening_of,
    sinking_of,
    stretch_of,
)
from timbrel.statics.mechanism_fading import Fibres, Masonry, Seams, cheapest
from timbrel.statics.mechanism_splines import Array
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.rim import rim_weight

CELLS = (12, 24)  # along the meridian, round half a ring
POINTS = 4  # Gauss points each way of a cell
LAYERS = 9  # depths, closest at the faces
SHOWN = (6, 12)  # cells in whose middles it is told how fast they sink
DEPTHS = 3  # Gauss depths at which the shell is weighed
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


@dataclass(frozen=True)
class DomeMechanism:
    """A way to fail: cracks and crushing all over.

    factor: load factor that it bounds. report: of the check. places: (n, 2) in plan and sinks: (n,)
    how fast each sinks, by the fastest.
    """

    kind: Literal["cracks all over"]
    factor: float
    report: DomeReport
    places: Array
    sinks: Array


def dome_bound(
    job: Job, vault: Any, pattern: str, cells: tuple[int, int] = CELLS
) -> DomeMechanism | None:
    """The least of these mechanisms for a pattern of imposed load; None where there is none (no
    strength, no oculus, no such load)."""
    strength = job.masonry.crushing
    imposed, _ = imposed_load(job.loads)
    if strength is None or not vault.oculus or pattern not in AXES or imposed <= 0:
        return None
    field = DomeField(*cells, length_of(vault), float(vault.rings(np.zeros(1)).lean[0]))
    dead, live = _work(job, vault, field, pattern, imposed)
    masonry = masonry_of(vault, field, strength)
    motion = cheapest(masonry, dead, live)
    report = check_dome(
        vault, field, motion, strength, (float(dead @ motion), float(live @ motion))
    )
    if not report.sound:
        return None
    return DomeMechanism(
        "cracks all over", report.factor, report, *_sinking(vault, field, motion, AXES[pattern])
    )


def gauss(cells: int, length: float) -> tuple[Array, Array]:
    """(cells, POINTS) places and weights."""
    x, w = np.polynomial.legendre.leggauss(POINTS)
    step = length / cells
    at = (np.arange(cells)[:, None] + (x + 1) / 2) * step
    return at, np.tile(w / 2 * step, (cells, 1))


def layers_of(thickness: float, count: int) -> tuple[Array, Array]:
    """Depths and weights (count,), closest at the faces: the trapezoid rule never gives less than
    the integral of a price, which is convex over the depth."""
    depth = -np.cos(np.linspace(0, np.pi, count)) * thickness / 2
    part = np.diff(depth) / 2
    return depth, np.pad(part, (1, 0)) + np.pad(part, (0, 1))


def _points(field: DomeField) -> tuple[Array, Array, Array]:
    """(cells, q) slants and turns of the Gauss points, and their weights on both halves."""
    s, by_s = gauss(field.along, field.length)
    turn, by_turn = gauss(field.around, np.pi)
    shape = (field.along, field.around, POINTS, POINTS)
    at = np.broadcast_to(s[:, None, :, None], shape).reshape(-1, POINTS**2)
    on = np.broadcast_to(turn[None, :, None, :], shape).reshape(-1, POINTS**2)
    weight = 2 * by_s[:, None, :, None] * by_turn[None, :, None, :]
    return at, on, np.broadcast_to(weight, shape).reshape(-1, POINTS**2)


def masonry_of(vault: Any, field: DomeField, strength: float) -> Masonry:
    """The price of every motion of a field."""
    at, on, weight = _points(field)
    count, q = at.shape
    middle = meridian_of(vault, at.ravel())
    stretch = stretch_of(field, middle, at.ravel(), on.ravel())
    number = field.numbers(at.ravel(), on.ravel()).reshape(count, q, -1)[:, 0]
    depths, parts = layers_of(vault.thickness, LAYERS)
    rate = np.stack([stretch.at(z) for z in depths], axis=1)
    size = np.stack([stretch.size(z) * part for z, part in zip(depths, parts, strict=True)], axis=1)
    fibres = Fibres(
        number,
        rate.reshape(count, q * LAYERS, 3, -1),
        (size.reshape(count, q, LAYERS) * weight[..., None]).reshape(count, -1),
    )
    turn, by_turn = gauss(field.around, np.pi)
    number = field.numbers(np.zeros(turn.size), turn.ravel())
    opens = np.stack([opening_of(field, turn.ravel(), z) for z in depths], axis=1)
    radius = meridian_of(vault, np.zeros(1)).radius[0] + depths * np.sin(field.foot)
    area = 2 * by_turn[..., None] * (radius * parts)
    seams = Seams(
        number.reshape(field.around, POINTS, -1)[:, 0],
        opens.reshape(field.around, POINTS * LAYERS, -1),
        area.reshape(field.around, -1),
    )
    return Masonry(fibres, seams, strength, field.size)


def _work(
    job: Job, vault: Any, field: DomeField, pattern: str, imposed: float
) -> tuple[Array, Array]:
    """Work (unknowns,) of the dead load and of the imposed load over unit motions."""
    from timbrel.statics.blocks_solid import BlockSolid

    at, on, weight = (a.ravel() for a in _points(field))
    middle = meridian_of(vault, at)
    number = field.numbers(at, on)
    weights, thickness = Weights(job, vault), float(vault.thickness)
    dead, live = np.zeros(field.size), np.zeros(field.size)

    def put(total: Array, load: Array, depth: float) -> None:
        sinks = sinking_of(field, middle, at, on, depth)
        np.add.at(total, number, load[:, None] * sinks)

    x, w = np.polynomial.legendre.leggauss(DEPTHS)
    for z, part in zip(x * thickness / 2, w * thickness / 2, strict=True):
        fibre = middle.radius + z * np.sin(middle.lean)
        put(dead, weights.unit * weight * part * (1 + z * middle.curve) * fibre, z)
    level = weight * middle.radius * np.cos(middle.lean)
    top = middle.level + thickness / 2 * np.cos(middle.lean)
    put(dead, weights.above(top) * level, thickness / 2)
    solid = BlockSolid(vault)
    under: Array = np.zeros(len(at))
    for side in (1, -1):
        turn = AXES[pattern] + side * on
        plan = solid.centre + middle.radius[:, None] * np.stack([np.cos(turn), np.sin(turn)], 1)
        under += stands(pattern, plan, *bounds_of(solid), middle_of(solid)) / 2
    # What hangs over the springing circle of the plan is in the wall, and carries no floor.
    put(live, imposed * level * under * (middle.radius <= solid.reach), 0.0)
    if rim_weight(job):
        turn, by_turn = (a.ravel() for a in gauss(field.around, np.pi))
        edge = np.full(len(turn), field.length)
        sinks = sinking_of(field, meridian_of(vault, edge), edge, turn, 0.0)
        load = rim_weight(job) * by_turn / np.pi
        np.add.at(dead, field.numbers(edge, turn), load[:, None] * sinks)
    return dead, live


def _sinking(vault: Any, field: DomeField, motion: Array, axis: float) -> tuple[Array, Array]:
    """Middles of cells in plan and how fast they sink, both halves."""
    s = (np.arange(SHOWN[0]) + 0.5) * field.length / SHOWN[0]
    turn = (np.arange(SHOWN[1]) + 0.5) * np.pi / SHOWN[1]
    at, on = (a.ravel() for a in np.meshgrid(s, turn, indexing="ij"))
    middle = meridian_of(vault, at)
    number = field.numbers(at, on)
    sinks = (sinking_of(field, middle, at, on, 0.0) * motion[number]).sum(axis=1)
    centre = np.asarray(vault.centre[:2])
    places = [
        centre
        + middle.radius[:, None]
        * np.stack([np.cos(axis + side * on), np.sin(axis + side * on)], axis=1)
        for side in (1, -1)
    ]
    sinks = sinks / max(float(np.abs(sinks).max()), 1e-300)
    return np.concatenate(places), np.concatenate([sinks, sinks])
