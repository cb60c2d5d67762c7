"""Loads where they stand in plan, lifts of fill, snow, wind, water and level pushes, on a strip."""

import numpy as np
import pytest

from timbrel.statics.actions import actions
from timbrel.statics.patterns import Pattern
from timbrel.words import TimbrelError

BARE = {"kind": "none"}


def placed(acts) -> list[Pattern]:
    return [p for p in acts.patterns if p.kind == "placed"]


def test_a_partition_along_the_axis_is_a_line_load_on_every_strip(trial_job, trial_vault):
    wall = {"name": "Partition", "x": 1500, "y": 500, "x_end": 1500, "y_end": 5500, "load": 3}
    job = trial_job(loads={"lines": [wall]})
    vault = trial_vault(job)
    acts = actions(job, vault, 0.5)
    load = next(p for p in acts.permanent if p.key == "loads.lines.1")
    # The section stands a degree off square to the partition.
    assert load.total == pytest.approx(3e3, rel=1e-3)
    x = -load.wrench[:, 2].sum() / load.total
    left = vault.plane(0.5).left[0]
    assert x + left == pytest.approx(1.5, abs=0.02)


def test_a_partition_across_spreads_over_its_own_width(trial_job, trial_vault):
    wall = {"name": "Partition", "x": 500, "y": 3000, "x_end": 3700, "y_end": 3000, "load": 3}
    job = trial_job(loads={"lines": [wall]})
    vault = trial_vault(job)
    near = actions(job, vault, 0.5)
    load = next(p for p in near.permanent if p.key == "loads.lines.1")
    assert load.total > 3e3
    far = actions(job, vault, 0.0)
    assert all(p.key != "loads.lines.1" for p in far.permanent)


def test_a_spot_load_is_shared_over_the_width_it_spreads_to(trial_job, trial_vault):
    spot = {"name": "Post", "x": 2100, "y": 3040, "force": 10, "patch": 200}
    job = trial_job(loads={"points": [spot], "fill": BARE})
    vault = trial_vault(job)
    (found,) = placed(actions(job, vault, 0.5))
    width = 0.2 + 2 * vault.thickness
    assert found.load.total == pytest.approx(10e3 / width, rel=1e-6)
    deeper = trial_job(loads={"points": [spot], "fill": {"kind": "light"}})
    (spread,) = placed(actions(deeper, vault, 0.5))
    assert spread.load.total < found.load.total


def test_a_patch_weighs_its_pressure(trial_job, trial_vault):
    patch = {"name": "Store", "x": 1000, "y": 1000, "width": 1000, "length": 4000, "pressure": 5}
    job = trial_job(loads={"patches": [patch], "fill": BARE})
    (found,) = placed(actions(job, trial_vault(job), 0.5))
    assert found.load.total == pytest.approx(5e3 * 1.0 * 4.0 / (4.0 + 0.248), rel=0.01)


@pytest.mark.parametrize(
    ("table", "row", "key"),
    [
        ("points", {"name": "Post", "x": 5000, "y": 1000, "force": 5}, "loads.points.1"),
        (
            "lines",
            {"name": "Wall", "x": 1000, "y": 0, "x_end": 1000, "y_end": 7000, "load": 1},
            "loads.lines.1",
        ),
        (
            "patches",
            {"name": "Bed", "x": 3500, "y": 1000, "width": 1000, "length": 900, "pressure": 1},
            "loads.patches.1",
        ),
    ],
)
def test_a_load_off_the_plan_is_refused(trial_job, trial_vault, table, row, key):
    job = trial_job(loads={table: [row]})
    with pytest.raises(TimbrelError, match="off the plan") as error:
        actions(job, trial_vault(job), 0.5)
    assert error.value.key == key


