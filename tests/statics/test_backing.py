"""Masonry that backs the haunches: joints carried on, weight where it lies, what it is worth."""

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from tests.statics.conftest import JOB, merged

from timbrel.job.model import Job
from timbrel.shape.vault import shape_vault
from timbrel.statics.actions import actions_under, fill_levels
from timbrel.statics.alternatives import alternatives
from timbrel.statics.carrying import carry
from timbrel.statics.proof import prove
from timbrel.statics.strip_answer import solve_strip
from timbrel.statics.thickness import least_thickness
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

ROOM = np.array([[0.0, 0.0, 2.1], [4.0, 0.0, 2.1], [4.0, 6.0, 2.1], [0.0, 6.0, 2.1]])
STOUT = {"thickness": 1500, "height": 2100, "above": 3000}
SEMICIRCLE = {
    "curve": {"directrix": "semicircle", "rise": None},
    "walls": {"left": STOUT, "right": STOUT},
    "loads": {"fill": {"kind": "none"}, "finish": 0, "patterns": ["half"]},
}


def vaulted(**changes):
    job = Job.model_validate(merged(merged(JOB, SEMICIRCLE), changes))
    return job, shape_vault(job, SimpleNamespace(corners=ROOM, measures=(), checks=()))


def backed(share, joints=121, **changes):
    backing = None if share is None else {"share": share, **changes.pop("backing", {})}
    wanted = merged({"loads": {"fill": {"backing": backing}}}, changes)
    job, vault = vaulted(**wanted)
    return (
        job,
        vault,
        actions_under(job, vault, 0.5, fill_levels(job, vault), np.linspace(0, 1, joints)),
    )


def test_without_backing_nothing_changes():
    _, _, acts = backed(None)
    assert acts.strip.backing is None
    assert np.array_equal(acts.strip.shell_outer, acts.strip.outer)
    assert [load.key for load in acts.permanent] == ["layers"]


def test_joints_run_on_to_the_top_the_face_or_through_the_wall():
    _, vault, acts = backed(0.5)
    strip, top = acts.strip, 2.1 + 1.0
    low = strip.shell_outer[:, 1] < top - 1e-9
    assert np.array_equal(strip.backing > 0, low)
    ends = strip.outer[low]
    at_top = np.isclose(ends[:, 1], top)
    # A half circle stands on corbels: the walls, 1.5 m thick, are behind them.
    back = 1.5 + vault.thickness
    at_back = np.isclose(ends[:, 0], -back) | np.isclose(ends[:, 0], 4.0 + back)
    assert np.all(at_top | at_back)
    assert at_top.any() and at_back.any()
    assert strip.shell_thickness == pytest.approx(np.full(len(strip.inner), vault.thickness))
    assert strip.span == pytest.approx(4.0 + vault.thickness)


def test_backing_off_the_walls_ends_at_their_face():
    _, _, acts = backed(0.5, backing={"against_walls": False})
    strip = acts.strip
    assert strip.outer[:, 0].min() == pytest.approx(strip.shell_outer[:, 0].min())
    # The springing joint lies in the wall and is not carried on.
    assert strip.backing[0] == 0 and strip.backing[-1] == 0


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
@pytest.mark.parametrize("fill", ["none", "solid", "sleeper walls"])
def test_weight_is_that_of_what_lies_there(share, fill):
    """Backing by quadrature from wall to wall, which stand behind corbels; fill stands on its top."""
    _, vault, acts = backed(share, joints=241, loads={"fill": {"kind": fill}})
    radius, top = 2.0 + vault.thickness, 2.0 * share
    x = ((np.arange(400_000) + 0.5) / 400_000 * 2 - 1) * radius
    shell = np.sqrt(radius**2 - x**2)
    area = float(np.maximum(top - shell, 0.0).mean() * 2 * radius)
    loads = {load.key: load for load in acts.permanent}
    assert loads["backing"].total == pytest.approx(1900 * 9.81 * area, rel=2e-3)
    moment = loads["backing"].wrench[:, 2].sum()
    assert moment == pytest.approx(-loads["backing"].total * 2.0, rel=1e-6)
    if fill == "solid":
        _, _, plain = backed(None, joints=241, loads={"fill": {"kind": "solid"}})
        before = next(load for load in plain.permanent if load.key == "fill")
        assert loads["fill"].total == pytest.approx(before.total - 16e3 * area, rel=2e-3)


