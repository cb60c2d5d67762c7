"""The shape as built: exact deviations, and the design's own factor when nothing deviates."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.model import Job
from timbrel.records.asbuilt import compare, deviations
from timbrel.records.kinds import MeasuredPoint
from timbrel.shape.vault import Barrel, shape_vault
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

SPAN, RISE = 4.0, 0.7
RADIUS = SPAN**2 / (8 * RISE) + RISE / 2


@pytest.fixture(scope="module")
def job() -> Job:
    tile = {"length": 280, "width": 140, "thickness": 20}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "as built"},
            "room": {
                **{"AB": 4000, "BC": 6000, "CD": 4000, "DA": 6000, "AC": 7211.1, "BD": 7211.1},
                "levels": dict.fromkeys("ABCD", 2400),
            },
            "curve": {"directrix": "segment", "rise": RISE * 1e3},
            "tiles": {"thin": tile},
            "binders": {
                "quick": {
                    "kind": "natural quick cement",
                    "set": {"degrees_c": [10, 20, 30], "minutes": [4, 2, 1]},
                }
            },
            "layers": [{"tile": "thin", "binder": "quick"}] * 2,
        }
    )


@pytest.fixture(scope="module")
def vault(job: Job) -> Barrel:
    corners = np.array([[0, 0, 2.4], [4, 0, 2.4], [4, 6, 2.4], [0, 6, 2.4]])
    room: Any = SimpleNamespace(corners=corners)
    return shape_vault(job, room)


def on_arc(turn: float, off: float = 0.0, v: float = 0.5) -> MeasuredPoint:
    """A point on the known arc, `off` outside it, by the angle from the crown."""
    x = SPAN / 2 + (RADIUS + off) * math.sin(turn)
    y = (RADIUS + off) * math.cos(turn) - (RADIUS - RISE)
    return MeasuredPoint(what="offset", v=v, x=x, value=y)


def test_deviation_from_a_known_arc_is_exact(vault: Barrel) -> None:
    given = [(-0.4, 0.004), (-0.1, -0.0072), (0.0, 0.0), (0.333, 0.0155)]
    found = deviations(vault, 0.5, [on_arc(*g) for g in given])
    assert [d.off for d in found] == pytest.approx([g[1] for g in given], abs=1e-8)


def test_points_on_the_design_give_the_designs_factor(job: Job, vault: Barrel) -> None:
    built = compare(job, vault, [on_arc(t) for t in (-0.5, -0.25, 0.0, 0.25, 0.5)])
    station = built.stations[0]
    assert station.design.geometric is not None and station.built.geometric is not None
    assert station.built.geometric.factor == pytest.approx(
        station.design.geometric.factor, rel=1e-6
    )
    assert station.circle is not None
    assert station.circle.radius == pytest.approx(RADIUS, rel=1e-9)
    verdicts = {c.name: c.verdict for c in built.checks}
    assert verdicts["built.deviation"] is Verdict.HOLDS
    assert verdicts["built.spread"] is Verdict.NOT_JUDGED


def test_a_hollow_at_the_crown_is_seen_and_weakens_the_shell(job: Job, vault: Barrel) -> None:
    turns = (-0.5, -0.25, 0.0, 0.25, 0.5)
    points = [on_arc(t, -0.012 if t == 0 else 0.0) for t in turns]
    built = compare(job, vault, points)
    station = built.stations[0]
    assert station.worst == pytest.approx(-0.012, abs=1e-8)
    assert station.design.geometric is not None and station.built.geometric is not None
    assert station.built.geometric.factor < station.design.geometric.factor
    assert {c.name: c.verdict for c in built.checks}["built.deviation"] is Verdict.FAILS


def test_spread_and_crown_drop_are_measured_against_the_design(job: Job, vault: Barrel) -> None:
    points = [
        MeasuredPoint(what="span", v=0.0, value=4.003),
        MeasuredPoint(what="level", v=0.5, x=2.0, value=2.4 + RISE - 0.004),
    ]
    built = compare(job, vault, points)
    assert built.spread == pytest.approx(0.003)
    assert built.crown_drop == pytest.approx(0.004, abs=1e-6)
    verdicts = {c.name: c.verdict for c in built.checks}
    assert verdicts["built.spread"] is Verdict.FAILS
    assert verdicts["built.crown"] is Verdict.FAILS
    assert verdicts["built.geometric"] is Verdict.NOT_JUDGED


def test_a_point_that_is_not_on_this_vault_is_refused(job: Job, vault: Barrel) -> None:
    with pytest.raises(TimbrelError, match=r"4.?000 mm apart"):
        compare(job, vault, [MeasuredPoint(what="offset", v=0.5, x=12.0, value=0.5)])


def test_nothing_measured_is_not_judged(job: Job, vault: Barrel) -> None:
    built = compare(job, vault, [])
    assert {c.verdict for c in built.checks} == {Verdict.NOT_JUDGED}
