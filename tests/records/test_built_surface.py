"""Vaults on a plan as built: exact deviations, the design's own factor when nothing deviates."""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pypdf
import pytest

from timbrel.bond import lay_bond
from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.plan import make_plan
from timbrel.records.asbuilt import compare
from timbrel.records.built_surface import deviation_over, seats_of, surface_deviation
from timbrel.records.closeout import close_out_pdf, gather
from timbrel.records.kinds import MeasuredPoint, RodReading
from timbrel.records.replan import guide_corrections, regauge
from timbrel.records.store import Record
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.guides import guides_of
from timbrel.statics.net_built import moved_solid
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError, Voice

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
FAMILIES = ("market-groin", "chapel-cloister", "study-sail", "well-dome")


def planned(name: str) -> tuple[Job, Any]:
    job = load_job(EXAMPLES / name / "job.toml").job
    return job, shape_vault(job, solve_room(job.room, job.job.length_unit))


def levels(vault: Any, off: float = 0.0) -> list[MeasuredPoint]:
    """Levels of the intrados at a grid of places, all moved plumb by so much."""
    a, b, c, d = np.asarray(vault.room.corners)
    found = []
    for v in (0.25, 0.5, 0.75):
        for share in (0.2, 0.35, 0.5, 0.65, 0.8):
            left, right = a + v * (d - a), b + v * (c - b)
            place = left + share * (right - left)
            level = float(vault.height(place[:1], place[1:2])[0])
            if math.isfinite(level):
                x = share * float(np.hypot(*(right - left)[:2]))
                found.append(MeasuredPoint(what="level", v=v, x=x, value=level + off))
    return found


@pytest.mark.parametrize("name", FAMILIES)
def test_points_on_the_design_leave_its_factor(name: str) -> None:
    job, vault = planned(name)
    found = compare(job, vault, levels(vault))
    assert found.surface is not None
    assert abs(found.surface.worst) < 1e-9
    assert found.surface.built == found.surface.design
    assert found.surface.design.factor > 1
    verdicts = {check.name: check.verdict for check in found.checks}
    assert verdicts["built.deviation"] is Verdict.HOLDS
    assert verdicts["built.geometric"] is Verdict.HOLDS
    assert found.crown_drop == pytest.approx(0.0, abs=1e-9) or name == "well-dome"


def test_a_point_off_a_sphere_is_off_by_its_distance() -> None:
    """The sail is a part of a sphere: the deviation is the distance from its centre less R."""
    _, sail = planned("study-sail")
    ball = sail.sphere
    a, _, _, d = np.asarray(sail.room.corners)
    for v, x, rise in ((0.5, 1.7, 0.012), (0.3, 0.9, -0.02), (0.7, 2.4, 0.0)):
        left = a + v * (d - a)
        b, c = np.asarray(sail.room.corners)[1:3]
        across = (b + v * (c - b)) - left
        plan = left[:2] + x * across[:2] / np.hypot(*across[:2])
        level = float(sail.height(plan[:1], plan[1:])[0]) + rise
        found = surface_deviation(sail, MeasuredPoint(what="level", v=v, x=x, value=level))
        wanted = float(np.linalg.norm([*plan, level] - ball.centre)) - ball.radius
        # The measured corners lie a millimetre off the sphere, which the surface follows.
        assert found.off == pytest.approx(wanted, abs=1.2e-3)
        assert found.off == pytest.approx(rise, abs=0.05 * abs(rise) + 1e-6)


def test_an_offset_is_square_to_the_chord() -> None:
    job, groin = planned("market-groin")
    rise = float(groin.height([1.7], [1.7])[0]) - 2.4
    point = MeasuredPoint(what="offset", v=0.5, x=1.7, value=rise)
    assert surface_deviation(groin, point).off == pytest.approx(0.0, abs=1e-9)
    low = MeasuredPoint(what="offset", v=0.5, x=1.7, value=rise - 0.03)
    found = compare(job, groin, [low])
    assert found.surface is not None
    assert found.surface.worst == pytest.approx(-0.03, rel=1e-3)
    assert {c.name: c.verdict for c in found.checks}["built.deviation"] is Verdict.FAILS


def test_a_shell_that_hangs_loses_strength_and_a_stranger_is_refused() -> None:
    job, sail = planned("study-sail")
    points = levels(sail)
    dented = [
        p.model_copy(update={"value": p.value - 0.035}) if abs(p.x - 1.19) < 0.2 else p
        for p in points
    ]
    found = compare(job, sail, dented)
    assert found.surface is not None
    assert found.surface.built.factor < found.surface.design.factor
    with pytest.raises(TimbrelError, match="nowhere near"):
        compare(job, sail, [MeasuredPoint(what="level", v=0.5, x=1.5, value=9.0)])


