"""The level budget: levels by hand, what is to spare, and which rise would fit."""

from __future__ import annotations

from typing import Any

import pytest

from timbrel.job.model import Job
from timbrel.shape.levels import LevelBudget, crowns_of, level_budget
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.verdict import Verdict

LEVELS = {"A": 2000, "B": 2000, "C": 2000, "D": 2000}


def job(levels: dict[str, Any] | None = None, curve: dict[str, Any] | None = None,
        springings: dict[str, int] | None = None) -> Job:  # fmt: skip
    """A 4 x 6 m room, springings at 2 m, a shell of 20 + 10 + 30 mm."""
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "levels"},
            "room": {"AB": 4000, "BC": 6000, "CD": 4000, "DA": 6000, "AC": 7211.1, "BD": 7211.1,
                     "levels": springings or LEVELS},
            "curve": {"directrix": "segment", "rise": 600, **(curve or {})},
            "levels": {"crown_cover": 40, "finish": 50, **(levels or {})},
            "tiles": {"a": {"length": 240, "width": 120, "thickness": 20},
                      "b": {"length": 240, "width": 120, "thickness": 30}},
            "binders": {"q": {"kind": "natural quick cement"}},
            "layers": [{"tile": "a", "binder": "q"}, {"tile": "b", "binder": "q"}],
        }
    )  # fmt: skip


def budget(stated: Job) -> LevelBudget:
    """The level budget of a job."""
    return level_budget(stated, shape_vault(stated, solve_room(stated.room)))


def test_the_levels_add_up_as_by_hand() -> None:
    """Trade: rise + shell (tiles and beds) + crown cover + floor, over level springings."""
    made = budget(job({"top": 2800}))
    by_hand = {
        "floor": 0.0,
        "headroom_springing": 1.9,
        "springing": 2.0,
        "headroom_crown": 2.2,
        "crown_low": 2.6,
        "crown": 2.6,
        "layer_1": 2.62,
        "layer_2": 2.66,
        "cover": 2.70,
        "finish": 2.75,
        "top": 2.80,
    }
    assert {line.name: pytest.approx(line.level, abs=2e-5) for line in made.lines} == by_hand
    levels = [line.level for line in made.lines]
    assert levels == sorted(levels)
    assert made.level("crown") == pytest.approx(2.6, abs=2e-5)
    assert made.spare == pytest.approx(0.05, abs=2e-5)
    assert {c.verdict for c in made.checks} == {Verdict.HOLDS}


def test_the_rises_that_fit_just_fit() -> None:
    made = budget(job({"top": 2700, "headroom_crown": 2450}))
    assert made.spare == pytest.approx(-0.05, abs=2e-5)
    assert made.greatest_rise == pytest.approx(0.55, abs=2e-5)
    assert made.least_rise == pytest.approx(0.45, abs=2e-5)
    assert made.greatest_rise is not None and made.least_rise is not None
    top = next(c for c in made.checks if c.name == "levels.top")
    assert top.verdict is Verdict.FAILS and "550 mm or less" in str(top.reason)
    high = {"rise": 1e3 * made.greatest_rise}
    assert budget(job({"top": 2700}, high)).spare == pytest.approx(0.0, abs=2e-5)
    low = {"rise": 1e3 * made.least_rise}
    assert budget(job({"headroom_crown": 2450}, low)).spare == pytest.approx(0, abs=2e-5)


@pytest.mark.parametrize("line", ["intrados", "axis", "extrados"])
@pytest.mark.parametrize(
    ("kind", "rise"), [("segment", 600), ("catenary", 900), ("pointed", 2400), ("parabola", 700)]
)
def test_the_rise_that_fits_is_found_on_every_curve(line: str, kind: str, rise: int) -> None:
    curve = {"directrix": kind, "rise": rise, "line": line}
    top = 2000 + rise + 60
    made = budget(job({"top": top}, curve))
    assert made.greatest_rise is not None
    fitted = {**curve, "rise": 1e3 * made.greatest_rise}
    again = budget(job({"top": top}, fitted))
    assert again.level("finish") == pytest.approx(top / 1e3, abs=3e-5)


def test_no_rise_fits_between_headroom_and_top() -> None:
    made = budget(job({"top": 2500, "headroom_crown": 2500}))
    assert made.least_rise is not None and made.greatest_rise is not None
    assert made.least_rise > made.greatest_rise
    assert "No rise fits" in str(made.summary)


