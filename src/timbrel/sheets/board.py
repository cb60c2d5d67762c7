"""The drawing board: everything a drawing of ours is made of, over one ezdxf document.

Positions are given in metres and stored in millimetres; sizes of text, arrows and hatches in
millimetres of paper, multiplied by the scale. A board is finished into a :class:`Picture`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from ezdxf.enums import TextEntityAlignment
from ezdxf.math import Vec2
from numpy.typing import ArrayLike, NDArray

from timbrel.sheets.drawing_file import TEXT_MM, new_document
from timbrel.sheets.figures_said import bare_length, signed_level, unit_note
from timbrel.sheets.font import width_of
from timbrel.sheets.lines import OUR_LAYERS
from timbrel.sheets.picture import SCALES, Picture, fitted, scales_from
from timbrel.words import Message, Voice

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

Anchor = Literal["left", "middle", "right", "top", "under left", "under right", "over"]
_ANCHORS = {
    "left": TextEntityAlignment.MIDDLE_LEFT,
    "middle": TextEntityAlignment.MIDDLE_CENTER,
    "right": TextEntityAlignment.MIDDLE_RIGHT,
    "top": TextEntityAlignment.TOP_CENTER,
    "over": TextEntityAlignment.BOTTOM_CENTER,
    "under left": TextEntityAlignment.TOP_LEFT,
    "under right": TextEntityAlignment.TOP_RIGHT,
}


class Board:
    """A drawing being made. All points in metres, all `_mm` on paper."""

    def __init__(self, name: str, title: Message, voice: Voice, scale: int) -> None:
        self.name = name
        self.title = title
        self.voice = voice
        self.scale = scale
        self.doc = new_document(scale)
        self.space: Modelspace = self.doc.modelspace()
        self._made: set[str] = set()
        self._low = np.array([math.inf, math.inf])
        self._high = -self._low

    def _on(self, layer: str) -> dict[str, Any]:
        """What puts an entity on one of our layers, which is made when it is first drawn on."""
        if layer not in self._made:
            self._made.add(layer)
            kind = OUR_LAYERS[layer]
            weight = round(kind.width_mm * 100)
            made = self.doc.layers.add(layer, linetype=kind.linetype, lineweight=weight)
            made.rgb = kind.ink
        return {"layer": layer}

    def paper(self, mm: float) -> float:
        """Metres of the thing drawn that take up so many mm of paper."""
        return mm * self.scale * 1e-3

    def _mm(self, points: ArrayLike) -> NDArray[np.float64]:
        stretched = np.atleast_2d(np.asarray(points, dtype=float))[:, :2] * 1e3
        self._low = np.minimum(self._low, stretched.min(axis=0))
        self._high = np.maximum(self._high, stretched.max(axis=0))
        return stretched

    def line(self, points: ArrayLike, layer: str, *, closed: bool = False) -> None:
        """A polyline through points (n, 2)."""
        places = self._mm(points)
        made = self.space.add_lwpolyline((), close=closed, dxfattribs=self._on(layer))
        # x, y, two widths and a bulge each. The library takes points one by one and copies the row
        # of them each time.
        packed = np.zeros((len(places), 5))
        packed[:, :2] = places
        made.lwpoints.set(packed)

    def lines(self, pairs: Iterable[tuple[ArrayLike, ArrayLike]], layer: str) -> None:
        """Straight strokes, each from one point to another."""
        ends = [np.asarray(end, dtype=float)[:2] for pair in pairs for end in pair]
        if ends:
            for a, b in self._mm(np.array(ends)).reshape(-1, 2, 2).tolist():
                self.space.add_line(a, b, dxfattribs=self._on(layer))

    def dot(self, at: ArrayLike, layer: str, size_mm: float = 1.6, *, filled: bool = False) -> None:
        """A small circle of a diameter on paper."""
        (centre,) = self._mm(at)
        radius = size_mm * self.scale / 2
        self._low = np.minimum(self._low, centre - radius)
        self._high = np.maximum(self._high, centre + radius)
        if filled:
            hatch = self.space.add_hatch(color=256, dxfattribs=self._on(layer))
            hatch.paths.add_edge_path().add_arc(tuple(centre), radius, 0, 360)
        self.space.add_circle(tuple(centre), radius, dxfattribs=self._on(layer))

    def hatch(
        self, rings: Sequence[ArrayLike], layer: str, *, angle_deg: float = 45, gap_mm: float = 1.5
    ) -> None:
        """Parallel strokes inside closed rings; gap between strokes on paper."""
        hatch = self.space.add_hatch(color=256, dxfattribs=self._on(layer))
        gap = gap_mm * self.scale
        rad = math.radians(angle_deg)
        offset = (-gap * math.sin(rad), gap * math.cos(rad))
        hatch.set_pattern_fill(
            "STROKES", color=256, definition=[[angle_deg, (0.0, 0.0), offset, []]]
        )
        for ring in rings:
            hatch.paths.add_polyline_path(self._mm(ring).tolist(), is_closed=True)

    def tint(self, ring: ArrayLike, layer: str) -> None:
        """A filled area."""
        hatch = self.space.add_hatch(color=256, dxfattribs=self._on(layer))
        hatch.paths.add_polyline_path(self._mm(ring).tolist(), is_closed=True)

    def wipe(self, ring: ArrayLike) -> None:
        """White ground, under lettering that stands on a hatch."""
        hatch = self.space.add_hatch(color=256, dxfattribs=self._on("GROUND"))
        hatch.paths.add_polyline_path(self._mm(ring).tolist(), is_closed=True)

    def clear_ground(
        self, at: ArrayLike, words: Message | str, *, height_mm: float = TEXT_MM, angle: float = 0.0
    ) -> None:
        """White ground for a text that will stand with its middle here, over what crosses it."""
        spoken = words if isinstance(words, str) else self.voice(words)
        middle = np.asarray(at, float)[:2]
        half = (width_of(spoken, height_mm) + 0.6 * height_mm) / 2
        along = np.array([math.cos(angle), math.sin(angle)]) * self.paper(half)
        up = np.array([-math.sin(angle), math.cos(angle)]) * self.paper(0.9 * height_mm)
        self.wipe(
            [middle - along - up, middle + along - up, middle + along + up, middle - along + up]
        )

    def text(
        self,
        at: ArrayLike,
        words: Message | str,
        *,
        anchor: Anchor = "middle",
        height_mm: float = TEXT_MM,
        angle: float = 0.0,
        bold: bool = False,
        layer: str = "LETTERING",
    ) -> None:
        """A line of text; angle in radians. It reads from below or from the right (ISO 3098-1): what
        would stand on its head, or read from the left, is turned round."""
        spoken = words if isinstance(words, str) else self.voice(words)
        if not spoken:
            return
        degrees = math.degrees(angle)
        if not -89.9 < (degrees + 180) % 360 - 180 <= 90.1:
            degrees += 180
            anchor = {"left": "right", "right": "left", "top": "over", "over": "top"}.get(  # type: ignore[assignment]
                anchor, anchor
            )
        (place,) = self._mm(at)
        entity = self.space.add_text(
            spoken,
            height=height_mm * self.scale,
            rotation=degrees,
            dxfattribs=self._on(layer) | {"style": "BOLD" if bold else "PLAIN"},
        )
        entity.set_placement(tuple(place), align=_ANCHORS[anchor])
        self._grow_by_text(place, spoken, height_mm, degrees, anchor, bold)

    def _grow_by_text(
        self,
        place: NDArray[np.float64],
        spoken: str,
        height_mm: float,
        degrees: float,
        anchor: str,
        bold: bool,
    ) -> None:
        """Let the box of the drawing take in the text."""
        high = height_mm * self.scale * 1.3
        wide = width_of(spoken, height_mm * self.scale, bold)
        across = {"left": 0.0, "under left": 0.0, "right": -1.0, "under right": -1.0}.get(
            anchor, -0.5
        )
        up = {"top": -1.0, "under left": -1.0, "under right": -1.0, "over": 0.0}.get(anchor, -0.5)
        turn = math.radians(degrees)
        along = np.array([math.cos(turn), math.sin(turn)])
        upward = np.array([-math.sin(turn), math.cos(turn)])
        corner = place + across * wide * along + up * high * upward
        self._mm(
            np.array(
                [corner, corner + wide * along, corner + high * upward,
                 corner + wide * along + high * upward]
            )
            / 1e3
        )  # fmt: skip

    def arrow(self, tip: ArrayLike, tail: ArrayLike, layer: str, size_mm: float = 2.2) -> None:
        """A stroke from tail to tip with a filled head at the tip."""
        (head,), (foot,) = self._mm(tip), self._mm(tail)
        way = head - foot
        length = float(np.hypot(*way))
        if length == 0.0:
            return
        along = way / length
        size = min(size_mm * self.scale, 0.6 * length)
        square = np.array([-along[1], along[0]]) * size * 0.18
        neck = head - along * size
        self.space.add_line(tuple(foot), tuple(neck), dxfattribs=self._on(layer))
        self.space.add_solid(
            [tuple(head), tuple(neck + square), tuple(neck - square)], dxfattribs=self._on(layer)
        )

    def leader(
        self, at: ArrayLike, to: ArrayLike, words: Message | str, *, arrow: bool = True
    ) -> None:
        """A note with a line that points at something."""
        at, to = np.asarray(at, float)[:2], np.asarray(to, float)[:2]
        right = to[0] >= at[0]
        if arrow:
            self.arrow(at, to, "DIMENSION", 2.0)
        else:
            self.lines([(at, to)], "DIMENSION")
        shelf = to + np.array([self.paper(2.0) * (1 if right else -1), 0.0])
        self.lines([(to, shelf)], "DIMENSION")
        gap = np.array([self.paper(1.0) * (1 if right else -1), 0.0])
        self.text(shelf + gap, words, anchor="left" if right else "right")

    def measure(
        self,
        start: ArrayLike,
        end: ArrayLike,
        *,
        away_mm: float = 8.0,
        angle: float | None = None,
        label: Message | str | None = None,
        on_ground: bool = False,
    ) -> None:
        """A dimension between two points; `away_mm` to the left of the way from start to end.

        angle (rad) forces the direction that is measured (0 level, pi/2 plumb); without it the
        dimension is aligned with the two points. on_ground: its figure stands on white ground, to be
        read where it crosses tiles.
        """
        (a,), (b,) = self._mm(start), self._mm(end)
        if angle is None:
            way = b - a
            angle = math.atan2(way[1], way[0])
        if not -1.55 < math.remainder(angle, math.tau) < 1.59:
            # Turned about, so that its figure does not stand on its head.
            a, b, angle, away_mm = b, a, angle + math.pi, -away_mm
        along = np.array([math.cos(angle), math.sin(angle)])
        value = abs(float(np.dot(b - a, along))) * 1e-3
        left = np.array([-along[1], along[0]])
        base = a + left * away_mm * self.scale
        spoken = label if label is not None else bare_length(self.voice, value)
        text = spoken if isinstance(spoken, str) else self.voice(spoken)
        if on_ground:
            middle = base + along * float(np.dot(b - a, along)) / 2
            over = left * TEXT_MM * self.scale
            half = along * (width_of(text, TEXT_MM * self.scale) / 2 + 0.6 * self.scale)
            self.wipe(
                np.array([middle - half, middle + half, middle + half + 1.5 * over,
                          middle - half + 1.5 * over]) / 1e3
            )  # fmt: skip
        dimension = self.space.add_linear_dim(
            base=Vec2(base),
            p1=Vec2(a),
            p2=Vec2(b),
            angle=math.degrees(angle),
            text=text,
            dimstyle="MASON",
            dxfattribs=self._on("DIMENSION"),
        )
        dimension.render()
        outer = base + left * np.sign(away_mm) * 5.0 * self.scale
        along_end = along * float(np.dot(b - a, along))
        self._mm(np.array([outer, outer + along_end]) / 1e3)

    def level(
        self,
        at: ArrayLike,
        level: float,
        words: Message | str,
        *,
        side: int = 1,
        raised_mm: float = 0.0,
    ) -> None:
        """A level mark: a short line, a triangle standing on it, the level and what it is."""
        at = np.asarray(at, float)
        run = np.array([self.paper(6.0) * side, 0.0])
        self.lines([(at, at + run)], "LEVEL")
        half = self.paper(1.2)
        foot = at + run * 0.35
        self.line(
            [foot, moved(foot, half, 1.6 * half), moved(foot, -half, 1.6 * half)],
            "LEVEL",
            closed=True,
        )
        spoken = words if isinstance(words, str) else self.voice(words)
        self.text(
            moved(at + run, self.paper(1.0) * side, self.paper(raised_mm)),
            f"{spoken}  {signed_level(self.voice, level)}",
            anchor="left" if side > 0 else "right",
        )

    def finish(
        self, *, margin_mm: float = 3.0, notes: tuple[Message, ...] = (),
        box: tuple[float, float, float, float] | None = None, diagram: bool = False,
    ) -> Picture:  # fmt: skip
        """Close the drawing. box in metres, else all that was drawn and a margin; diagram: it has no
        scale."""
        if box is None:
            grow = margin_mm * self.scale
            edges = (*(self._low - grow), *(self._high + grow))
        else:
            edges = tuple(edge * 1e3 for edge in box)
        x0, y0, x1, y1 = (float(edge) for edge in edges)
        # Whole tenths of a millimetre on paper: the renderer rounds the page to that.
        step = self.scale / 10
        box_mm = (x0, y0, x0 + math.ceil((x1 - x0) / step - 1e-9) * step,
                  y0 + math.ceil((y1 - y0) / step - 1e-9) * step)  # fmt: skip
        return Picture(self.name, self.title, self.doc, self.scale, box_mm, notes, diagram)


def moved(point: ArrayLike, right: float, up: float) -> NDArray[np.float64]:
    """A point moved to the right and up."""
    x, y = np.asarray(point, dtype=float)[:2]
    return np.array([x + right, y + up])


__all__ = [
    "SCALES", "TEXT_MM", "Anchor", "Board", "Picture", "bare_length", "fitted", "moved",
    "scales_from", "signed_level", "unit_note",
]  # fmt: skip