def test_no_point_is_taken_in_the_open_oculus() -> None:
    _, dome = planned("well-dome")
    x, y, _ = dome.centre - np.asarray(dome.room.corners)[0]
    depth = float(
        np.linalg.norm(np.asarray(dome.room.corners)[3] - np.asarray(dome.room.corners)[0])
    )
    rim = dome.oculus / 2
    for inside, taken in ((rim, False), (0.15, False), (0.05, True), (-0.05, True)):
        point = MeasuredPoint(what="level", v=y / depth, x=x - rim + inside, value=3.04)
        if taken:
            assert abs(surface_deviation(dome, point).off) < 0.1
        else:
            with pytest.raises(TimbrelError, match="lies in the oculus"):
                surface_deviation(dome, point)


def test_nothing_measured_is_not_judged() -> None:
    job, dome = planned("well-dome")
    found = compare(job, dome, [])
    assert found.surface is None
    assert {c.name: c.verdict for c in found.checks} == dict.fromkeys(
        ("built.deviation", "built.geometric", "built.spread", "built.crown"), Verdict.NOT_JUDGED
    )


def test_spread_and_crown_of_a_vault_on_a_plan() -> None:
    job, sail = planned("study-sail")
    a, b, c, d = np.asarray(sail.room.corners)
    wide = float(np.linalg.norm((b + c) / 2 - (a + d) / 2))
    level = float(sail.height([1.7], [1.7])[0])
    found = compare(
        job,
        sail,
        [
            MeasuredPoint(what="span", v=0.5, value=wide + 0.0015),
            MeasuredPoint(what="level", v=0.5, x=1.7, value=level - 0.002),
        ],
    )
    assert found.spread == pytest.approx(0.0015, abs=1e-9)
    assert found.crown_drop == pytest.approx(0.002, abs=2e-5)


def test_the_deviation_is_met_at_its_points_and_nothing_at_the_springings() -> None:
    _, dome = planned("well-dome")
    points = [surface_deviation(dome, p) for p in levels(dome, 0.006)]
    over = deviation_over(dome, points)
    at = np.array([p.place[:2] for p in points])
    assert over(at) == pytest.approx([p.off for p in points], abs=1e-9)
    assert np.abs(over(seats_of(dome))).max() < 1e-12
    # The moved solid's middle surface lies at no offset of its own.
    solid = moved_solid(dome, over)
    u, v = np.array([0.3, 0.5, 0.7]), np.array([0.1, 0.4, 0.8])
    middle, _ = solid.lines(u, v)
    assert np.abs(solid.offset(middle, np.stack([u, v], axis=-1))).max() < 1e-4


def test_guides_are_packed_against_what_was_measured() -> None:
    job, sail = planned("study-sail")
    built = compare(job, sail, levels(sail, 0.002)).surface
    assert built is not None
    told = guide_corrections(sail, guides_of(sail, job.site), built)
    assert len(told) == len(guides_of(sail, job.site))
    for guide in told:
        assert np.abs(guide.add).max() <= 0.003
        assert (guide.add <= 1e-12).all()
    assert min(float(g.add.min()) for g in told) == pytest.approx(-0.002, rel=0.1)


@pytest.mark.parametrize(
    ("name", "rod"),
    [("market-groin", "AB near"), ("chapel-cloister", "BC far"), ("study-sail", "near"),
     ("well-dome", "meridian"), ("well-dome", "ring 03")],
)  # fmt: skip
def test_the_rest_of_a_rod_is_gauged_anew_in_every_family(name: str, rod: str) -> None:
    job, vault = planned(name)
    bond = lay_bond(job, vault)
    told = bond.layers[0].gauge.rod(rod)
    done = (len(told.marks) - 1) // 2
    edge = float(told.marks[done]) - told.joint
    found = regauge(job, bond, RodReading(layer=1, rod=rod, done=done, value=edge + 0.004))
    joints = job.layers[0].joint
    assert joints.least <= found.joint <= joints.most
    assert found.marks[0] == pytest.approx(edge + 0.004 + found.joint)
    end = told.length + (told.marks[0] if rod.startswith("ring") else 0.0)
    assert found.marks[-1] + found.joint == pytest.approx(end, abs=1e-6)


def test_the_close_out_shows_the_points_of_a_vault_on_a_plan(tmp_path: Path) -> None:
    plan = make_plan(load_job(EXAMPLES / "study-sail"))
    record = Record.open(tmp_path)
    record.found("Ana Ferrer", uuid4().hex)
    for point in [*levels(plan.vault, 0.004)[:6], *levels(plan.vault, -0.011)[6:8]]:
        record.add(uid=uuid4().hex, kind="point", author=1, body=point.model_dump())
    found = gather(plan, record)
    assert found.built.surface is not None
    assert len(found.built.surface.points) == 8
    pages = pypdf.PdfReader(io.BytesIO(close_out_pdf(found, Voice()))).pages
    text = " ".join(page.extract_text() for page in pages)
    assert "As built, from above" in text
    assert "Measured points of the intrados" in text
    assert voice_number(found.built.surface.worst) in text


def voice_number(metres: float) -> str:
    return Voice().number(metres * 1e3, 1)
