"""A picture as SVG at its true size on paper.

ezdxf's own back-end draws the lines. Lettering is kept as text, so that a drawing can be searched,
read aloud and copied, and stays small. The view box counts hundredths of a millimetre of paper.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Protocol
from xml.etree import ElementTree as ET

from ezdxf.addons.acadctb import ColorDependentPlotStyles, new_ctb
from ezdxf.addons.drawing import layout
from ezdxf.addons.drawing.config import (
    BackgroundPolicy,
    ColorPolicy,
    Configuration,
    HatchPolicy,
    LinePolicy,
    LineweightPolicy,
)
from ezdxf.addons.drawing.frontend import UniversalFrontend
from ezdxf.addons.drawing.pipeline import RenderPipeline2d
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.addons.drawing.svg import SVGBackend, SVGRenderBackend
from ezdxf.document import Drawing
from ezdxf.math import BoundingBox2d, Matrix44, Vec2
from ezdxf.path import Command

from timbrel.sheets.font import BOLD, CAP_HEIGHT, FAMILY, use_only_ours, width_of
from timbrel.words import Message

PER_MM = 100
"""View box units a millimetre of paper."""


class Drawn(Protocol):
    """What a finished drawing tells of itself: see :class:`timbrel.sheets.picture.Picture`."""

    @property
    def name(self) -> str: ...

    @property
    def title(self) -> Message: ...

    @property
    def doc(self) -> Drawing: ...

    @property
    def scale(self) -> int: ...

    @property
    def box(self) -> tuple[float, float, float, float]: ...

    @property
    def width_mm(self) -> float: ...

    @property
    def height_mm(self) -> float: ...


@dataclass(frozen=True)
class _Lettering:
    text: str
    place: Matrix44
    height: float
    ink: str
    bold: bool


class _TextKeeper(RenderPipeline2d):
    """Passes everything on but text, which it keeps."""

    def __init__(self, backend: SVGBackend) -> None:
        super().__init__(backend)
        self.kept: list[_Lettering] = []

    def draw_text(
        self,
        text: str,
        transform: Matrix44,
        properties: Any,
        cap_height: float,
        dxftype: str = "TEXT",
    ) -> None:
        bold = properties.font is not None and properties.font.filename == BOLD
        self.kept.append(_Lettering(text, transform, cap_height, properties.color[:7], bold))


class _Strokes(SVGRenderBackend):
    """Writes paths as steps between places that were rounded before.

    The library rounds each step; over the thousands of strokes of a hatch the roundings add up and
    the last strokes stood some tenths of a millimetre off.
    """

    @staticmethod
    def make_polyline_str(points: Sequence[Vec2], close: bool = False) -> str:
        if len(points) < 2:
            return ""
        (x, y), *rest = _rounded(points)
        written = [f"M {x} {y} l"]
        for u, v in rest:
            written.append(f"{u - x} {v - y}")
            x, y = u, v
        return " ".join(written) + " Z" * close

    @staticmethod
    def make_multi_line_str(lines: Sequence[tuple[Vec2, Vec2]]) -> str:
        written = []
        x = y = 0
        for start, end in lines:
            (p, q), (u, v) = _rounded((start, end))
            written.append(f"m {p - x} {q - y} l {u - p} {v - q}")
            x, y = u, v
        # A path that begins with a step begins at the corner of the sheet (SVG 2, 9.3.3).
        return "M" + " ".join(written)[1:]

    @staticmethod
    def make_path_str(path: Any, close: bool = False) -> str:
        if len(path) == 0:
            return ""
        ((x, y),) = _rounded((path.start,))
        written = [f"M {x} {y}"]
        for command in path.commands():
            letter, controls = _CURVES[command.type]
            ends = _rounded([*(getattr(command, name) for name in controls), command.end])
            written.append(letter + "".join(f" {u - x} {v - y}" for u, v in ends))
            x, y = ends[-1]
        return " ".join(written) + " Z" * close


_CURVES: dict[Command, tuple[str, tuple[str, ...]]] = {
    Command.MOVE_TO: ("m", ()),
    Command.LINE_TO: ("l", ()),
    Command.CURVE3_TO: ("q", ("ctrl",)),
    Command.CURVE4_TO: ("c", ("ctrl1", "ctrl2")),
}
"""The letter of each command of a path in SVG, and its control points."""


def _rounded(points: Sequence[Vec2]) -> list[tuple[int, int]]:
    return [(round(point.x), round(point.y)) for point in points]


class _Backend(SVGBackend):
    @staticmethod
    def make_backend(page: layout.Page, settings: layout.Settings) -> _Strokes:
        return _Strokes(page, settings)


_CONFIG = Configuration(
    background_policy=BackgroundPolicy.OFF,
    color_policy=ColorPolicy.COLOR,
    line_policy=LinePolicy.ACCURATE,
    hatch_policy=HatchPolicy.NORMAL,
    lineweight_policy=LineweightPolicy.ABSOLUTE,
    lineweight_scaling=1.0,
    min_lineweight=0.05 / 25.4 * 300,
    max_flattening_distance=0.2,
    # The library gives a hatch half a minute and then leaves it half drawn: on a busy machine a
    # sheet would be silently wrong.
    hatching_timeout=math.inf,
)


@lru_cache(maxsize=1)
def _plot_styles() -> ColorDependentPlotStyles:
    """A plot style table that changes nothing; the library makes three anew for each drawing."""
    return new_ctb()


@contextmanager
def _same_chances() -> Iterator[None]:
    """The library moves each hatch by a thousandth of its spacing, at random: equal drawings must
    give equal texts."""
    state = random.getstate()
    random.seed(1)
    try:
        yield
    finally:
        random.setstate(state)


def to_svg(picture: Drawn) -> str:
    """The picture as an SVG element of width_mm x height_mm, with classes of its own."""
    use_only_ours()
    backend = _Backend()
    keeper = _TextKeeper(backend)
    context = RenderContext(picture.doc, ctb=_plot_styles())
    with _same_chances():
        UniversalFrontend(context, keeper, config=_CONFIG).draw_layout(picture.doc.modelspace())
    wide, high = picture.width_mm, picture.height_mm
    page = layout.Page(wide, high, layout.Units.mm, margins=layout.Margins.all(0))
    settings = layout.Settings(
        fit_page=False,
        scale=1.0 / picture.scale,
        output_coordinate_space=max(wide, high) * PER_MM,
    )
    x0, y0, x1, y1 = picture.box
    root = backend.get_xml_root_element(
        page, settings=settings, render_box=BoundingBox2d([Vec2(x0, y0), Vec2(x1, y1)])
    )
    matrix = backend.transformation_matrix
    assert matrix is not None
    _write_text(root, keeper.kept, matrix)
    _finish(root, picture)
    return ET.tostring(root, encoding="unicode")


def _write_text(root: ET.Element, kept: list[_Lettering], matrix: Matrix44) -> None:
    group = ET.SubElement(root, "g", {"font-family": f"{FAMILY}, sans-serif", "stroke": "none"})
    for item in kept:
        foot = matrix.transform(item.place.transform((0, 0)))
        ahead = matrix.transform(item.place.transform((1, 0)))
        way = ahead - foot
        size = item.height * math.hypot(way.x, way.y) / CAP_HEIGHT
        turn = math.degrees(math.atan2(way.y, way.x))
        wide = width_of(item.text, item.height, item.bold) * math.hypot(way.x, way.y)
        x, y = round(foot.x), round(foot.y)
        marks = {
            "x": f"{x}",
            "y": f"{y}",
            "font-size": f"{size:.0f}",
            "textLength": f"{wide:.0f}",
            "fill": item.ink,
        }
        if item.bold:
            marks["font-weight"] = "bold"
        if abs(turn) > 0.01:
            marks["transform"] = f"rotate({turn:.2f} {x} {y})"
        ET.SubElement(group, "text", marks).text = item.text


def _finish(root: ET.Element, picture: Drawn) -> None:
    """Prefix the classes, so that two drawings on one page do not restyle each other; a title."""
    prefix = picture.name.replace(".", "-")
    for element in root.iter():
        if "class" in element.attrib:
            element.set("class", f"{prefix}-{element.get('class')}")
        if element.tag == "style" and element.text:
            element.text = element.text.replace(".C", f".{prefix}-C", 1)
    for rect in root.findall("rect"):
        root.remove(rect)
    root.set("role", "img")
    title = ET.Element("title")
    title.text = str(picture.title)
    root.insert(0, title)


def to_dxf(picture: Drawn) -> bytes:
    """The picture as DXF. Equal pictures give equal bytes: no times, no new identities."""
    import io

    from ezdxf._options import options

    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        out = io.StringIO()
        picture.doc.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return picture.doc.encode(out.getvalue())