def test_lifts_weigh_what_each_holds(trial_job, trial_vault):
    one = trial_job(loads={"fill": {"kind": "solid", "unit_weight": 12, "level": 1100}})
    vault = trial_vault(one)
    whole = actions(one, vault, 0.5).permanent[1]
    same = [{"top": 500, "unit_weight": 12}, {"top": 1100, "unit_weight": 12}]
    split = trial_job(loads={"fill": {"kind": "solid", "lifts": same}})
    parts = actions(split, vault, 0.5).permanent[1]
    assert parts.wrench == pytest.approx(whole.wrench, rel=1e-6, abs=1e-6)
    mixed = [{"top": 500, "unit_weight": 18}, {"top": 1100, "unit_weight": 6}]
    heavy_low = actions(trial_job(loads={"fill": {"kind": "solid", "lifts": mixed}}), vault, 0.5)
    light = actions(
        trial_job(loads={"fill": {"kind": "solid", "unit_weight": 6, "level": 1100}}), vault, 0.5
    )
    low = actions(
        trial_job(loads={"fill": {"kind": "solid", "unit_weight": 12, "level": 500}}), vault, 0.5
    )
    assert heavy_low.permanent[1].total == pytest.approx(
        light.permanent[1].total + low.permanent[1].total, rel=1e-6
    )


def test_lifts_must_rise(trial_job, trial_vault):
    lifts = [{"top": 900, "unit_weight": 12}, {"top": 800, "unit_weight": 6}]
    job = trial_job(loads={"fill": {"kind": "solid", "lifts": lifts}})
    with pytest.raises(TimbrelError) as error:
        actions(job, trial_vault(job), 0.5)
    assert error.value.key == "loads.fill.lifts.1.top"


def test_snow_wind_water_and_push(trial_job, trial_vault):
    job = trial_job(
        loads={
            "snow": 1.2,
            "wind_left": 0.6,
            "wind_right": -0.3,
            "horizontal": 0.1,
            "fill": {"kind": "light", "saturated": 14},
        }
    )
    vault = trial_vault(job)
    acts = actions(job, vault, 0.5)
    found = {o.load.key: o.load for o in acts.others}
    assert set(found) == {"snow", "wind", "water", "level.right", "level.left"}
    span = acts.strip.outer[-1, 0] - acts.strip.outer[0, 0]
    assert found["snow"].total == pytest.approx(1.2e3 * span, rel=1e-6)
    fill = next(p for p in acts.permanent if p.key == "fill")
    assert found["water"].total == pytest.approx(fill.total * (14 - 6) / 6, rel=1e-6)
    weight = sum(p.total for p in acts.permanent)
    assert found["level.right"].force[:, 0].sum() == pytest.approx(0.1 * weight)
    # Pressure over a curve sums to pressure times its projections.
    crown = acts.strip.outer[np.argmax(acts.strip.outer[:, 1])]
    left, right = acts.strip.outer[0], acts.strip.outer[-1]
    wind = found["wind"].force.sum(axis=0)
    assert wind[0] == pytest.approx(
        0.6e3 * (crown[1] - left[1]) + 0.3e3 * (crown[1] - right[1]), rel=0.01
    )
    assert wind[1] == pytest.approx(
        -0.6e3 * (crown[0] - left[0]) + 0.3e3 * (right[0] - crown[0]), rel=0.05
    )


def test_a_spot_load_by_an_end_spreads_to_one_side_only(trial_job, trial_vault):
    """At the very end of the vault half of the width is not there: the strip takes twice as much."""
    middle = {"name": "Post", "x": 2100, "y": 3040, "force": 10, "patch": 200}
    job = trial_job(loads={"points": [middle], "fill": BARE})
    vault = trial_vault(job)
    corners = np.asarray(vault.room.corners)[:, :2]
    end = (corners[0] + corners[1]) / 2
    spot = {**middle, "x": float(end[0] * 1e3), "y": float(end[1] * 1e3) + 0.5}
    job = trial_job(loads={"points": [spot], "fill": BARE})
    (found,) = placed(actions(job, vault, 0.0))
    width = 0.2 + 2 * vault.thickness
    assert found.load.total == pytest.approx(10e3 / (width / 2), rel=0.01)
