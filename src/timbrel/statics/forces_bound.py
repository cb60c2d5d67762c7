"""A close lower bound of a dome with an oculus: forces and moments in every point of its shell.

A net of struts loses the rise of its chords and knows few directions; where a quarter of a dome is
loaded that takes a tenth off. Here forces and moments are told all over the shell, in balance
exactly (:mod:`timbrel.statics.forces_dome`), and the strength is asked at points
(:mod:`timbrel.statics.forces_program`): first in coarse, even cells; then in finer ones, smaller where
the strength was worth most, and again at the points between them where the check finds tension.

By the safe theorem (Heyman 1966; with a finite strength, Drucker, Prager and Greenberg 1952) the
load is borne. It takes minutes: for the engineer who wants to know, not for every plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.forces_check import BETWEEN, ForcesReport, check_forces
from timbrel.statics.forces_dome import ForceField, sphere_of
from timbrel.statics.forces_layers import layers_about
from timbrel.statics.forces_pieces import Array, lobatto
from timbrel.statics.forces_program import (
    Carried,
    Points,
    first_layers,
    greatest,
    layers_near,
    points_in,
)
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome_loads import AXES, EDGES, DomeLoads
from timbrel.statics.net_threads import one_thread
from timbrel.words import Progress, say

COARSE = (8, 12)  # cells along the meridian and round half a ring
CELLS = (12, 16)
POINTS = 5  # each way of a cell, as many as tell a polynomial of its degree
ROUNDS = 4  # goes at the points between
CONTENT = 5e-3  # of the strength: tension at which no more goes are made
TENSION_MOST = 1e-2  # of the strength: what the last go may ask for; it is told
ADDED = 1e-3  # of the strength: points that ask for more tension are asked in the next go
GRADED = 0.3  # power of what the strength is worth by which cells are smaller
WIDEST = 0.3  # least of that, by its greatest


@dataclass(frozen=True)
class ForcesBound:
    """factor: of the live load, that is carried. report: of the check. cells: along and round."""

    factor: float
    report: ForcesReport
    cells: tuple[int, int]

    @property
    def sound(self) -> bool:
        return self.report.sound and self.report.tension <= TENSION_MOST


def forces_bound(
    job: Job,
    vault: Any,
    pattern: str,
    cells: tuple[int, int] = CELLS,
    progress: Progress | None = None,
) -> ForcesBound | None:
    """The load factor of a pattern of imposed load that a dome carries; None where none is told: no
    oculus, no sphere, no strength, no such load, or no answer that its check finds sound."""
    strength = job.masonry.crushing
    sphere = sphere_of(vault)
    if strength is None or sphere is None or pattern not in AXES:
        return None
    if imposed_load(job.loads)[0] <= 0:
        return None
    loads = DomeLoads(job, vault, pattern)

    def told(share: float) -> None:
        if progress is not None:
            progress(say("Forces and moments all over the dome"), share)

    with one_thread():
        told(0.0)
        even = ForceField(
            sphere,
            np.linspace(0.0, sphere.length, COARSE[0] + 1),
            np.linspace(0.0, np.pi, COARSE[1] + 1),
        )
        was = points_in(even, lobatto(POINTS))
        faces = first_layers(was)
        found = greatest(even, loads, strength, was, faces)
        if found is None:
            return None
        field = _graded(even, was, found, cells, EDGES.get(pattern))
        points = points_in(field, lobatto(POINTS))
        faces = layers_near(found, faces, was, points)
        for k in range(ROUNDS):
            told((1 + k) / (1 + ROUNDS))
            found = greatest(field, loads, strength, points, faces)
            if found is None:
                return None
            report = check_forces(field, loads, strength, found.own, found.factor)
            bound = ForcesBound(found.factor, report, cells)
            if bound.sound and (report.tension <= CONTENT or k == ROUNDS - 1):
                return bound
            more = _asking(field, report)
            near = layers_near(found, faces, points, more)
            faces = np.concatenate([layers_about(found.stress, faces), near])
            points = points.beside(more)
    return None


def _asking(field: ForceField, report: ForcesReport) -> Points:
    """Points that ask for tension, and where they ask for much those half-way round them too."""
    little = report.points.take(np.flatnonzero(report.needs > ADDED))
    much = report.points.take(np.flatnonzero(report.needs > CONTENT))
    for row, column in np.stack(np.meshgrid((-1, 0, 1), (-1, 0, 1)), axis=-1).reshape(-1, 2):
        if row or column:
            little = little.beside(much.moved(field, (row / 2 / BETWEEN, column / 2 / BETWEEN)))
    return little


def _graded(
    even: ForceField, points: Points, found: Carried, cells: tuple[int, int], edge: float | None
) -> ForceField:
    """Cells that are smaller where the strength is worth more; one begins where the load does."""
    worth = [np.bincount(cell, found.worth).astype(float) for cell in points.cells]
    slants = spaced(even.slants, worth[0], cells[0])
    turns = spaced(even.turns, worth[1], cells[1], edge)
    return ForceField(even.sphere, slants, turns, even.degree)


def spaced(places: Array, worth: Array, cells: int, edge: float | None = None) -> Array:
    """(cells + 1,) places, closer where cells between the places given are worth more by their
    length; edge: one that has to be among them."""
    step = np.diff(places)
    dense = worth / step
    dense = np.maximum(dense / dense.max(), 1e-12) ** GRADED
    dense = np.convolve(np.pad(dense, 1, mode="edge"), [0.25, 0.5, 0.25], "valid")
    sums = np.append(0.0, np.cumsum(np.maximum(dense, WIDEST) * step))
    ends = [0.0, sums[-1]]
    counts = [cells]
    if edge is not None:
        ends.insert(1, float(np.interp(edge, places, sums)))
        first = int(np.clip(round(cells * ends[1] / sums[-1]), 1, cells - 1))
        counts = [first, cells - first]
    parts = [
        np.linspace(a, b, count + 1)[:-1]
        for a, b, count in zip(ends, ends[1:], counts, strict=False)
    ]
    found = np.interp(np.append(np.concatenate(parts), sums[-1]), sums, places)
    if edge is not None:
        found[counts[0]] = edge
    return np.asarray(found)
