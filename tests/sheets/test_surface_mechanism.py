"""The mechanism that bounds a surface from above, as it is drawn."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.sheets.board import Picture
from timbrel.sheets.surface_mechanism import mechanism_picture
from timbrel.sheets.surface_net import _outline
from timbrel.sheets.svg import to_svg
from timbrel.statics.mechanism_figures import Face, MechanismFigures, OpeningLine
from timbrel.words import Voice, say

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def groin() -> Any:
    job = load_job(EXAMPLES / "market-groin" / "job.toml").job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    return SimpleNamespace(room=vault.room, vault=vault, bond=SimpleNamespace(openings=()))


def drawn(plan: Any, figures: MechanismFigures) -> Picture:
    return mechanism_picture(plan, figures, say("Imposed, left half"), Voice(), 25, _outline)


def entities(picture: Picture, kind: str) -> list[Any]:
    space = picture.doc.modelspace()
    return [e for e in space.query(kind) if e.dxf.layer == "HINGE"]


def test_a_rib_shows_four_hinges_two_of_them_filled(groin: Any) -> None:
    turns: tuple[tuple[float, Face], ...] = (
        (0.0, "foot"),
        (1.2, "top"),
        (2.5, "foot"),
        (3.4, "top"),
    )
    lines = tuple(
        OpeningLine(np.array([x, 0.0]), np.array([x, 0.0]), face, 1.0) for x, face in turns
    )
    none = np.zeros((0, 2))
    figures = MechanismFigures("edge rib", 3.0, lines, none, none[:, 0], None, None)
    picture = drawn(groin, figures)
    assert picture.name == "net-upper"
    assert len(entities(picture, "CIRCLE")) == 4 and len(entities(picture, "HATCH")) == 2
    notes = [Voice()(note) for note in picture.notes]
    assert "3.00" in notes[0] and len(notes) == 2
    assert "<svg" in to_svg(picture)


def test_webs_show_their_rings_and_what_turns_where(groin: Any) -> None:
    """Three squares and four cracks: a ring on each side of a square, open on the foot's."""
    lines = []
    for half, face in ((0.3, "top"), (1.0, "foot"), (1.7, "top")):
        square = 1.7 + half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
        ends = zip(square, np.roll(square, -1, axis=0), strict=True)
        turns: Any = face
        lines += [OpeningLine(start, end, turns, 1.0) for start, end in ends]
    lines += [OpeningLine(np.full(2, 1.4), np.zeros(2), None, 1.0)]
    none = np.zeros((0, 2))
    figures = MechanismFigures("webs", 12.0, tuple(lines), none, none[:, 0], 0.0, 0.0)
    picture = drawn(groin, figures)
    assert len(entities(picture, "CIRCLE")) == 12 and len(entities(picture, "HATCH")) == 8
    assert any("valleys" in Voice()(note) for note in picture.notes)


def test_blocks_that_sink_are_rings_and_those_that_rise_are_crosses(groin: Any) -> None:
    places = np.array([[1.0, 1.0], [2.0, 2.0], [3.0, 1.0]])
    crack = OpeningLine(np.array([1.0, 0.5]), np.array([1.0, 2.5]), None, 1.0)
    hair = OpeningLine(np.array([2.0, 0.5]), np.array([2.0, 2.5]), None, 0.05)
    sinks = np.array([1.0, -0.5, 0.01])
    figures = MechanismFigures("rigid blocks", 5.0, (crack, hair), places, sinks, 0.0, 0.0)
    picture = drawn(groin, figures)
    (ring,) = entities(picture, "CIRCLE")
    assert ring.dxf.center.x == pytest.approx(1000.0) and ring.dxf.center.y == pytest.approx(1000.0)
    assert len(entities(picture, "LINE")) == 2  # one cross; what hardly moves is left out
    layers = [e.dxf.layer for e in picture.doc.modelspace().query("LINE")]
    assert layers.count("STRUT HEAVY") == 1 and layers.count("STRUT LIGHT") == 1