def test_each_voussoir_carries_what_lies_on_its_own_side_of_its_joints():
    """The crown side of a joint through the backing: its weight by quadrature."""
    _, vault, acts = backed(0.6, joints=121, loads={"fill": {"kind": "none"}, "finish": 2.0})
    strip = acts.strip
    loads = {load.key: load for load in acts.permanent}
    i = int(np.flatnonzero(np.isclose(strip.outer[:60, 1], 2.1 + 1.2))[0])
    right_of = strip.outer[i, 0]
    assert loads["finish"].force[i:, 1].sum() == pytest.approx(
        -2000 * (4.0 + vault.thickness - right_of), rel=1e-3
    )


def test_more_backing_never_costs_strength():
    """Beyond what it weighs: the same loads on ever more backing."""
    _, _, bare = backed(None)
    share = [least_thickness(bare.strip, bare.dead).share]
    for part in (0.1, 0.25, 0.4, 0.6, 0.8):
        _, _, acts = backed(part)
        share.append(least_thickness(acts.strip, bare.dead).share)
    assert all(b <= a + 1e-9 for a, b in pairwise(share))
    assert share[-1] < 0.3 * share[0]


def test_both_bounds_of_a_backed_arch_meet():
    _, _, acts = backed(0.4)
    answer = solve_strip(acts)
    assert answer.geometric.answer.gap < 1e-3
    half = answer.worst("half")
    assert half.gap < 1e-2


def test_the_load_path_judges_the_backing_and_the_wall_behind():
    strong = {"masonry": {"unit": 15, "mortar": 5}}
    job, vault = vaulted(
        loads={"imposed": 0.5, "fill": {"backing": {"share": 0.65}}},
        walls={"left": strong, "right": strong},
    )
    found = carry(job, vault, prove(job, vault))
    checks = {c.name: c for c in found.checks}
    assert checks["supports.backing"].verdict is Verdict.HOLDS
    assert checks["supports.left.backed"].verdict is Verdict.HOLDS
    weak = job.model_copy(deep=True)
    fill = weak.loads.fill.model_copy(
        update={"backing": weak.loads.fill.backing.model_copy(update={"strength": 1.5e3})}
    )
    weak = weak.model_copy(update={"loads": weak.loads.model_copy(update={"fill": fill})})
    again = {c.name: c for c in carry(weak, vault, prove(weak, vault)).checks}
    assert again["supports.backing"].verdict is Verdict.FAILS


def test_backing_over_the_crown_is_refused():
    with pytest.raises(TimbrelError, match="under the crown") as error:
        backed(0.5, backing={"level": 2500})
    assert error.value.key == "loads.fill.backing.level"


def test_backing_is_offered_where_a_high_vault_has_no_line():
    job, vault = vaulted(prices={"backing_m3": 200})
    found = {a.key: a for a in alternatives(job, vault, carry(job, vault, prove(job, vault)))}
    assert not found["stated"].serves and not found["thicker"].serves
    backing = found["backing"]
    assert backing.serves and backing.reserve > 1
    assert backing.cost == pytest.approx(200 * backing.masonry)
    share = backing.size / vault.near.rise
    _, _, acts = backed(share, loads={"fill": {"backing": {"share": share}}})
    area = next(load for load in acts.permanent if load.key == "backing").total / (1900 * 9.81)
    assert backing.masonry == pytest.approx(area * vault.axis_length, rel=0.05)


def test_backing_is_not_offered_to_a_flat_vault(trial_job, trial_vault):
    job = trial_job(loads={"patterns": ["full"]})
    vault = trial_vault(job)
    found = {a.key for a in alternatives(job, vault, carry(job, vault, prove(job, vault)))}
    assert "backing" not in found


def test_thinning_leaves_what_backs_the_shell():
    _, vault, acts = backed(0.5)
    thin = acts.strip.thinned(0.5)
    assert thin.shell_thickness == pytest.approx(acts.strip.shell_thickness / 2)
    assert thin.shell_middle == pytest.approx(acts.strip.shell_middle)
    assert thin.thickness == pytest.approx(thin.shell_thickness + acts.strip.backing)
    assert acts.strip.thickness == pytest.approx(vault.thickness + acts.strip.backing)