def test_a_semicircle_leaves_no_rise_to_choose() -> None:
    curve = {"directrix": "semicircle", "rise": None}
    made = budget(job({"top": 4000}, curve))
    assert made.least_rise is None and made.greatest_rise is None
    assert "no rise to choose" in str(made.summary)
    assert made.level("crown") == pytest.approx(4.0, abs=2e-5)


def test_without_a_top_nothing_is_judged_against_it() -> None:
    made = budget(job())
    assert "levels.top" not in {c.name for c in made.checks}
    assert made.greatest_rise == pytest.approx(2.0)


def test_headroom_under_the_springing() -> None:
    made = budget(job({"headroom_springing": 2100}))
    springing = next(c for c in made.checks if c.name == "levels.springing")
    assert springing.verdict is Verdict.FAILS
    assert made.spare == pytest.approx(-0.1)


def test_the_lowest_and_highest_crown_follow_the_springings() -> None:
    stated = job(springings={"A": 2000, "B": 2000, "C": 2050, "D": 2050})
    crowns = crowns_of(shape_vault(stated, solve_room(stated.room)))
    assert crowns.springing == 2.0
    assert crowns.low == pytest.approx(2.6, abs=1e-5)
    assert crowns.high == pytest.approx(2.65, abs=1e-5)


def test_a_crown_between_tilted_springings_stands_where_the_circle_is_highest() -> None:
    """Derived: with the chord tilted by a, the crown of a circle stands R above its centre."""
    stated = job(springings={"A": 2000, "B": 2100, "C": 2100, "D": 2000})
    vault = shape_vault(stated, solve_room(stated.room))
    span = (4.0**2 + 0.1**2) ** 0.5
    radius = span**2 / (8 * 0.6) + 0.6 / 2
    # The centre lies R - rise below the middle of the chord, square to it.
    centre = 2.05 - (radius - 0.6) * 4.0 / span
    assert crowns_of(vault).high == pytest.approx(centre + radius, abs=1e-5)


@pytest.mark.parametrize(
    ("curve", "crown", "top"),
    [
        # Square room of 4 m at level 2; shells of 60 mm stand plumb on their crown.
        ({"family": "groin"}, 2.6, 2.66),
        ({"family": "cloister"}, 2.6, 2.66),
        # The arch of 600 on 4 m has R = 3.6333; the sphere's crown stands over that arch by its
        # own rise from the wall, 2 m off the middle: sqrt(R^2 + 2^2) - R.
        ({"family": "sail"}, 2.6 + (3.6333333**2 + 4) ** 0.5 - 3.6333333, None),
        ({"family": "dome"}, 2.6, 2.66),
        ({"family": "dome", "oculus": 1000}, 2 + (3.6333333**2 - 0.25) ** 0.5 - 3.0333333, None),
    ],
)
def test_the_crown_of_every_family(curve: dict[str, Any], crown: float, top: float | None) -> None:
    """Geometry of the circle; by hand."""
    square = {"AB": 4000, "BC": 4000, "CD": 4000, "DA": 4000, "AC": 5656.85, "BD": 5656.85}
    stated = job(curve=curve)
    stated = stated.model_copy(
        update={"room": type(stated.room).model_validate({**square, "levels": LEVELS})}
    )
    vault = shape_vault(stated, solve_room(stated.room))
    crowns = crowns_of(vault)
    assert crowns.springing == pytest.approx(2.0, abs=1e-6)
    assert crowns.low == pytest.approx(crown, abs=1e-5)
    assert crowns.tops[-1] == pytest.approx(top or crowns.tops[-1], abs=1e-5)
    assert crowns.tops[-1] > crowns.tops[0] > crowns.low
    made = level_budget(stated, vault)
    assert made.least_rise is not None
    risen = stated.model_copy(
        update={"curve": stated.curve.model_copy(update={"rise": made.least_rise})}
    )
    low = crowns_of(shape_vault(risen, vault.room)).low
    assert low == pytest.approx(max(2.2, low if made.least_rise <= 0.1 else 0.0), abs=2e-4)


def test_a_flight_has_no_rise_to_choose() -> None:
    stated = job(
        curve={"family": "flight", "directrix": "parabola", "rise": 400},
        springings={"A": 2000, "B": 4000, "C": 4000, "D": 2000},
    )
    made = budget(stated)
    assert made.least_rise is None and made.greatest_rise is None
    assert made.level("springing") == pytest.approx(2.0)
    assert made.level("crown") == pytest.approx(4.0, abs=1e-3)
