"""SVG at true size, with its lettering as text and classes of its own."""

from __future__ import annotations

import itertools
import random
import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from ezdxf.addons.drawing import frontend
from ezdxf.math import Vec2
from ezdxf.npshapes import NumpyPath2d
from ezdxf.path import Path as DrawnPath

from timbrel.sheets.board import Board, Picture
from timbrel.sheets.font import FAMILY, use_only_ours
from timbrel.sheets.svg import PER_MM, _Strokes, to_dxf, to_svg
from timbrel.words import Voice, say

NS = "{http://www.w3.org/2000/svg}"


def drawn(name: str = "trial", extra: bool = False, scale: int = 10) -> Picture:
    board = Board(name, say("Trial"), Voice(), scale)
    board.line([(0.0, 0.0), (1.0, 0.0)], "EDGE")
    board.text((0.5, 0.1), "nail 2160 from A", bold=True)
    if extra:
        board.line([(0.2, -0.3), (0.4, -0.3)], "AXIS")
    return board.finish(box=(-0.1, -0.4, 1.1, 0.3))


def test_a_metre_at_one_to_ten_is_a_hundred_millimetres_of_paper() -> None:
    root = ET.fromstring(to_svg(drawn()))
    assert root.get("width") == "120mm" and root.get("height") == "70mm"
    assert root.get("viewBox") == f"0 0 {120 * PER_MM} {70 * PER_MM}"
    path = next(p for p in root.iter(f"{NS}path") if p.get("d", "").startswith("M 1000 "))
    moves = [int(n) for n in re.findall(r"-?\d+", path.get("d", ""))]
    assert moves == [1000, 3000, 10000, 0]


def test_a_further_line_moves_nothing() -> None:
    plain, more = to_svg(drawn()), to_svg(drawn(extra=True))
    first = re.search(r'd="(M 1000[^"]*)"', plain)
    second = re.search(r'd="(M 1000[^"]*)"', more)
    assert first and second and first[1] == second[1]


def test_lettering_stays_text_in_our_typeface() -> None:
    root = ET.fromstring(to_svg(drawn()))
    (text,) = root.iter(f"{NS}text")
    assert text.text == "nail 2160 from A"
    assert text.get("font-weight") == "bold"
    group = next(g for g in root.iter(f"{NS}g") if g.get("font-family"))
    assert group.get("font-family", "").startswith(FAMILY)


def test_every_drawing_of_the_example_carries_its_lettering(pictures: dict[str, Picture]) -> None:
    for name, picture in pictures.items():
        entities = picture.doc.modelspace().query("TEXT DIMENSION")
        root = ET.fromstring(picture.svg)
        assert len(list(root.iter(f"{NS}text"))) == len(entities), name


def test_two_drawings_on_one_page_do_not_restyle_each_other() -> None:
    one, two = to_svg(drawn("one")), to_svg(drawn("two"))
    classes = [set(re.findall(r"\.([\w-]+) \{", svg)) for svg in (one, two)]
    assert classes[0] and classes[1] and not classes[0] & classes[1]
    used = set(re.findall(r'class="([\w-]+)"', one))
    assert used <= classes[0]


def test_only_our_fonts_are_known() -> None:
    from ezdxf.fonts import fonts

    use_only_ours()
    known = [name for name, _ in fonts.font_manager._font_cache._cache.items()]
    assert known and all(name.startswith("timbrelsans") for name in known)


@pytest.mark.parametrize("render", [to_svg, to_dxf])
def test_equal_drawings_give_equal_bytes(render) -> None:  # type: ignore[no-untyped-def]
    assert render(drawn()) == render(drawn())


def test_dxf_can_be_read_again() -> None:
    import io

    import ezdxf

    doc = ezdxf.read(io.StringIO(to_dxf(drawn()).decode()))
    assert not doc.audit().errors
    assert doc.modelspace().query("TEXT").first.dxf.text == "nail 2160 from A"


def _ends(path: str) -> np.ndarray:
    """Every place that a path of straight steps comes to, by the grammar of SVG 2, 9.3."""
    steps = np.array(re.findall(r"-?\d+", path), dtype=float).reshape(-1, 2)
    return np.cumsum(steps, axis=0)


def test_a_long_hatch_does_not_drift() -> None:
    """The last of thousands of strokes stands where it should, to half a hundredth of a mm."""
    rng = np.random.default_rng(3)
    places = rng.uniform(0, 20000, (4000, 2, 2))
    lines = [(Vec2(a), Vec2(b)) for a, b in places]
    path = _Strokes.make_multi_line_str(lines)
    assert np.abs(_ends(path) - places.reshape(-1, 2)).max() <= 0.5
    way = [Vec2(p) for p in places[:, 0]]
    for closed in (False, True):
        path = _Strokes.make_polyline_str(way, close=closed)
        assert np.abs(_ends(path) - places[:, 0]).max() <= 0.5
        assert path.endswith("Z") == closed
    curve = DrawnPath(way[0])
    for point in way[1:]:
        curve.line_to(point)
    assert np.abs(_ends(_Strokes.make_path_str(NumpyPath2d(curve))) - places[:, 0]).max() <= 0.5


def test_curves_keep_their_control_points() -> None:
    curve = DrawnPath(Vec2(10.4, 20.4))
    curve.curve4_to(Vec2(40, 0), Vec2(20.6, 30), Vec2(30, 30))
    curve.curve3_to(Vec2(60, 10), Vec2(50, 5))
    curve.move_to(Vec2(5, 5))
    curve.line_to(Vec2(6, 7))
    # CURVE4_TO takes its end first: (40, 0) by way of (20.6, 30) and (30, 30).
    wanted = "M 10 20 c 11 10 20 10 30 -20 q 10 5 20 10 m -55 -5 l 1 2 Z"
    assert _Strokes.make_path_str(NumpyPath2d(curve), close=True) == wanted
    assert _Strokes.make_path_str(NumpyPath2d(DrawnPath(Vec2(1, 1)))) == ""


def test_equal_drawings_give_equal_texts() -> None:
    """The hatch of the library starts at random: the same start is used every time, and chance
    goes on elsewhere as it would have."""
    random.seed(5)
    once = random.random()
    random.seed(5)
    board = Board("hatched", say("Whole pieces"), Voice(), 10)
    board.hatch([[(0, 0), (1, 0), (1, 0.7), (0, 0.7)]], "HALF HATCH")
    picture = board.finish()
    first = to_svg(picture)
    assert random.random() == once
    to_dxf(picture)
    assert to_svg(picture) == first


def test_a_hatch_is_drawn_whole_however_long_it_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock that runs an hour at each look must not cut a hatch short."""
    board = Board("slow", say("Whole pieces"), Voice(), 10)
    board.hatch([[(0, 0), (1, 0), (1, 0.7), (0, 0.7)]], "HALF HATCH")
    picture = board.finish()
    whole = to_svg(picture)
    clock = itertools.count(0.0, 3600.0)
    monkeypatch.setattr(frontend.time, "perf_counter", lambda: next(clock))
    assert to_svg(picture) == whole
