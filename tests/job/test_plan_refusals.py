"""What cannot be true together under a vault on a plan: one sentence with the key, what was given and
what would do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_vaults import solid_of
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"
Change = Callable[[Any], None]


def tried(name: str, change: Change) -> None:
    """Read an example with a change, shape it and lay its loads on the coarsest net."""
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))
    change(stated)
    job = read_job(tomlkit.dumps(stated)).job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    _ = Rungs(job, solid_of(vault))[0]


def filled(level: float, top: float) -> Change:
    def change(stated: Any) -> None:
        stated["levels"]["top"] = top
        stated["loads"]["fill"] = {"kind": "solid", "level": level}

    return change


def lifted(stated: Any) -> None:
    stated["levels"]["top"] = 4000
    lifts = [{"name": n, "top": t, "unit_weight": 16} for n, t in (("a", 500), ("b", 400))]
    stated["loads"]["fill"] = {"kind": "solid", "lifts": lifts}


def posted(x: float, y: float) -> Change:
    def change(stated: Any) -> None:
        stated["loads"]["points"] = [{"name": "Post", "x": x, "y": y, "force": 2}]

    return change


def walled(side: str, **keys: object) -> Change:
    def change(stated: Any) -> None:
        stated["walls"].setdefault(side, {}).update(keys)

    return change


def blown(stated: Any) -> None:
    stated["loads"]["wind_near"] = 0.4


REFUSED: list[tuple[str, Change, str, tuple[str, ...]]] = [
    # Springing at 2300, fill 600 over it, finish 40: over a floor at 2900.
    ("study-sail", filled(600, 2900), "loads.fill.level", ("2 900", "40 mm", "2 940")),
    ("study-sail", lifted, "loads.fill.lifts.1.top", ("lifts.2",)),
    # The eye of the dome is 1100 wide about (2200, 2200).
    ("well-dome", posted(2200, 2300), "loads.points.1", ("Post", "2 300", "open")),
    ("well-dome", posted(100, 100), "loads.points.1", ("Post", "100 mm", "off the plan")),
    ("market-groin", walled("left", pier=4600, pier_out=0), "walls.left.pier", ("4 600", "DA")),
    ("market-groin", walled("left", pier_out=900), "walls.left.pier_out", ("900", "500")),
    ("well-dome", walled("right", thickness=700), "walls.right.thickness", ("700", "600")),
    ("well-dome", walled("near", height=1800), "walls.near.height", ("1 800", "2 200")),
    ("well-dome", walled("right", density=1900), "walls.right.density", ("walls.left",)),
    ("granary", blown, "loads.wind_near", ("0.40", "barrel", "wind_left")),
    ("well-dome", walled("left", pier=700), "walls.left.pier", ("700", "drum")),
]


@pytest.mark.parametrize(("name", "change", "key", "words"), REFUSED)
def test_is_refused_in_one_sentence(
    name: str, change: Change, key: str, words: tuple[str, ...]
) -> None:
    with pytest.raises(TimbrelError) as refused:
        tried(name, change)
    text = str(refused.value).replace("\u202f", " ").replace("\xa0", " ")
    assert refused.value.key.startswith(key) or key in text
    assert "accepted" in text and text.count(". ") == 0
    assert all(word in text for word in words), text


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("study-sail", filled(600, 2940)),  # levels.top is where the finish ends
        ("well-dome", posted(2200, 2900)),
        ("market-groin", walled("left", pier_out=0)),
        ("well-dome", walled("near", thickness=600)),
    ],
)
def test_what_fits_is_taken(name: str, change: Change) -> None:
    tried(name, change)
