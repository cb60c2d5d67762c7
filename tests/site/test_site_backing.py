"""Backing on site: volume, lifts, what lies on it, order of work, programme, order, hand check."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import read_job
from timbrel.plan import Plan, make_plan
from timbrel.sheets.fill_sheet import fill_blocks
from timbrel.site.bed import bed_of
from timbrel.words import TimbrelError, Voice

CELLAR = Path(__file__).parents[2] / "examples/ferry-house/cellar/job.toml"
TEXT = CELLAR.read_text(encoding="utf-8")


def planned(*changes: tuple[str, str]) -> Plan:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return make_plan(read_job(text))


@pytest.fixture(scope="module")
def cellar() -> Plan:
    return planned()


def test_volume_is_the_space_under_its_top(cellar: Plan) -> None:
    backing = cellar.site.backing
    assert backing.volume == pytest.approx(bed_of(cellar.vault).volume(backing.top))
    assert backing.weight == pytest.approx(1900 * 9.81 * backing.volume)
    assert sum(lift.volume for lift in backing.lifts) == pytest.approx(backing.volume)
    # On corbels the walls stand as far back as the shell is thick: two slivers between a half circle of
    # that radius and its tangents (closed form), up to a height over the springing.
    wide = float(cellar.vault.section(0.5)[-1, 0])
    radius = wide / 2 + cellar.vault.thickness
    springing = float(np.mean(np.asarray(cellar.vault.room.corners)[:, 2]))
    h = backing.top - springing
    under = (h * np.sqrt(radius**2 - h**2) + radius**2 * np.arcsin(h / radius)) / 2
    area = 2 * (radius * h - under)
    assert backing.volume == pytest.approx(area * cellar.vault.axis_length, rel=0.03)


def test_fill_stands_on_the_backing(cellar: Plan) -> None:
    plain = planned(("share = 0.5     # of the rise", "share = 0.001"))
    fill, before = cellar.site.fill, plain.site.fill
    taken = cellar.site.backing.volume - plain.site.backing.volume
    assert fill.volume == pytest.approx(before.volume - taken, rel=1e-6)
    assert fill.lifts[0].bottom == pytest.approx(cellar.site.backing.top)
    assert fill.weight == pytest.approx(6e3 * fill.volume)


def test_it_is_laid_after_the_last_layer_and_before_the_fill(cellar: Plan) -> None:
    keys = [step.key for step in cellar.site.order]
    assert keys.index("lay.2") < keys.index("backing") < keys.index("fill") < keys.index("load")
    last = [step for step in cellar.site.order if step.key == "backing"][-1]
    assert last.hold and last.wait == cellar.job.site.wait_fill
    operations = [o.key for o in cellar.site.programme.operations]
    assert operations.index("layer-2") < operations.index("backing") < operations.index("fill")


def test_it_is_ordered_by_the_cubic_metre(cellar: Plan) -> None:
    line = next(line for line in cellar.takeoff.lines if line.key == "backing")
    assert line.need == cellar.site.backing.volume
    assert line.cost == pytest.approx(190 * line.order)
    stages = {d.stage: d.keys for d in cellar.takeoff.logistics.deliveries}
    assert "backing" in stages["backing"]


def test_the_hand_takes_the_part_that_stands_free(cellar: Plan) -> None:
    strip = cellar.statics.worst.actions.strip
    free = np.flatnonzero(strip.backing == 0)
    span = strip.shell_middle[free[-1], 0] - strip.shell_middle[free[0], 0]
    assert cellar.site.hand_check.span == pytest.approx(float(span))
    check = next(c for c in cellar.checks if "hand" in c.name)
    assert check.value == pytest.approx(0.0, abs=0.01)


def test_the_sheet_tells_how_it_is_laid(cellar: Plan) -> None:
    told = str(fill_blocks(cellar, Voice()))
    assert "backs the haunches" in told and "Pack it tight" in told
    loose = planned(("strength = 1.0", "against_walls = false\nstrength = 1.0"))
    assert "Pack it tight" not in str(fill_blocks(loose, Voice()))


def test_a_backing_over_the_fill_is_refused() -> None:
    with pytest.raises(TimbrelError, match="under the top of the fill") as error:
        planned(('kind = "light"', 'kind = "light"\nlevel = 500'))
    assert error.value.key == "loads.fill.backing.level"


def test_backing_of_a_vault_on_a_plan_is_refused() -> None:
    kitchen = (CELLAR.parents[1] / "kitchen/job.toml").read_text(encoding="utf-8")
    with pytest.raises(TimbrelError, match="accepted: a barrel") as error:
        read_job(kitchen + "\n[loads.fill.backing]\nshare = 0.5\n")
    assert error.value.key == "loads.fill.backing"
