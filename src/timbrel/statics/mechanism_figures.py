"""A mechanism in figures, for plan.json and the sheets: where it opens, what sinks.

Lines are told in plan. A hinge along a profile turns about the top or the foot of its section; a
crack between rigid blocks opens by its share of the widest.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from timbrel.statics.blocks_bound import BlockMechanism
from timbrel.statics.mechanism_dome import DomeMechanism
from timbrel.statics.mechanism_surface import Array, SurfaceMechanism
from timbrel.statics.mechanism_webs import WebMechanism

Face = Literal["top", "foot"]
FACES: tuple[Face, Face, Face] = ("top", "foot", "top")  # of cap, haunch and foot
RAYS = 16  # cracks between lunes that are told
POINT = 1e-6


@dataclass(frozen=True)
class OpeningLine:
    """A line that opens. start, end: (2,) in plan, the same point on a rib without width. turns_about:
    the face on which its hinge lies, null of a crack between blocks. opening: share of the widest."""

    start: Array
    end: Array
    turns_about: Face | None
    opening: float


@dataclass(frozen=True)
class MechanismFigures:
    """kind: generators, edge rib, webs, lunes, rigid blocks or cracks all over. factor: load factor
    that it bounds. lines: what opens. places: (b, 2) middles in plan of rigid blocks, or of parts of
    a dome that cracks all over, and sinks: (b,) how fast each sinks, by the fastest. slides, shuts:
    greatest of all joints as the check found them, by the greatest velocity (null of mechanisms that
    cannot)."""

    kind: str
    factor: float
    lines: tuple[OpeningLine, ...]
    places: Array
    sinks: Array
    slides: float | None
    shuts: float | None


def mechanism_figures(
    mechanism: SurfaceMechanism | BlockMechanism | WebMechanism | DomeMechanism | None,
) -> MechanismFigures | None:
    """What a mechanism comes to."""
    if mechanism is None:
        return None
    if isinstance(mechanism, BlockMechanism):
        lines = tuple(
            OpeningLine(start, end, None, float(wide))
            for (start, end), wide in zip(mechanism.cracks, mechanism.opening, strict=True)
        )
        report = mechanism.report
        return MechanismFigures(
            mechanism.kind,
            mechanism.factor,
            lines,
            mechanism.places,
            mechanism.sinks,
            report.slides,
            report.shuts,
        )
    none = np.zeros(0)
    if isinstance(mechanism, DomeMechanism):
        slides = mechanism.report.slides
        return MechanismFigures(
            mechanism.kind, mechanism.factor, (), mechanism.places, mechanism.sinks, slides, None
        )
    nowhere = none.reshape(0, 2)
    if isinstance(mechanism, WebMechanism):
        lines, report = _rings(mechanism) + _rays(mechanism), mechanism.report
        return MechanismFigures(
            mechanism.kind, mechanism.factor, lines, nowhere, none, report.slides, report.shuts
        )
    return MechanismFigures(
        mechanism.kind, mechanism.factor, _hinges(mechanism), nowhere, none, None, None
    )


def _face(at_top: bool) -> Face:
    return "top" if at_top else "foot"


def _hinges(mechanism: SurfaceMechanism) -> tuple[OpeningLine, ...]:
    across = np.abs(mechanism.along[::-1])
    found = []
    for at, top in zip(mechanism.hinges, mechanism.at_top, strict=True):
        on = mechanism.origin + at * mechanism.along
        start, end = (on + side * across for side in mechanism.strip)
        found.append(OpeningLine(start, end, _face(top), 1.0))
    return tuple(found)


def _rings(mechanism: WebMechanism) -> tuple[OpeningLine, ...]:
    """Round cap, haunch and foot; none round a cap that is a point."""
    contour, found = mechanism.contour, []
    for share, face in zip(mechanism.hinges, FACES, strict=True):
        if share <= contour.least + POINT:
            continue
        ring = contour.middle + share * (contour.corners - contour.middle)
        ends = zip(ring, np.roll(ring, -1, axis=0), strict=True)
        found += [OpeningLine(start, end, face, 1.0) for start, end in ends]
    return tuple(found)


def _rays(mechanism: WebMechanism) -> tuple[OpeningLine, ...]:
    """Between webs, from the cap to the foot; of lunes a few."""
    contour = mechanism.contour
    few = max(len(contour.corners) // RAYS, 1)
    spokes = contour.corners[::few] - contour.middle
    cap, _, foot = mechanism.hinges
    return tuple(
        OpeningLine(contour.middle + cap * spoke, contour.middle + foot * spoke, None, 1.0)
        for spoke in spokes
    )
