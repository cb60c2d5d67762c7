"""The model of a vault on a plan with an opening: closed, and lighter by what is cut out."""

from __future__ import annotations

import pytest
from tests.opened_vaults import VAULTS, opened_vault

from timbrel.shape.opened_plan import openings_of
from timbrel.sheets.surface_models import surface_mesh


@pytest.mark.parametrize("family", VAULTS)
def test_the_body_is_closed_and_the_opening_is_missing(family: str) -> None:
    job, vault = opened_vault(family)
    openings = openings_of(job, vault)
    whole, opened = surface_mesh(vault), surface_mesh(vault, openings)
    assert opened.is_watertight
    placed = openings[0]
    cut = placed.along * placed.across * vault.thickness * (0.785 if placed.round else 1.0)
    assert whole.volume - opened.volume == pytest.approx(cut, rel=0.12)
