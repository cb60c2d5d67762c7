"""What the page shows of a vault on a plan before and after its building has been followed."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests import followed

from timbrel.job import load_job
from timbrel.plan import Plan, SurfacePlan, make_plan
from timbrel.web.facts import Fact, facts
from timbrel.web.jobs import JobStore
from timbrel.web.planning import Planned
from timbrel.web.scene import scene
from timbrel.web.server import create_app
from timbrel.words import Voice

EXAMPLES = Path(__file__).parents[2] / "examples"

DOME = Path(__file__).parents[2] / "examples/well-dome/job.toml"


def test_a_drawing_does_not_wait_for_the_stages_of_building() -> None:
    """The page before the first tile once waited for minutes while a groin was followed."""
    planned = Planned("one", followed.planned("well-dome"), 0.0)
    begun, let_go = threading.Event(), threading.Event()

    def follow() -> str:
        begun.set()
        assert let_go.wait(20)
        return "followed"

    found: list[str] = []
    one = threading.Thread(target=lambda: found.append(planned.once("judged", follow)))
    two = threading.Thread(target=lambda: found.append(planned.once("drawn", lambda: "drawn")))
    one.start()
    assert begun.wait(20)
    two.start()
    two.join(20)
    assert found == ["drawn"]
    let_go.set()
    one.join(20)
    assert found == ["drawn", "followed"]


def test_a_thing_is_made_once_however_many_ask() -> None:
    planned = Planned("one", followed.planned("well-dome"), 0.0)
    made: list[int] = []
    barrier = threading.Barrier(4)

    def ask() -> None:
        barrier.wait(20)
        planned.once("drawn", lambda: made.append(1))

    asking = [threading.Thread(target=ask) for _ in range(4)]
    for thread in asking:
        thread.start()
    for thread in asking:
        thread.join(20)
    assert made == [1]


def test_the_order_and_the_figures_shown_become_those_to_build_by(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built = followed.built("well-dome")
    assert isinstance(built, SurfacePlan)
    # Told from the plan of the first go by its last step of work, left out.
    other = replace(built, site=replace(built.site, order=built.site.order[:-1]))
    monkeypatch.setattr("timbrel.plan.follow_verdicts", lambda plan, progress: other)
    told_of: list[Plan] = []

    def noted(plan: Plan) -> tuple[Fact, ...]:
        told_of.append(plan)
        return facts(plan)

    monkeypatch.setattr("timbrel.web.view.facts", noted)
    store = JobStore(tmp_path)
    name = store.new("Well", DOME.read_text(encoding="utf-8")).name
    with TestClient(create_app(tmp_path), base_url="http://127.0.0.1:8470") as page:
        first = page.get(f"/jobs/{name}").text
        assert 'data-followed="no"' in first
        first_order = page.get(f"/jobs/{name}/model.json").json()["steps"]
        assert "stage-1" not in page.get(f"/jobs/{name}/drawings").text
        answer = page.get(f"/jobs/{name}/verdicts")
        assert answer.headers["hx-trigger-after-settle"] == "replanned"
        assert 'data-followed="yes"' in answer.text
        assert 'id="facts" class="facts" hx-swap-oob="true"' in answer.text
        assert told_of[0] is not other
        assert told_of[-1] is other
        order = page.get(f"/jobs/{name}/model.json").json()["steps"]
        assert order == first_order[:-1]
        assert "stage-1" in page.get(f"/jobs/{name}/drawings").text


@pytest.mark.parametrize("example", ["chapel-cloister", "well-dome"])
def test_walls_all_round_stand_as_thick_as_they_are_stated(example: str) -> None:
    plan = followed.planned(example)
    left = plan.job.walls.left
    assert left.thickness is not None
    for wall in scene(plan, Voice(), "one")["walls"]:
        (ax, ay), *_, (dx, dy) = wall["foot"]
        assert ((ax - dx) ** 2 + (ay - dy) ** 2) ** 0.5 == pytest.approx(left.thickness, abs=2e-4)


def test_walls_behind_corbels_stand_back_from_the_room_as_measured() -> None:
    plan = make_plan(load_job(EXAMPLES / "ferry-house" / "cellar"))
    assert plan.vault.behind == pytest.approx((plan.vault.thickness,) * 2, abs=1e-3)
    corners = plan.room.corners
    for number, (first, second) in enumerate(((3, 0), (1, 2))):  # left, then right
        wall = scene(plan, Voice(), "one")["walls"][number]
        for spot, corner in zip(wall["foot"], (corners[first], corners[second]), strict=False):
            back = ((spot[0] - corner[0]) ** 2 + (spot[1] - corner[1]) ** 2) ** 0.5
            assert back == pytest.approx(plan.vault.thickness, abs=2e-3)
