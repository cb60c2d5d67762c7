"""A mechanism in figures, for plan.json and the sheets: where it opens, what sinks.

Lines are told in plan. A hinge along a profile turns about the top or the foot of its section; a
crack between rigid blocks opens by its share of the widest.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from timbrel.statics.blocks_bound import BlockMechanism
from timbrel.statics.mechanism_surface import Array, SurfaceMechanism

Face = Literal["top", "foot"]
ROUND = 48  # strokes of a ring


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
    """kind: generators, edge rib, lunes or rigid blocks. factor: load factor that it
    bounds. lines: what opens. places: (b, 2) middles of rigid blocks in plan and sinks: (b,) how
    fast each sinks, by the fastest. slides, shuts: greatest of all joints as the check found them,
    by the greatest velocity (null of mechanisms that cannot)."""

    kind: str
    factor: float
    lines: tuple[OpeningLine, ...]
    places: Array
    sinks: Array
    slides: float | None
    shuts: float | None


def mechanism_figures(
    mechanism: SurfaceMechanism | BlockMechanism | None,
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
    lines = _rings(mechanism) if mechanism.kind == "lunes" else _hinges(mechanism)
    none = np.zeros(0)
    return MechanismFigures(
        mechanism.kind, mechanism.factor, lines, none.reshape(0, 2), none, None, None
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


def _rings(mechanism: SurfaceMechanism) -> tuple[OpeningLine, ...]:
    turn = np.linspace(0, 2 * np.pi, ROUND + 1)
    found = []
    for radius, top in zip(mechanism.hinges, mechanism.at_top, strict=True):
        ring = mechanism.origin + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
        found += [OpeningLine(start, end, _face(top), 1.0) for start, end in pairwise(ring)]
    return tuple(found)
