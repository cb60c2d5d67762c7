"""A finished drawing, and the scale at which it fits the paper."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from ezdxf.document import Drawing

from timbrel.words import Message

SCALES = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)
"""ISO 5455, and 1:25, which builders use (common practice, no source)."""
FORECAST_MM = 6.0
"""A scale is tried when it is forecast to fit within so much."""


@dataclass(frozen=True)
class Picture:
    """A finished drawing. box: x0, y0, x1, y1 in mm of the thing drawn; scale: 1 to this.

    diagram: it shows forces or days, not lengths, so no scale is told of it.
    """

    name: str
    title: Message
    doc: Drawing
    scale: int
    box: tuple[float, float, float, float]
    notes: tuple[Message, ...] = ()
    diagram: bool = False

    @property
    def width_mm(self) -> float:
        """Width on paper."""
        return round((self.box[2] - self.box[0]) / self.scale, 1)

    @property
    def height_mm(self) -> float:
        """Height on paper."""
        return round((self.box[3] - self.box[1]) / self.scale, 1)

    @cached_property
    def svg(self) -> str:
        """The drawing as SVG, rendered once."""
        from timbrel.sheets.svg import to_svg

        return to_svg(self)


def scales_from(width: float, height: float, room_mm: tuple[float, float]) -> Iterator[int]:
    """Scales (1 to n), largest first, at which width x height (m) fits into room_mm of paper."""
    least = max(width * 1e3 / room_mm[0], height * 1e3 / room_mm[1])
    yield from (scale for scale in SCALES if scale >= least)
    step = SCALES[-1]
    yield from itertools.count(max(2, math.ceil(least / step)) * step, step)


def fitted(
    draw: Callable[[int], tuple[Picture, ...]],
    size: tuple[float, float],
    room_mm: tuple[float, float],
) -> tuple[Picture, ...]:
    """Pictures at the largest common scale at which each, with its lettering, fits into the room.

    draw: answers the pictures at a scale; size: the bare thing drawn (m), from which to begin.
    """
    bare = np.array(size) * 1e3
    lettering = np.zeros(2)
    for scale in scales_from(*size, room_mm):
        # Lettering takes the same paper at every scale: what the last trial took is a forecast.
        if (bare / scale + lettering > np.array(room_mm) + FORECAST_MM).any():
            continue
        pictures = draw(scale)
        high = max(p.height_mm for p in pictures)
        taken = np.array([max(p.width_mm for p in pictures), high])
        if (taken <= room_mm).all():
            return pictures
        lettering = taken - bare / scale
        if (lettering > np.array(room_mm) + FORECAST_MM).any():
            # No scale helps lettering that is wider than the paper: it runs over the frame, seen.
            return pictures
    raise AssertionError("the scales have no end")
