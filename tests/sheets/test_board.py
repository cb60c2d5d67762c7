"""The drawing board: layers, line types, scales, lettering."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.sheets.board import SCALES, Board, Picture, fitted, signed_level
from timbrel.sheets.lines import LAYERS, LINE_TYPES
from timbrel.words import Voice, say


def board(scale: int = 20) -> Board:
    return Board("trial", say("Trial"), Voice(), scale)


def test_every_drawing_of_the_example_passes_the_audit(pictures: dict[str, Picture]) -> None:
    for name, picture in pictures.items():
        auditor = picture.doc.audit()
        assert not auditor.errors and not auditor.fixes, name


def test_drawings_use_our_layers_only(pictures: dict[str, Picture]) -> None:
    ours = {layer.name for layer in LAYERS} | {"0"}
    for name, picture in pictures.items():
        used = {entity.dxf.layer for entity in picture.doc.modelspace()}
        assert used <= ours, name
        known = {layer.dxf.name for layer in picture.doc.layers}
        assert used <= known <= ours | {"Defpoints"}, name


def test_line_types_grow_with_the_scale_so_that_paper_shows_them_alike() -> None:
    doc = board(25).doc
    assert doc.header["$LTSCALE"] == 25
    for kind in LINE_TYPES:
        total, *parts = kind.pattern()
        assert total == pytest.approx(sum(abs(p) for p in parts))
        assert kind.name in doc.linetypes


def test_drawing_is_in_millimetres() -> None:
    trial = board()
    trial.line([(0.0, 0.0), (1.25, 0.0)], "EDGE")
    (line,) = trial.space.query("LWPOLYLINE")
    assert [tuple(p)[:2] for p in line.get_points()] == [(0.0, 0.0), (1250.0, 0.0)]
    assert trial.doc.header["$INSUNITS"] == 4


def test_scale_is_the_largest_that_fits_with_its_lettering() -> None:
    def draw(scale: int) -> tuple[Picture, ...]:
        trial = board(scale)
        trial.line([(0.0, 0.0), (3.9, 2.0)], "EDGE")
        trial.text((3.9, 1.0), "forty millimetres of lettering or so", anchor="left")
        return (trial.finish(),)

    (picture,) = fitted(draw, (3.9, 2.0), (210.0, 120.0))
    assert picture.scale in SCALES
    assert picture.width_mm <= 210.0
    finer = SCALES[SCALES.index(picture.scale) - 1]
    assert draw(finer)[0].width_mm > 210.0


def test_lettering_wider_than_the_paper_ends_the_search() -> None:
    """It hung once: no scale makes lettering smaller."""

    def draw(scale: int) -> tuple[Picture, ...]:
        trial = board(scale)
        trial.line([(0.0, 0.0), (3.9, 2.0)], "EDGE")
        trial.text((3.9, 1.0), "a name that somebody made very long " * 8, anchor="left")
        return (trial.finish(),)

    (picture,) = fitted(draw, (3.9, 2.0), (210.0, 120.0))
    assert picture.width_mm > 210.0


@settings(max_examples=40, deadline=None)
@given(angle=st.floats(-math.pi, math.pi), away=st.floats(-20, 20))
def test_dimensions_never_stand_on_their_head(angle: float, away: float) -> None:
    trial = board()
    end = np.array([math.cos(angle), math.sin(angle)]) * 2.0
    trial.measure((0.0, 0.0), end, away_mm=away)
    (dimension,) = trial.space.query("DIMENSION")
    turn = math.remainder(math.radians(dimension.dxf.angle), math.tau)
    assert -math.pi / 2 < turn <= 1.6
    texts = [e for e in dimension.get_geometry_block() if e.dxftype() in ("TEXT", "MTEXT")]
    spoken = [t.text if t.dxftype() == "MTEXT" else t.dxf.text for t in texts]
    assert spoken == ["2\u202f000"]


def test_levels_are_signed() -> None:
    voice = Voice()
    assert signed_level(voice, 2.45) == "+2.450"
    assert signed_level(voice, 0.0) == "±0.000"
    assert signed_level(voice, -0.12) == "-0.120"
    assert signed_level(Voice(length_unit="ft"), 0.3048) == "+1 ft 0 in"


def test_text_is_inside_the_box_of_its_drawing() -> None:
    trial = board()
    trial.line([(0.0, 0.0), (0.1, 0.0)], "EDGE")
    trial.text((0.1, 0.0), "far out on the right", anchor="left")
    alone = board()
    alone.line([(0.0, 0.0), (0.1, 0.0)], "EDGE")
    assert trial.finish().width_mm > alone.finish().width_mm + 20


@pytest.mark.parametrize("degrees", [-180, -135, -90, -45, 0, 45, 90, 135, 180, 270])
def test_lettering_reads_from_below_or_from_the_right(degrees: int) -> None:
    """ISO 3098-1, from memory: a text that climbs reads from the right, none from the left."""
    trial = board()
    trial.text((0.0, 0.0), "wall", angle=math.radians(degrees))
    (text,) = trial.space.query("TEXT")
    turned = (text.dxf.rotation + 180) % 360 - 180
    assert -90 < turned <= 90
    assert (turned - degrees) % 180 == pytest.approx(0.0, abs=1e-9)


def test_ground_is_as_large_as_what_stands_on_it() -> None:
    trial = board(10)
    trial.clear_ground((1.0, 2.0), "tie at the springing", angle=math.pi / 2)
    (ground,) = trial.space.query("HATCH")
    ring = np.array([v[:2] for v in ground.paths[0].vertices])
    wide, high = np.ptp(ring, axis=0) / 10
    assert 2.0 <= wide <= 6.0, "the height of the letters and some air, mm on paper"
    assert 20.0 <= high <= 45.0
    assert ring.mean(axis=0) == pytest.approx([1000.0, 2000.0])
