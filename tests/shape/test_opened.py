"""Openings and hooks on the shell: taped as on site, and refused in one clear sentence."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.opened_jobs import BASE, HOOK, hatch, opened

from timbrel.job.model import Job
from timbrel.shape.opened import place_hooks, place_openings
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.words import TimbrelError


def vault_of(job: Job) -> Any:
    return shape_vault(job, solve_room(job.room))


@pytest.mark.parametrize(
    ("corner", "along", "across"),
    [("A", 2600, 1400), ("B", 2600, 1800), ("C", 2600, 1800), ("D", 2600, 1400)],
)
def test_one_place_taped_from_each_corner(corner: str, along: int, across: int) -> None:
    job = opened([hatch(corner=corner, along=along, across=across)])
    (placed,) = place_openings(job, vault_of(job))
    assert placed.plan.mean(axis=0) == pytest.approx([1.4, 2.6], abs=1e-3)
    assert np.ptp(placed.plan, axis=0) == pytest.approx([0.6, 0.6], abs=1e-3)


def test_the_outline_stands_plumb_over_its_plan() -> None:
    job = opened([hatch()])
    vault = vault_of(job)
    (placed,) = place_openings(job, vault)
    back = vault.point(placed.uv[:, 0], placed.uv[:, 1])
    assert back == pytest.approx(placed.points, abs=1e-6)
    assert back[:, :2] == pytest.approx(placed.plan, abs=1e-6)


REFUSED = [
    ([hatch(across=100)], "off it, does not lie wholly inside the plan"),
    ([hatch(along=5100)], "does not lie wholly inside the plan"),
    ([hatch(across=450)], "leaves no arch between it and the left springing"),
    ([hatch(across=2800)], "leaves no arch between it and the right springing"),
    ([hatch(width=2900)], "leaves no arch"),
    ([hatch(along=500)], "leaves no arch between it and the near end"),
    ([hatch(along=4700)], "leaves no arch between it and the far end"),
    ([hatch(), hatch(name="Other", along=3400)], "lies .* from Hatch; accepted"),
]


@pytest.mark.parametrize(("rows", "says"), REFUSED)
def test_an_opening_that_cannot_be_is_refused(rows: list[dict[str, Any]], says: str) -> None:
    job = opened(rows)
    with pytest.raises(TimbrelError, match=says) as caught:
        place_openings(job, vault_of(job))
    assert caught.value.key.startswith("openings.")
    assert "accepted" in str(caught.value)


def test_a_ridge_is_not_cut_through() -> None:
    job = opened([hatch()], rise=2200, directrix="pointed")
    with pytest.raises(TimbrelError, match="cuts through the ridge"):
        place_openings(job, vault_of(job))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"corner": "A", "along": 2600, "across": 1600}, "hangs in or at the edge of Hatch"),
        ({"across": 3300}, "does not lie wholly inside the plan"),
    ],
)
def test_a_hook_that_cannot_be_is_refused(change: dict[str, Any], says: str) -> None:
    job = opened([hatch()], [{**HOOK, **change}])
    vault = vault_of(job)
    with pytest.raises(TimbrelError, match=says):
        place_hooks(job, vault, place_openings(job, vault))


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([hatch(diameter=500)], "length and width, or a diameter alone"),
        ([hatch(width=None)], "length and width, or a diameter alone"),
        ([hatch(), hatch(along=900)], "which another one is called"),
        ([hatch(trimmer={"tile": "brick"})], "which the job does not describe"),
        ([hatch(use="door")], "one of skylight, hatch, flue"),
        ([hatch(corner="E")], "one of A, B, C, D"),
    ],
)
def test_what_contradicts_itself_is_refused_before_it_is_drawn(
    rows: list[dict[str, Any]], says: str
) -> None:
    with pytest.raises(TimbrelError, match=says):
        opened(rows)


def test_loads_on_one_place_are_not_passed_over_in_silence() -> None:
    from timbrel.job.load import read_job

    text = BASE.format(
        span=3200, length=3200, diagonal=3200 * 2**0.5, rise=700, near="wall", far="wall",
        directrix="segment",
    )  # fmt: skip
    text += '\n[[loads.points]]\nname = "Post"\nx = 1500\ny = 1500\nforce = 4\n'
    assert read_job(text).job.loads.points
    for family in ("groin", "sail", "dome"):
        assert read_job(text.replace("[curve]", f'[curve]\nfamily = "{family}"')).job.loads.points
