"""Forces and moments all over a dome: their balance, what masonry bears, and the load that they prove.

Outside checks: the membrane of a dome with an eye under a load even in plan (Flügge 1973, "Stresses
in Shells", from memory; derived here by the balance of a cap); the rectangular block of stress (Heyman
1982, "The Masonry Arch", ch. 2); a section that bears some tension, by the balance of two blocks.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics import close_bounds, forces_bound
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.close_bounds import closer_bounds
from timbrel.statics.forces_bound import spaced
from timbrel.statics.forces_check import tension_needed, unbalanced
from timbrel.statics.forces_dome import ForceField, sphere_of
from timbrel.statics.forces_layers import Layers, even_layers
from timbrel.statics.forces_pieces import Pieces, lobatto, points_of
from timbrel.statics.forces_program import points_in, resultants
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome import dome_bound
from timbrel.statics.mechanism_dome_loads import DomeLoads
from timbrel.words import Message, say

Array = NDArray[np.float64]
EXAMPLE = Path(__file__).parents[2] / "examples" / "well-dome" / "job.toml"
STRENGTH, THICK = 3.5e6, 0.06


@pytest.fixture(scope="module")
def dome() -> tuple[Job, Any]:
    job = load_job(EXAMPLE).job
    return job, shape_vault(job, solve_room(job.room, job.job.length_unit))


def field_over(vault: Any, along: int, around: int) -> ForceField:
    sphere = sphere_of(vault)
    assert sphere is not None
    slants = np.linspace(0.0, sphere.length, along + 1)
    return ForceField(sphere, slants, np.linspace(0.0, np.pi, around + 1))


@pytest.mark.parametrize("slopes", [0, 1])
def test_pieces_join_as_they_should_and_no_more(slopes: int) -> None:
    places = np.array([0.0, 0.3, 1.1, 2.0])
    pieces = Pieces(places, 4, slopes)
    own = np.random.default_rng(1).normal(size=pieces.count)
    ends, cell = points_of(places, np.array([0.0, 1.0]))
    number = pieces.first(cell)[:, None] + np.arange(pieces.local)
    value, slope, bend = np.einsum("dna,na->dn", pieces.values(ends, cell), own[number])
    before, after = np.arange(1, 5, 2), np.arange(2, 5, 2)
    assert value[before] == pytest.approx(value[after], abs=1e-6)
    assert (np.abs(slope[before] - slope[after]) < 1e-5).all() == bool(slopes)
    assert np.abs(bend[before] - bend[after]).min() > 0.1


def test_pieces_sum_to_one_and_their_slopes_are_slopes() -> None:
    places, step = np.array([0.0, 0.3, 1.1, 2.0]), 1e-6
    pieces = Pieces(places, 4, 1)
    at, cell = points_of(places, np.array([0.2, 0.7]))
    found, ahead, behind = (pieces.values(x, cell) for x in (at, at + step, at - step))
    assert found[0].sum(axis=1) == pytest.approx(1.0)
    for d in (1, 2):
        slope = (ahead[d - 1] - behind[d - 1]) / (2 * step)
        assert found[d] == pytest.approx(slope, abs=1e-4)


@pytest.mark.parametrize("pattern", ["quarter", "half.left", "full"])
def test_any_unknowns_hold_the_balance(dome: tuple[Job, Any], pattern: str) -> None:
    """By virtual work over the motions of the mechanisms' code."""
    job, vault = dome
    field = field_over(vault, 4, 8)
    own = np.random.default_rng(3).normal(size=field.size) * 500.0
    assert unbalanced(field, DomeLoads(job, vault, pattern), own, 7.0) < 1e-6


