"""Openings, hooks and ends on site: struck by tape, in the order of work, bought."""

from __future__ import annotations

import math

import pytest
from tests.opened_jobs import HOOK, hatch, opened

from timbrel.plan import Plan, make_plan
from timbrel.takeoff.steel import STEEL


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(opened([hatch()], [HOOK], near="free", far="closing wall"))


def test_marks_are_the_measures_of_the_job(plan: Plan) -> None:
    assert plan.edge_site is not None
    (found,) = plan.edge_site.openings
    along = sorted({round(m.along, 3) for m in found.marks})
    across = sorted({round(m.across, 3) for m in found.marks})
    assert along == [2.3, 2.9] and across == [1.3, 1.9]
    # Equal diagonals prove a rectangle; their length by Pythagoras over the sagging chord.
    a, b = found.diagonals
    assert a == pytest.approx(b, abs=1e-4)
    assert a == pytest.approx(math.hypot(0.6, 0.6), abs=2e-3)
    (hook,) = plan.edge_site.hooks
    assert (hook.marks[0].along, hook.marks[0].across) == pytest.approx((0.9, 1.4), abs=1e-3)


def test_marks_lie_on_the_arc_of_a_circle(plan: Plan) -> None:
    """Span 3.2 m, rise 0.7 m: R = (1.6^2 + 0.7^2) / 1.4 = 2.1786 m; 0.3 m off the crown."""
    assert plan.edge_site is not None
    radius = (1.6**2 + 0.7**2) / 1.4
    half = math.asin(1.6 / radius)
    for mark in plan.edge_site.openings[0].marks:
        off = mark.across - 1.6
        assert mark.level == pytest.approx(2.5 + 0.7 - radius + radius *
                                           math.sqrt(1 - (off / radius) ** 2), abs=2e-4)  # fmt: skip
        assert mark.arc == pytest.approx(radius * (half + math.asin(off / radius)), abs=2e-3)


def test_box_ring_and_hooks_stand_in_the_order_of_work(plan: Plan) -> None:
    keys = [step.key for step in plan.site.order]
    assert keys.index("boxes") < keys.index("lay.1") < keys.index("lay.3") < keys.index("rings")
    assert keys.index("rings") < keys.index("hooks") < keys.index("load")
    assert [step.number for step in plan.site.order] == list(range(1, len(keys) + 1))
    rings = next(step for step in plan.site.order if step.key == "rings")
    assert rings.hold and rings.wait == 7 * 86400


def test_the_programme_waits_for_the_ring(plan: Plan) -> None:
    plain = make_plan(opened())
    operations = {o.key: o for o in plan.site.programme.operations}
    ring = operations["rings"]
    assert ring.start >= operations["layer-3"].finish + operations["layer-3"].wait
    later = [o for o in plan.site.programme.operations if o.start > ring.start]
    assert later and all(o.start >= ring.finish + 7 * 86400 - 1 for o in later)
    assert "rings" not in {o.key for o in plain.site.programme.operations}
    assert plan.site.programme.work > plain.site.programme.work


def test_ring_kerb_bars_and_hooks_are_bought(plan: Plan) -> None:
    plain = make_plan(opened())
    opening = plan.bond.openings[0]
    kerb = plan.takeoff.line("openings.kerbs")
    # Outline of the kerb on its middle line: 4 x 0.6 m on the back of the shell, and its corners.
    assert kerb.need == pytest.approx((opening.kerb_length) * 0.1 * 0.06)
    assert opening.kerb_length == pytest.approx(4 * 0.6 + 4 * 0.06, abs=0.06)
    bars = plan.takeoff.line("openings.bars")
    assert bars.need == pytest.approx(4 * opening.bar_length * math.pi * 0.005**2 * STEEL)
    assert plan.takeoff.line("hooks").need > 0
    ours = plan.bond.cuts.nest("base")
    theirs = plain.bond.cuts.nest("base")
    saved = (0.6 * 0.6 * 3) / (0.25 * 0.13)
    assert ours.used == pytest.approx(theirs.used + opening.tiles - saved, abs=15)
    with pytest.raises(KeyError):
        plain.takeoff.line("openings.kerbs")


def test_mortar_of_the_opening_is_not_bought(plan: Plan) -> None:
    plain = make_plan(opened())
    for with_it, without in zip(plan.site.volumes, plain.site.volumes, strict=True):
        gone = plan.bond.openings[0].areas[with_it.layer - 1]
        assert without.shell - with_it.shell == pytest.approx(gone)


def test_ends_are_told(plan: Plan) -> None:
    assert plan.edge_site is not None
    said = [str(note) for note in plan.edge_site.notes]
    assert any("Free near end" in line for line in said)
    assert any("marked cover" in line for line in said)
    assert any("only closes" in line and "soft strip" in line for line in said)
