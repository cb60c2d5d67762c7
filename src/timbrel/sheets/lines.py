"""Layers, line types and inks of every drawing, in one table.

Line types by ISO 128-2 (from memory): a dash is 12 d, a long dash 24 d, a gap 3 d, a dot half a d,
d being the width of the line. They are stated here in millimetres of paper; the drawing multiplies
them by its scale. Meaning is carried by line type, hatch and lettering; ink only helps.
"""

from __future__ import annotations

from dataclasses import dataclass

INK = (38, 36, 32)
PALE = (150, 144, 134)
BRICK = (148, 70, 42)
SLATE = (40, 88, 120)
OCHRE = (160, 104, 18)

NARROW_MM = 0.25


@dataclass(frozen=True)
class LineType:
    """One ISO 128 line: drawn lengths positive, gaps negative, 0 a dot; in widths d of the line."""

    name: str
    number: str
    description: str
    parts: tuple[float, ...]

    def pattern(self) -> list[float]:
        """The total length and the parts in millimetres of paper, as DXF wants them."""
        lengths = [part * NARROW_MM for part in self.parts]
        return [sum(abs(part) for part in lengths), *lengths]


LINE_TYPES = (
    LineType("ISO_DASHED", "02", "dashed: hidden edges", (12, -3)),
    LineType("ISO_LONG_DOT", "04", "long dash dot: axes, cuts", (24, -3, 0.5, -3)),
    LineType("ISO_LONG_2DOT", "05", "long dash double dot: neighbours", (24, -3, 0.5, -3, 0.5, -3)),
    LineType("ISO_DOTTED", "07", "dotted: what is not there yet", (0.5, -3)),
)


@dataclass(frozen=True)
class Layer:
    """One layer: its name on the drawing, line type, width in mm and ink."""

    name: str
    linetype: str = "Continuous"
    width_mm: float = 0.25
    ink: tuple[int, int, int] = INK


LAYERS = (
    Layer("ROOM", width_mm=0.50),
    Layer("WALL", width_mm=0.50),
    Layer("WALL HATCH", width_mm=0.13, ink=PALE),
    Layer("AXIS", "ISO_LONG_DOT", 0.18, PALE),
    Layer("CHORD", "ISO_DASHED", 0.18, PALE),
    Layer("INTRADOS", width_mm=0.50),
    Layer("EXTRADOS", width_mm=0.35),
    Layer("BED", width_mm=0.13, ink=PALE),
    Layer("TILE", width_mm=0.18),
    Layer("TILE CUT", width_mm=0.25, ink=BRICK),
    Layer("CUT HATCH", width_mm=0.13, ink=BRICK),
    Layer("HALF HATCH", width_mm=0.09, ink=PALE),
    Layer("BELOW", "ISO_DASHED", 0.13, PALE),
    Layer("EDGE", width_mm=0.50),
    Layer("FILL", "ISO_DASHED", 0.25, OCHRE),
    Layer("FILL HATCH", width_mm=0.09, ink=OCHRE),
    Layer("LEVEL", width_mm=0.18),
    Layer("CENTRING", width_mm=0.50, ink=OCHRE),
    Layer("WEDGE", width_mm=0.35, ink=BRICK),
    Layer("LAGGING", width_mm=0.18, ink=OCHRE),
    Layer("JOINT", width_mm=0.09, ink=PALE),
    Layer("THRUST LEAST", width_mm=0.50, ink=SLATE),
    Layer("THRUST GREATEST", "ISO_DASHED", 0.50, BRICK),
    Layer("MIDDLE THIRD", "ISO_DOTTED", 0.25, PALE),
    Layer("STRUT HEAVY", width_mm=0.70, ink=SLATE),
    Layer("STRUT", width_mm=0.35, ink=SLATE),
    Layer("STRUT LIGHT", width_mm=0.13, ink=SLATE),
    Layer("THRUST", width_mm=0.50, ink=BRICK),
    Layer("HINGE", width_mm=0.35, ink=BRICK),
    Layer("LOAD", width_mm=0.25, ink=SLATE),
    Layer("REST DAY", width_mm=0.09, ink=(232, 232, 228)),
    Layer("TIE", "ISO_DASHED", 0.50, SLATE),
    Layer("PLATE", width_mm=0.70, ink=SLATE),
    Layer("DIMENSION", width_mm=0.13),
    Layer("GROUND", width_mm=0.09, ink=(255, 255, 255)),
    Layer("LETTERING", width_mm=0.18),
    Layer("NOTE", width_mm=0.13, ink=PALE),
    Layer("REGISTER", width_mm=0.18),
    Layer("CUT LINE", width_mm=0.50),
)
OUR_LAYERS = {layer.name: layer for layer in LAYERS}