@pytest.mark.parametrize("kind", range(6))
def test_a_fault_in_any_force_or_moment_shows(
    dome: tuple[Job, Any], kind: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, vault = dome
    field = field_over(vault, 4, 8)
    true = ForceField._forces
    faulty = np.ones((6, 1, 1))
    faulty[kind] = 1.02
    monkeypatch.setattr(ForceField, "_forces", lambda *given: true(*given) * faulty)
    own = np.random.default_rng(3).normal(size=field.size) * 500.0
    assert unbalanced(field, DomeLoads(job, vault, "quarter"), own, 7.0) > 1e-4


def test_slopes_that_do_not_join_show(
    dome: tuple[Job, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A kink of the outward function is a force along a line that nothing holds."""
    job, vault = dome
    field = field_over(vault, 4, 8)
    true = ForceField._pieces
    monkeypatch.setattr(ForceField, "_pieces", lambda self, slopes: true(self, 0))
    own = np.random.default_rng(3).normal(size=field.size) * 500.0
    assert unbalanced(field, DomeLoads(job, vault, "quarter"), own, 7.0) > 1e-2


def test_a_load_that_is_not_held_shows(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    field = field_over(vault, 4, 8)
    heavier = job.loads.model_copy(update={"imposed": 2 * job.loads.imposed})
    loads = DomeLoads(job, vault, "full")
    other = DomeLoads(job.model_copy(update={"loads": heavier}), vault, "full")
    points = points_in(field, lobatto(5))
    none = np.zeros(field.size)
    once, twice = (resultants(field, one, points, none, 3.0) for one in (loads, other))
    bare = resultants(field, loads, points, none, 0.0)
    assert twice - bare == pytest.approx(2 * (once - bare), rel=1e-9, abs=1e-6)


def test_without_moments_they_are_the_membrane_of_a_dome_with_an_eye(
    dome: tuple[Job, Any], evidence: Any
) -> None:
    """Load p even in plan: N along = -p (r^2 - e^2)/(2 r sin a), N round = -p R cos^2 a - N along."""
    job, vault = dome
    sphere = sphere_of(vault)
    assert sphere is not None
    # What hangs over the wall carries no floor: the membrane is that of the rest.
    floor = (sphere.foot - np.arcsin(BlockSolid(vault).reach / sphere.radius)) * sphere.radius
    slants = np.append(0.0, np.linspace(floor + 1e-6, sphere.length, 8))
    field = ForceField(sphere, slants, np.array([0.0, np.pi]), degree=6)
    loads = DomeLoads(job, vault, "full")
    p, radius = imposed_load(job.loads)[0], sphere.radius
    points = points_in(field, lobatto(7))
    points = points.take(np.flatnonzero(points.cells[0] > 0))

    def live(own: Array) -> Array:
        bare = resultants(field, loads, points, 0 * own, 0.0)
        return resultants(field, loads, points, own, 1.0) - bare

    none = np.zeros(field.size)
    by_own, number = field.own((points.slants, points.turns), points.cells)
    matrix = np.zeros((3, len(points.slants), field.size + 1))
    for kind in range(3):
        np.add.at(matrix[kind], (np.arange(len(number))[:, None], number), by_own[kind + 3])
    flat = matrix[..., :-1].reshape(-1, field.size)
    own, *_ = np.linalg.lstsq(flat, -live(none)[3:].ravel(), rcond=1e-10)
    along, across, shear, *moments = live(own)
    lean = field.sphere.lean(points.slants)
    r, eye = radius * np.sin(lean), radius * np.sin(field.sphere.lean(field.slants[-1:]))
    wanted = -p * (r**2 - eye**2) / (2 * r * np.sin(lean))
    size = p * radius / 2
    assert np.abs(moments).max() < 1e-3 * size * THICK
    assert along == pytest.approx(wanted, abs=1e-3 * size)
    assert across == pytest.approx(-p * radius * np.cos(lean) ** 2 - wanted, abs=1e-3 * size)
    assert np.abs(shear).max() < 1e-3 * size
    foot = int(np.argmax(lean))
    source = "Flügge 1973, Stresses in Shells, from memory"
    evidence("membrane of a dome with an eye, N/m along", wanted[foot], along[foot], source)


def bearing(force: float, moment: float) -> float:
    """Tension needed by a force and a moment by unit of f t and f t^2/4, along one way."""
    forces = np.zeros((6, 1))
    forces[0], forces[3] = force * STRENGTH * THICK, moment * STRENGTH * THICK**2 / 4
    return float(tension_needed(forces, STRENGTH, THICK, 0.0)[0])


@settings(max_examples=20, deadline=None)
@given(st.floats(0.02, 0.98), st.floats(-1.0, 1.0), st.floats(0.0, np.pi))
def test_sections_bear_what_a_block_of_stress_does(
    pressed: float, lean: float, turn: float
) -> None:
    """|M| <= N t/2 - N^2/(2 f), along any way (Heyman 1982); layers miss it by little."""
    most = 2 * pressed - 2 * pressed**2
    c, s = np.cos(turn), np.sin(turn)
    way = np.array([c * c, s * s, c * s])
    for share, bears in ((0.97, True), (1.1, False)):
        moment = share * most * np.sign(lean or 1.0)
        forces = np.zeros((6, 1))
        forces[:3, 0] = -pressed * STRENGTH * THICK * way
        forces[3:, 0] = moment * STRENGTH * THICK**2 / 4 * way
        needed = float(tension_needed(forces, STRENGTH, THICK, 0.0)[0])
        assert (needed < 4e-3) == bears or most < 0.05


@pytest.mark.parametrize("tension", [0.05, 0.2])
def test_tension_is_told_as_two_blocks_have_it(tension: float) -> None:
    """Without a force x f = (t - x) tension f, and M = x f t/2, so M 4/(f t^2) = 2 k/(1 + k)."""
    assert bearing(0.0, 2 * tension / (1 + tension)) == pytest.approx(tension, rel=0.02)


def test_a_bent_shell_bears_more_on_its_longer_side() -> None:
    """Fibres over the middle are longer: sums of an even pressure are f t and f t^3 k/12."""
    curve = 0.5
    layers = Layers(even_layers(6)[None], THICK, curve)
    even = np.zeros((6, 3))
    even[:, 0] = -1.0
    sums = layers.sums() @ even.ravel() * layers.units
    assert sums[0] == pytest.approx(-THICK)
    assert sums[3] == pytest.approx(-(THICK**3) * curve / 12)


@given(
    st.lists(st.floats(1e-6, 1.0), min_size=4, max_size=12),
    st.integers(4, 20),
    st.floats(0.1, 0.9),
)
def test_cells_are_spaced_in_order_and_one_begins_where_the_load_does(
    worth: list[float], cells: int, share: float
) -> None:
    places = np.linspace(0.0, np.pi, len(worth) + 1)
    for edge in (None, share * np.pi):
        found = spaced(places, np.array(worth), cells, edge)
        assert len(found) == cells + 1
        assert (np.diff(found) > 0).all()
        assert found[[0, -1]] == pytest.approx(places[[0, -1]])
        assert edge is None or np.abs(found - edge).min() < 1e-12


def test_only_an_eye_in_a_sphere_has_them(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    assert sphere_of(vault) is not None
    curve = job.curve.model_copy(update={"directrix": "catenary"})
    catenary = job.model_copy(update={"curve": curve})
    other = shape_vault(catenary, solve_room(job.room, job.job.length_unit))
    assert sphere_of(other) is None
    assert forces_bound.forces_bound(catenary, other, "quarter") is None
    masonry = job.masonry.model_copy(update={"crushing": None})
    bare = job.model_copy(update={"masonry": masonry})
    assert forces_bound.forces_bound(bare, vault, "quarter") is None
    assert forces_bound.forces_bound(job, vault, "line") is None


@pytest.mark.filterwarnings("error")
def test_a_load_that_falls_through_the_eye_has_no_bounds(
    dome: tuple[Job, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    job, _ = dome
    monkeypatch.setattr(forces_bound, "COARSE", (2, 4))
    wide = job.model_copy(update={"curve": job.curve.model_copy(update={"oculus": 1.6})})
    vault = shape_vault(wide, solve_room(job.room, job.job.length_unit))
    assert forces_bound.forces_bound(wide, vault, "patch") is None
    assert dome_bound(wide, vault, "patch", (4, 6)) is None


@pytest.mark.slow
def test_a_coarse_field_bears_more_than_a_coarse_net_and_less_than_a_mechanism_takes(
    dome: tuple[Job, Any], monkeypatch: pytest.MonkeyPatch, evidence: Any
) -> None:
    job, vault = dome
    monkeypatch.setattr(forces_bound, "COARSE", (4, 8))
    monkeypatch.setattr(forces_bound, "CONTENT", 0.01)
    monkeypatch.setattr(close_bounds, "MECHANISM_CELLS", (20, 24))
    upper = dome_bound(job, vault, "quarter", (20, 24))
    assert upper is not None
    title = say("One quarter loaded")
    governs: Any = SimpleNamespace(
        pattern="quarter",
        title=title,
        static=23.5,
        rigid=25.2,
        steps=8,
        more=False,
        kinematic=upper.factor,
        upper=SimpleNamespace(crushes=True, reason=title, mechanism=upper),
    )
    heard: list[float] = []

    def progress(what: Message, share: float) -> None:
        heard.append(share)

    found = closer_bounds(job, vault, governs, progress, (6, 8))
    assert heard == sorted(heard) and len(heard) > 3
    assert 28.0 < found.least < upper.factor
    assert found.most == upper.factor
    assert found.gap == pytest.approx((upper.factor - found.least) / found.least)
    source = "no source: the two theorems (Drucker, Prager and Greenberg 1952, from memory)"
    evidence("dome, a quarter loaded: upper and lower bound", upper.factor, found.least, source)
