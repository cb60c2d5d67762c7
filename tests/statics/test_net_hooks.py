"""Hooks under vaults on a plan: where they may hang, what net and combinations carry."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.opened_vaults import VAULTS, opened_text

from timbrel.job.model import Job
from timbrel.shape.opened_plan import hooks_of
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.hooks import cone_resistance
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_combinations import net_combinations
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_hooks import FOLLOWED, prove_net_hooks
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_vaults import solid_of
from timbrel.words import TimbrelError

LAMP = {"name": "Lamp", "along": 1900, "across": 900, "load": 0.6, "plate": 100}


def _hung(family: str, *, opened: bool = False, **changed: Any) -> tuple[Job, Any]:
    text = opened_text(family)
    if not opened:
        del text["openings"]
    text["hooks"] = [{**LAMP, **changed}]
    job = Job.model_validate(text)
    return job, shape_vault(job, solve_room(job.room))


def _acts(job: Job, vault: Any) -> NetActions:
    solid = solid_of(vault)
    return net_actions(job, solid, grid_of(solid, 8))


@pytest.mark.parametrize("family", VAULTS)
def test_a_hook_hangs_where_the_tape_finds_it(family: str) -> None:
    job, vault = _hung(family)
    (hook,) = hooks_of(job, vault)
    a, b = np.asarray(vault.room.corners)[:2, :2]
    inward = hook.plan - a
    # From A along AD, square off it towards BC.
    d = np.asarray(vault.room.corners)[3, :2]
    way = (d - a) / np.linalg.norm(d - a)
    assert inward @ way == pytest.approx(1.9)
    assert abs(inward[0] * way[1] - inward[1] * way[0]) == pytest.approx(0.9)
    web = vault.webs[hook.web]
    assert np.allclose(web.point(np.array([hook.u]), np.array([hook.v]))[0], hook.point, atol=1e-6)
    assert (b - a) @ (hook.plan - a) > 0


@pytest.mark.parametrize(
    ("family", "place", "says"),
    [
        ("groin", {"along": 1915, "across": 1900}, "groin"),
        ("cloister", {"along": 900, "across": 900}, "valley"),
        ("sail", {"along": 30, "across": 1900}, "thickness"),
        ("dome", {"along": 200, "across": 200}, "plan of the vault"),
        ("dome", {"along": 5000, "across": 900}, "plan of the vault"),
    ],
)
def test_a_plate_over_a_crease_or_an_edge_is_refused(
    family: str, place: dict[str, Any], says: str
) -> None:
    job, vault = _hung(family, **place)
    with pytest.raises(TimbrelError, match=says):
        hooks_of(job, vault)


def test_a_hook_at_the_edge_of_an_opening_or_in_the_oculus_is_refused() -> None:
    job, vault = _hung("sail", opened=True, along=1500, across=1700)
    with pytest.raises(TimbrelError, match="in or at the edge of Skylight"):
        hooks_of(job, vault)
    text = opened_text("dome")
    del text["openings"]
    text["curve"]["oculus"] = 900
    text["hooks"] = [{**LAMP, "along": 1905, "across": 1905}]
    job = Job.model_validate(text)
    with pytest.raises(TimbrelError):
        hooks_of(job, shape_vault(job, solve_room(job.room)))


@pytest.mark.parametrize("family", VAULTS)
def test_what_hangs_for_good_is_in_the_dead_load_with_its_sum_and_moment(family: str) -> None:
    job, vault = _hung(family)
    bare = job.model_copy(update={"hooks": ()})
    with_it, without = _acts(job, vault).dead, _acts(bare, vault).dead
    grid = grid_of(solid_of(vault), 8)
    pulled = with_it.weight - without.weight
    assert pulled.sum() == pytest.approx(600.0)
    (hook,) = hooks_of(job, vault)
    assert pulled @ grid.middle[:, :2] == pytest.approx(600.0 * hook.plan, abs=1e-3)


def test_what_comes_and_goes_is_an_arrangement_of_its_own_and_in_the_combinations() -> None:
    job, vault = _hung("sail", permanent=False)
    acts = _acts(job, vault)
    assert "hooks.1" in {load.key for load in acts.patterns}
    assert all(load.key != "hooks.1" for load in acts.permanent)
    led = [c for c in net_combinations(job.loads, acts) if c.leading == "hooks.1"]
    assert led and max(c.variable for c in led) == pytest.approx(1.5)
    assert upper_bound(job, vault, "hooks.1").factor is None


def test_mechanisms_that_do_not_weigh_a_hook_bound_nothing() -> None:
    job, vault = _hung("sail")
    assert "hooks" in str(upper_bound(job, vault, "half.left").reason)


def _proved(**changed: Any) -> Any:
    job, vault = _hung("sail", **changed)
    rungs = Rungs(job, solid_of(vault))
    (found,) = prove_net_hooks(job, vault, (rungs[0], rungs[1]), None)
    return job, vault, found


def test_the_net_carries_a_load_in_proportion_and_plate_and_rod_are_those_of_a_strip() -> None:
    """A load factor is of the load: twice the load has half the factor."""
    job, vault, once = _proved(load=3.0, permanent=False)
    _, _, twice = _proved(load=6.0, permanent=False)
    wanted = job.loads.factors.load_factor_least
    assert once.by_itself < FOLLOWED * wanted
    assert twice.by_itself == pytest.approx(once.by_itself / 2, rel=1e-3)
    national = job.loads.national
    shear = national.initial_shear / national.masonry
    assert once.cone == pytest.approx(cone_resistance(0.1, vault.thickness, shear))
    names = [check.name.split(".")[-1] for check in once.checks]
    assert names == ["load_factor", "cone", "rod", "imposed"]


def test_a_load_that_is_too_great_fails() -> None:
    _, _, found = _proved(load=50.0, permanent=False)
    verdicts = {check.name: str(check.verdict) for check in found.checks}
    assert (
        "fails" in verdicts["hooks.1.cone"].lower() and "fails" in verdicts["hooks.1.rod"].lower()
    )
    assert "fails" in verdicts["hooks.1.load_factor"].lower()
