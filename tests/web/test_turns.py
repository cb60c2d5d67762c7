"""Edits go first: the following of a plan gives way, and ends all the same."""

import re
import threading

import pytest
from fastapi.testclient import TestClient

from timbrel import plan as planning
from timbrel.job.new import example_text
from timbrel.web import turns as turning
from timbrel.web.server import create_app
from timbrel.web.turns import Turns
from timbrel.web.work import StoppedError
from timbrel.words import say


def test_a_following_stops_at_the_next_edit_only():
    turns = Turns()
    following = turns.after_edits()
    following(say("on"), 0.1)
    with turns.editing():
        with pytest.raises(StoppedError):
            following(say("on"), 0.2)
        late = []
        waiting = threading.Thread(target=lambda: late.append(turns.after_edits()))
        waiting.start()
        waiting.join(timeout=0.1)
        assert late == []  # it waits for the edit to end
    waiting.join(timeout=10)
    late[0](say("on"), 0.3)


@pytest.fixture
def served(tmp_path):
    app = create_app(tmp_path)
    name = app.state.desk.store.new("Turns", example_text()).name
    return TestClient(app, base_url="http://127.0.0.1"), app.state.desk, name


def edit(client, name, value):
    text = client.get(f"/jobs/{name}").text
    revision = re.findall(r'name="revision" value="(\w+)"', text)[0]
    key = "v.loads.imposed"
    data, headers = {"revision": revision, key: value}, {"HX-Request": "true"}
    answer = client.post(f"/jobs/{name}/edit", data=data, headers=headers)
    assert answer.status_code == 200
    return answer.text


def test_verdicts_are_those_of_the_job_after_the_edit(served, monkeypatch):
    client, desk, name = served
    begun, followed, follow = threading.Event(), [], planning.follow_verdicts

    def slow(plan, progress):
        followed.append(plan.job.loads.imposed)
        while len(followed) == 1:
            begun.set()
            progress(say("on"), 0.5)
        return follow(plan, progress)

    monkeypatch.setattr(planning, "follow_verdicts", slow)
    answers = []
    asking = threading.Thread(target=lambda: answers.append(client.get(f"/jobs/{name}/verdicts")))
    asking.start()
    assert begun.wait(60)
    edit(client, name, "1.7")
    asking.join(timeout=120)
    assert followed == [1500.0, 1700.0]
    assert answers[0].status_code == 200
    assert "still being checked" not in answers[0].text
    planned = desk.planner.plan(desk.store.read(name).text)
    assert planned.is_judged and planned.judged().job.loads.imposed == 1700.0


def test_it_gives_way_a_few_times_only(served, monkeypatch):
    client, desk, name = served
    told, follow = [], planning.follow_verdicts

    def hindered(plan, progress):
        told.append(progress)
        with desk.turns.editing():
            progress(say("on"), 0.5)
        return follow(plan, progress)

    monkeypatch.setattr(planning, "follow_verdicts", hindered)
    answer = client.get(f"/jobs/{name}/verdicts")
    assert answer.status_code == 200
    assert len(told) == turning.GIVES_WAY + 1
