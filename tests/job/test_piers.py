"""Where a pier may stand under its corner: refused with the key, what was given and what would do."""

from __future__ import annotations

from pathlib import Path

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"


def _read(name: str, **left: object) -> None:
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    stated["walls"]["left"].update(left)
    read_job(tomlkit.dumps(stated))


@pytest.mark.parametrize("out", [0, 250, 500])
def test_a_pier_may_stand_anywhere_under_its_corner(out: float) -> None:
    _read("market-groin", pier=1000, pier_out=out)


@pytest.mark.parametrize(
    ("name", "keys", "words"),
    [
        ("market-groin", {"pier": 1000, "pier_out": 600}, ("600", "0", "500")),
        ("market-groin", {"pier_out": -100}, ("-100",)),
        ("chapel-cloister", {"pier_out": 300}, ("300", "walls.left.pier")),
    ],
)
def test_a_pier_that_carries_no_corner_is_refused(
    name: str, keys: dict[str, object], words: tuple[str, ...]
) -> None:
    with pytest.raises(TimbrelError) as refused:
        _read(name, **keys)
    text = str(refused.value)
    assert "walls.left.pier_out" in text
    assert "accepted" in text
    assert all(word in text for word in words)
