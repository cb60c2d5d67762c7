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
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome_check import DomeReport, check_dome
from timbrel.statics.mechanism_dome_field import (
    DomeField,
    even_field,
    joint_of,
    meridian_of,
    stretch_of,
)
from timbrel.statics.mechanism_dome_loads import AXES, DomeLoads, work_of
from timbrel.statics.mechanism_fading import cheapest
from timbrel.statics.mechanism_masonry import Fibres, Masonry
from timbrel.statics.mechanism_splines import Array
from timbrel.statics.net_threads import one_thread

CELLS = (32, 36)  # along the meridian, round half a ring
POINTS = 2  # Gauss points each way of a cell
LAYERS = 11  # depths, closest at the faces
SHOWN = (6, 12)  # cells in whose middles it is told how fast they sink


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
    field = even_field(vault, cells)
    loads = DomeLoads(job, vault, pattern)
    dead, live = work_of(loads, field)
    if not live.any():
        return None  # the load falls through the eye
    with one_thread():
        motion = cheapest(masonry_of(vault, field, strength), dead, live)
        report = check_dome(loads, field, motion, strength)
    if not report.sound:
        return None
    return DomeMechanism(
        "cracks all over", report.factor, report, *_sinking(vault, field, motion, AXES[pattern])
    )


def gauss(places: Array) -> tuple[Array, Array]:
    """(cells, POINTS) places and weights between places (cells + 1,)."""
    x, w = np.polynomial.legendre.leggauss(POINTS)
    step = np.diff(places)[:, None]
    return places[:-1, None] + (x + 1) / 2 * step, w / 2 * step


def layers_of(thickness: float, count: int) -> tuple[Array, Array]:
    """Depths and weights (count,), closest at the faces: the trapezoid rule never gives less than
    the integral of a price, which is convex over the depth."""
    depth = -np.cos(np.linspace(0, np.pi, count)) * thickness / 2
    part = np.diff(depth) / 2
    return depth, np.pad(part, (1, 0)) + np.pad(part, (0, 1))


def _points(field: DomeField) -> tuple[Array, Array, Array]:
    """(cells, q) slants and turns of the Gauss points, and their weights on both halves."""
    s, by_s = gauss(field.slants)
    turn, by_turn = gauss(field.turns)
    shape = (field.along, field.around, POINTS, POINTS)
    at = np.broadcast_to(s[:, None, :, None], shape).reshape(-1, POINTS**2)
    on = np.broadcast_to(turn[None, :, None, :], shape).reshape(-1, POINTS**2)
    weight = 2 * by_s[:, None, :, None] * by_turn[None, :, None, :]
    return at, on, np.broadcast_to(weight, shape).reshape(-1, POINTS**2)


def masonry_of(vault: Any, field: DomeField, strength: float) -> Masonry:
    """The price of every motion of a field: of the shell, and of the joint at the springing."""
    depth, part = layers_of(vault.thickness, LAYERS)
    at, on, weight = _points(field)
    middle = meridian_of(vault, at.ravel())
    stretch = stretch_of(field, middle, at.ravel(), on.ravel())
    by_s, by_turn = stretch.shares(depth)
    volume = weight.reshape(-1, 1) * part / (by_s * by_turn)
    shell = Fibres(
        field.numbers(at[:, 0], on[:, 0]),
        stretch.run.reshape(*at.shape, *stretch.run.shape[1:]),
        volume * by_s,
        volume * by_turn,
        depth,
    )
    turn, by_turn = gauss(field.turns)
    radius = float(meridian_of(vault, np.zeros(1)).radius[0])
    area = 2 * by_turn.reshape(-1, 1) * (radius + depth * np.sin(field.foot)) * part
    run = joint_of(field, turn.ravel(), radius)
    joint = Fibres(
        field.numbers(np.zeros(field.around), turn[:, 0]),
        run.reshape(*turn.shape, *run.shape[1:]),
        area,
        np.zeros_like(area),
        depth,
    )
    return Masonry((shell, joint), strength, field.size)


def _sinking(vault: Any, field: DomeField, motion: Array, axis: float) -> tuple[Array, Array]:
    """Middles of cells in plan and how fast they sink, both halves."""
    s = (np.arange(SHOWN[0]) + 0.5) * field.length / SHOWN[0]
    turn = (np.arange(SHOWN[1]) + 0.5) * np.pi / SHOWN[1]
    sinks = -field.moved(motion, s, turn)[0, 0][..., 2].ravel()
    at, on = (a.ravel() for a in np.meshgrid(s, turn, indexing="ij"))
    middle = meridian_of(vault, at)
    centre = np.asarray(vault.centre[:2])
    places = [
        centre
        + middle.radius[:, None]
        * np.stack([np.cos(axis + side * on), np.sin(axis + side * on)], axis=1)
        for side in (1, -1)
    ]
    sinks = sinks / max(float(np.abs(sinks).max()), 1e-300)
    return np.concatenate(places), np.concatenate([sinks, sinks])
