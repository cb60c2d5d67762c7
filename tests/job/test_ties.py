"""Ties that contradict themselves or their vault are refused with one sentence, by their key."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"
BAR = {"diameter": 20, "anchor": {"side": 200, "thickness": 20}}


def tied(name: str, **ties: Any) -> None:
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    stated["walls"]["ties"] = ties
    read_job(tomlkit.dumps(stated))


@pytest.mark.parametrize(
    ("name", "ties"),
    [
        ("granary", {**BAR, "spacing": 1500}),
        ("granary", {**BAR, "spacing": 1500, "layout": "across"}),
        ("market-groin", BAR),
        ("chapel-cloister", {**BAR, "band": 600}),
        ("study-sail", {**BAR, "spacing": 1200, "layout": "across"}),
        ("well-dome", {"kind": "flat", "width": 60, "thickness": 8}),
    ],
)
def test_ties_that_can_be_made_are_taken(name: str, ties: dict[str, Any]) -> None:
    tied(name, **ties)


@pytest.mark.parametrize(
    ("name", "ties", "key"),
    [
        ("granary", BAR, "walls.ties.spacing"),
        ("granary", {**BAR, "spacing": 1500, "layout": "round"}, "walls.ties.layout"),
        ("granary", {**BAR, "spacing": 1500, "band": 500}, "walls.ties.band"),
        ("granary", {"diameter": 20, "spacing": 1500}, "walls.ties.anchor"),
        ("market-groin", {**BAR, "layout": "across", "spacing": 1500}, "walls.ties.layout"),
        ("market-groin", {**BAR, "spacing": 1500}, "walls.ties.spacing"),
        ("market-groin", {**BAR, "band": 500}, "walls.ties.band"),
        ("well-dome", {"kind": "flat", "width": 60}, "walls.ties.thickness"),
        ("study-sail", {**BAR, "width": 60}, "walls.ties.width"),
    ],
)
def test_ties_that_contradict_are_refused(name: str, ties: dict[str, Any], key: str) -> None:
    with pytest.raises(TimbrelError) as error:
        tied(name, **ties)
    assert error.value.key == key
    assert key.rpartition(".")[2] in str(error.value)
    assert "accepted" in str(error.value)
