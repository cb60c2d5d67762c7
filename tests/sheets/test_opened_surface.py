"""The model of a vault on a plan with an opening: closed, and lighter by what is cut out."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from shapely import Polygon, contains_xy
from tests.opened_vaults import VAULTS, opened_vault

from timbrel.shape.opened_plan import openings_of
from timbrel.sheets.surface_models import surface_mesh
from timbrel.sheets.surface_sections import in_openings


@pytest.mark.parametrize("family", VAULTS)
def test_the_body_is_closed_and_the_opening_is_missing(family: str) -> None:
    job, vault = opened_vault(family)
    openings = openings_of(job, vault)
    whole, opened = surface_mesh(vault), surface_mesh(vault, openings)
    assert opened.is_watertight
    placed = openings[0]
    cut = placed.along * placed.across * vault.thickness * (0.785 if placed.round else 1.0)
    assert whole.volume - opened.volume == pytest.approx(cut, rel=0.12)


@pytest.mark.parametrize("family", VAULTS)
def test_a_section_leaves_out_what_lies_in_an_opening_on_each_face(family: str) -> None:
    """Sides are square to the shell: on a leaning shell the hole lies elsewhere on either face."""
    job, vault = opened_vault(family)
    (placed,) = openings_of(job, vault)
    shown: Any = SimpleNamespace(job=job, vault=vault)
    middle = placed.plan.mean(axis=0)
    away = np.linspace(-0.6, 0.6, 121)
    x, y = (a.ravel() for a in np.meshgrid(middle[0] + away, middle[1] + away))
    inner, outer = (in_openings(shown, x, y, offset) for offset in (0.0, vault.thickness))
    assert np.array_equal(inner, contains_xy(Polygon(placed.plan), x, y))
    assert outer.any() and not outer.all() and not np.array_equal(inner, outer)
