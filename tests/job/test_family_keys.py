"""A key that the stated kind of vault cannot heed is refused, not passed over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"


def changed(name: str, key: str, given: Any) -> None:
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    table: Any = stated
    *path, last = key.split(".")
    for part in path:
        table = table[part]
    table[last] = given
    read_job(tomlkit.dumps(stated))


@pytest.mark.parametrize(
    ("name", "key", "given", "accepted"),
    [
        ("market-groin", "curve.oculus", 500, "a dome"),
        ("study-sail", "curve.oculus", 500, "openings"),
        ("well-dome", "curve.oculus", 40, "100 mm"),
        ("granary", "curve.diameter", 3000, "a dome"),
        ("study-sail", "curve.cross_rise", 300, "translation"),
        ("chapel-cloister", "curve.sail", "translation", "a sail"),
        ("market-groin", "curve.keep", "crown level", "a barrel"),
        ("chapel-cloister", "room.near_end", "free", "carrying wall"),
        ("chapel-cloister", "room.far_end", "closing wall", '"wall"'),
        ("well-dome", "room.near_end", "free", '"wall"'),
        ("well-dome", "room.levels.C", 3100, "250 mm"),
    ],
)
def test_what_would_be_passed_over_is_refused(
    name: str, key: str, given: Any, accepted: str
) -> None:
    with pytest.raises(TimbrelError) as error:
        changed(name, key, given)
    said = str(error.value)
    assert error.value.key == key
    assert said.startswith(key)
    assert str(given) in said.replace("\u202f", "")
    assert accepted in said.split("accepted")[1]
    assert said.count(". ") == 0, "one sentence"


def test_rings_of_a_dome_are_not_laid_at_45_degrees() -> None:
    stated = tomlkit.parse((EXAMPLES / "well-dome" / "job.toml").read_text())
    layers: Any = stated["layers"]
    layers[1]["direction"] = "diagonal"
    with pytest.raises(TimbrelError, match=r'is "diagonal".*accepted: "along axis"') as error:
        read_job(tomlkit.dumps(stated))
    assert error.value.key == "layers.2.direction"


def test_a_flight_is_lettered_from_its_lower_landing() -> None:
    stated = tomlkit.parse((EXAMPLES / "stair-flight" / "job.toml").read_text())
    room: Any = stated["room"]
    room["levels"] = {"A": 2400, "B": 1000, "C": 1001, "D": 2402}
    with pytest.raises(TimbrelError, match="lower landing") as error:
        read_job(tomlkit.dumps(stated))
    assert error.value.key == "room.levels"


@pytest.mark.parametrize(
    ("name", "key", "given"),
    [
        ("well-dome", "curve.oculus", 0),
        ("well-dome", "curve.oculus", 100),
        ("well-dome", "room.levels.C", 2400),
        ("shelter-roof", "curve.keep", "rise over span"),
        ("chapel-cloister", "room.near_end", "carrying wall"),
        ("study-sail", "room.near_end", "free"),
    ],
)
def test_what_belongs_to_the_vault_is_taken(name: str, key: str, given: Any) -> None:
    changed(name, key, given)


def test_no_centring_can_stay_under_an_opening_of_a_vault_without_one() -> None:
    with pytest.raises(TimbrelError, match=r"until_cured.*accepted: in a barrel or a flight only"):
        changed_text("wash-house", "bar = 8", 'bar = 8\nuntil_cured = "centring"')


def changed_text(name: str, old: str, new: str) -> None:
    """Reads an example with some words of it changed."""
    text = (EXAMPLES / name / "job.toml").read_text()
    assert text.count(old) == 1
    read_job(text.replace(old, new))
