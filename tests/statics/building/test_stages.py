"""The states of the work: what stands on a thrust line, what asks the bond, and in which order."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.job.model import Job
from timbrel.shape.vault import Barrel, shape_vault
from timbrel.statics.building.section import shell_section
from timbrel.statics.building.sequence import Way, covered, fronts
from timbrel.statics.building.stages import Building, check_building
from timbrel.statics.building.state import Arches, State, answer_state
from timbrel.verdict import Verdict
from timbrel.words import say

TESTS = {"ages_h": [0.1, 1, 24], "strengths": [0.12, 0.5, 1.6], "origin": "made for this test"}


def made_job(rise: float = 900, thickness: float = 20, tested: bool = True) -> Job:
    binder: dict[str, Any] = {
        "kind": "natural quick cement",
        "set": {"degrees_c": [10, 20, 30], "minutes": [4, 2, 1]},
    }
    if tested:
        binder["bond"] = TESTS
    tile = {"length": 280, "width": 140, "thickness": thickness}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "states"},
            "room": {
                **{"AB": 4000, "BC": 6000, "CD": 4000, "DA": 6000, "AC": 7211.1, "BD": 7211.1},
                "levels": dict.fromkeys("ABCD", 2400),
            },
            "curve": {"directrix": "segment", "rise": rise},
            "tiles": {"thin": tile},
            "binders": {"quick": binder, "mortar": {"kind": "mortar"}},
            "layers": [
                {"tile": "thin", "binder": "quick"},
                {"tile": "thin", "binder": "mortar"},
            ],
            "loads": {"fill": {"kind": "light"}},
        }
    )


def made_vault(job: Job) -> Barrel:
    corners = np.array([[0, 0, 2.4], [4, 0, 2.4], [4, 6, 2.4], [0, 6, 2.4]])
    return shape_vault(job, SimpleNamespace(corners=corners))  # type: ignore[arg-type]


def made_bond() -> Any:
    arch = np.repeat(np.arange(20), 30)
    layer = SimpleNamespace(courses=30, arch=arch, count=600, perpend_joint=0.01)
    return SimpleNamespace(layers=[layer, layer])


def built(job: Job) -> Building:
    return check_building(job, made_vault(job), made_bond())


@pytest.fixture(scope="module")
def building() -> Building:
    return built(made_job())


def closed_arch(job: Job) -> tuple[Any, State]:
    section = shell_section(job, made_vault(job), 0.5, 96)
    laid = np.zeros((2, 96))
    laid[0] = 1.0
    young = np.zeros(97, dtype=bool)
    state = State("closed", say("closed"), "arch", 1, 1.0, 0.5, laid, laid > 0, young)
    return section, state


def test_a_thin_deep_segment_has_no_thrust_line_and_asks_the_bond() -> None:
    """Span 4 m, rise 0.9 m, 20 mm: no thrust line, some 0.31 MPa of bond, 27 mm would do."""
    section, state = closed_arch(made_job())
    answer = answer_state(section, state, Arches(1e9, 0.0, 1.0))
    assert answer.line is None
    assert answer.tension == pytest.approx(0.31e6, rel=0.05)
    thick, state = closed_arch(made_job(thickness=28))
    assert answer_state(thick, state, Arches(1e9, 0.0, 1.0)).line is not None
    thin, state = closed_arch(made_job(thickness=26))
    assert answer_state(thin, state, Arches(1e9, 0.0, 1.0)).line is None


def test_a_second_layer_on_one_half_asks_far_more_than_from_both_sides(building: Building) -> None:
    worst = dict.fromkeys(Way, 0.0)
    for answer in building.states:
        if answer.state.operation == "layer" and not answer.state.young.any():
            way = next(w for w in Way if w.name.lower() == answer.state.key.split(".")[2])
            worst[way] = max(worst[way], answer.tension)
    assert worst[Way.BOTH] < worst[Way.CROWN] < worst[Way.SIDE]
    assert worst[Way.SIDE] > 2 * worst[Way.BOTH]
    assert "common practice is the safest" in str(building.way_note)


def test_the_states_cover_the_work(building: Building) -> None:
    operations = {a.state.operation for a in building.states}
    assert operations == {"arch", "layer", "use"}
    assert len(building.states) >= 40
    assert len({a.state.key for a in building.states}) == len(building.states)


def test_without_bond_tests_the_tension_is_told_but_not_judged() -> None:
    building = built(made_job(tested=False))
    asking = [a for a in building.states if a.line is None]
    assert asking
    assert all(a.verdict is Verdict.NOT_JUDGED and a.tension > 0 for a in asking)
    verdicts = {c.name: c.verdict for c in building.checks}
    assert verdicts["building.arch"] is Verdict.NOT_JUDGED
    assert verdicts["building.hold"] is Verdict.NOT_JUDGED
    assert building.move_after is None


def test_the_verdict_follows_the_bond(building: Building) -> None:
    for answer in building.states:
        if answer.line is not None or answer.ratio is None:
            continue
        expected = answer.ratio <= 0.5 * (1 + 1e-6) and answer.buckling >= 3.0
        assert (answer.verdict is Verdict.HOLDS) is expected


def test_young_joints_as_hinges_are_a_case_of_their_own() -> None:
    section, state = closed_arch(made_job())
    leaning = state.laid.copy()
    leaning[0, :40] *= 1.5
    state = replace(state, laid=leaning)
    stiff = answer_state(section, state, Arches(1e9, 0.0, 1.0))
    young = state.young.copy()
    young[47:50] = True
    assert answer_state(section, replace(state, young=young), Arches(1e9, 0.0, 1.0)).tension > (
        stiff.tension
    )


def test_lifts_on_one_side_are_never_safer_than_even_ones(building: Building) -> None:
    lifts = building.lifts
    assert lifts is not None
    stands = lifts.stands
    assert (stands == stands.T).all(), "the job is symmetric"
    assert stands[0, 0]


@settings(max_examples=40)
@given(st.sampled_from(list(Way)), st.floats(0, 1), st.floats(0, 0.1), st.integers(20, 120))
def test_what_is_covered_is_what_was_laid(way: Way, share: float, lead: float, n: int) -> None:
    if way is not Way.SIDE:
        lead = min(lead, 1 - share)
    assert covered(fronts(way, share, lead), n).mean() == pytest.approx(share, abs=1e-9)


def test_governing_states_carry_a_factor_bounded_from_both_sides(building: Building) -> None:
    assert building.worst
    for answer in building.worst:
        assert answer.factor is not None
        assert (answer.factor.static >= 1) is (answer.line is not None)
        if answer.factor.gap is not None:
            assert answer.factor.gap < 0.01
