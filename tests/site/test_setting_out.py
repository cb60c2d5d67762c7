"""Lines on the walls, levels, tapes: against the geometry of the room and the vault."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.site.given_jobs import job_of, out_of_square, segment_radius, vault_of

from timbrel.site.ends import ends_of
from timbrel.site.setting_out import springing_line, tapes, wall_line


def test_offsets_of_a_segment_by_hand() -> None:
    vault = vault_of(job_of())
    line = wall_line(ends_of(vault)[0], vault.thickness, 0.5)
    radius = segment_radius(3.0, 0.6)
    assert line.x == pytest.approx([0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0])
    expected = [math.sqrt(radius**2 - (x - 1.5) ** 2) - (radius - 0.6) for x in line.x]
    assert line.y == pytest.approx(expected, abs=1e-9)
    assert line.level == pytest.approx(np.add(expected, 2.1), abs=1e-9)
    assert line.crown_level == pytest.approx(2.7)
    outer = [
        math.sqrt((radius + vault.thickness) ** 2 - (x - 1.5) ** 2) - (radius - 0.6) for x in line.x
    ]
    assert line.outer == pytest.approx(outer, abs=1e-9)


def test_tapes_close_the_room_that_was_given() -> None:
    corners = out_of_square()
    found = {t.start + t.end: t for t in tapes(*ends_of(vault_of(job_of(), corners)))}
    a, b, c, d = corners
    for name, p, q in (("AB", a, b), ("BC", b, c), ("AC", a, c), ("BD", b, d)):
        assert found[name].slope == pytest.approx(np.linalg.norm(q - p), abs=1e-9)
        assert found[name].plan == pytest.approx(np.linalg.norm((q - p)[:2]), abs=1e-9)
    assert len(found) == 6


def test_levels_along_a_springing_run_straight_between_its_ends() -> None:
    line = springing_line("left", np.array([0.0, 0, 2.1]), np.array([0.0, 3.9, 2.0]), 0.5)
    assert line.distance[-1] == pytest.approx(3.9)
    assert line.level[[0, -1]] == pytest.approx([2.1, 2.0])
    assert line.level == pytest.approx(2.1 - 0.1 * line.distance / 3.9)


def test_levels_of_a_leaning_end_are_those_of_the_vault() -> None:
    vault = vault_of(job_of(), out_of_square())
    line = wall_line(ends_of(vault)[1], vault.thickness, 0.2)
    section = vault.section(1.0, n=2001)
    assert line.level == pytest.approx(np.interp(line.level_x, *section.T), abs=1e-6)
