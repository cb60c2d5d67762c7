"""The practice arch of every family: its curve, its strip, what one arch does not teach."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from tests.site.given_jobs import job_of, vault_of

from timbrel.bond import lay_bond
from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape import directrix
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.practice import practice_arch
from timbrel.site.practice_lesson import lesson_of
from timbrel.site.practice_proof import prove_practice

EXAMPLES = Path(__file__).parents[2] / "examples"
FAMILIES = ["market-groin", "chapel-cloister", "study-sail", "well-dome"]


def shaped(name: str) -> tuple[Job, object]:
    job = load_job(EXAMPLES / name).job
    return job, shape_vault(job, solve_room(job.room, job.job.length_unit))


@pytest.mark.parametrize("name", FAMILIES)
def test_the_arch_is_like_the_vault_and_closes_with_whole_tiles(name: str) -> None:
    job, vault = shaped(name)
    curve, lesson = lesson_of(job, vault)
    first = lay_bond(job, vault).layers[0]
    arch = practice_arch(job, curve, first, lesson)
    assert arch.rise / arch.span == pytest.approx(curve.rise / curve.span)
    assert arch.joint == pytest.approx(job.layers[0].joint.best)
    assert 0.8 < arch.span < 1.25
    assert arch.lesson is lesson
    assert lesson.gate in [gate.what for gate in arch.gates]


def test_the_strip_of_a_practice_arch_by_hand() -> None:
    """Moments of half the arch about its foot: under an even load and its own weight the thrust lies
    between M/(f + t), the line from the intrados of the feet to the extrados of the crown, and
    M/(f - t'), t' the shell plumb at the foot. Own weight by area times density."""
    job = job_of()
    curve, length, bags = directrix("segment", 1.0, 0.15), 0.8, 900.0
    proof = prove_practice(job, curve, length, bags)
    assert proof.stands and proof.least is not None and proof.greatest is not None
    t, half_angle = proof.thickness, 2 * math.atan(2 * 0.15 / 1.0)
    radius = 1.0 / 8 / 0.15 + 0.15 / 2
    area = half_angle * ((radius + t) ** 2 - radius**2)
    assert 0.85 * 2000 * 9.81 * area * length < proof.weight < 1.05 * 2000 * 9.81 * area * length
    even = proof.weight / 8 + bags * length / 8
    assert 0.93 * even / (0.15 + t) < proof.least
    assert proof.greatest < 1.05 * even / (0.15 - t / math.cos(half_angle))
    assert proof.factor is not None and proof.factor > 10
    assert proof.least < even / (0.15 + t / 2 - t / 2 / math.cos(half_angle)) < proof.greatest


def test_a_thin_tall_arch_is_not_loaded() -> None:
    """Heyman, Milankovitch: a semicircle wants 0.107 of its radius; 25 mm on 1.2 m of radius is a
    fifth of that, so no gate asks for bags on it."""
    job = job_of(
        curve={"directrix": "semicircle", "rise": None},
        tiles={"stout": {"length": 280, "width": 140, "thickness": 12},
               "thin": {"length": 260, "width": 130, "thickness": 10}},
        practice={"span": 2400},
    )  # fmt: skip
    vault = vault_of(job)
    arch = practice_arch(job, vault.near, lay_bond(job, vault).layers[0])
    assert not arch.proof.stands and arch.proof.factor is None and arch.proof.greatest is None
    told = " ".join(str(gate.what) for gate in arch.gates)
    assert "the arch is not loaded" in told and "of bags in even steps" not in told
    usual = job_of()
    vault = vault_of(usual)
    stout = practice_arch(usual, vault.near, lay_bond(usual, vault).layers[0])
    assert "of bags in even steps" in " ".join(str(gate.what) for gate in stout.gates)


@pytest.mark.parametrize("name", ["market-groin", "chapel-cloister"])
def test_cuts_at_a_crease_by_walking_along_it(name: str) -> None:
    """The crease of the vault itself, step by step: on the unrolled web it goes so far along the
    ruling for so much of the curve."""
    job, vault = shaped(name)
    _, lesson = lesson_of(job, vault)
    base = vault.base  # type: ignore[attr-defined]
    half = base.length / 2
    for mark in lesson.marks[1:-1]:
        s = mark.share * half
        assert mark.run == pytest.approx(s)
        (x0, _), (x1, _) = base.at(np.array([s - 1e-5, s + 1e-5]))
        # In a square room the crease goes as far along the ruling as the curve goes in plan.
        assert math.tan(mark.value) == pytest.approx((x1 - x0) / 2e-5, rel=1e-5)
    assert lesson.marks[-1].value == pytest.approx(math.pi / 4)


def test_wedges_of_a_ring_by_its_two_girths() -> None:
    """A tile takes the same share of the ring's girth at both of its edges."""
    job, vault = shaped("well-dome")
    _, lesson = lesson_of(job, vault)
    tile = job.tiles[job.layers[0].tile]
    upto = vault.patch.upto  # type: ignore[attr-defined]
    for mark in lesson.marks[:3]:
        low, high = vault.rings(np.array([mark.share, mark.share + tile.width / upto])).radius  # type: ignore[attr-defined]
        # To the first order: the ring turns in a little more slowly as the shell leans inward.
        assert mark.value == pytest.approx(tile.length * (1 - high / low), rel=0.08)
    assert all(a.value < b.value for a, b in zip(lesson.marks, lesson.marks[1:], strict=False))


def test_a_tile_on_a_sphere_stands_off_by_both_ways() -> None:
    """Sagitta of a chord c on a circle R: c^2/(8 R); over both ways of the tile they add up."""
    job, vault = shaped("study-sail")
    _, lesson = lesson_of(job, vault)
    tile = job.tiles[job.layers[0].tile]
    radius = vault.sphere.radius  # type: ignore[attr-defined]
    wanted = (tile.length**2 + tile.width**2) / (8 * radius)
    assert lesson.marks[0].value == pytest.approx(wanted, rel=0.02)
