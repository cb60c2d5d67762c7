"""The strut net on small closed-form shells: nested candidates, symmetry, equilibrium, both solvers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from timbrel.statics.net import Net, NetQuestion, Solver, draw_net
from timbrel.statics.net_bed_program import BedLimit, BedProgram
from timbrel.statics.net_grid import sheet_grid
from timbrel.statics.net_loads import NetLoad, lump, own_weight, pieces, point_load
from timbrel.statics.net_struts import leaves
from timbrel.statics.strip import Strip, StripLoad
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.words import say

Array = NDArray[np.float64]
UNIT = 18e3
TITLE = say("Load")


@dataclass(frozen=True)
class ArcBarrel:
    """A circular barrel along y: middle radius, half angle, length."""

    radius: float
    half_angle: float
    thickness: float
    length: float = 2.0
    beds: tuple[float, ...] = (0.0,)

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        a = (2 * u - 1) * self.half_angle
        normal = np.stack([np.sin(a), 0 * a, np.cos(a)], axis=-1)
        middle = self.radius * normal + np.stack([0 * a, v * self.length, 0 * a], axis=-1)
        return middle, normal * self.thickness / 2

    def offset(self, points: Array, guess: Array) -> Array:
        return np.hypot(points[..., 0], points[..., 2]) - self.radius


@dataclass(frozen=True)
class ArcGroin:
    """Two equal circular barrels crossed; the room is the union of both."""

    radius: float
    half_angle: float
    thickness: float
    beds: tuple[float, ...] = (0.0,)

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        x = self.radius * np.sin((2 * u - 1) * self.half_angle)
        y = self.radius * np.sin((2 * v - 1) * self.half_angle)
        z = np.sqrt(self.radius**2 - np.minimum(x**2, y**2))
        middle = np.stack([x, y, z], axis=-1)
        across_x = np.abs(x) <= np.abs(y) + 1e-12
        across_y = np.abs(y) <= np.abs(x) + 1e-12
        out = np.stack([np.where(across_x, x, 0), np.where(across_y, y, 0), z], axis=-1)
        return middle, out / self.radius * self.thickness / 2

    def offset(self, points: Array, guess: Array) -> Array:
        x, y, z = np.moveaxis(points, -1, 0)
        return np.minimum(np.hypot(x, z), np.hypot(y, z)) - self.radius


def half_loaded(net: Net) -> tuple[NetLoad, NetLoad]:
    parts = pieces(net.solid, net.grid)
    dead = lump(net.grid, parts, "dead", TITLE, own_weight(net.solid, parts, UNIT), (0.5,))
    weight = 1e3 * parts.level * (parts.point[:, 0] < 0)
    return dead, lump(net.grid, parts, "half", TITLE, weight, (1.0,))


def barrel_net(steps: int, reach: int = 3, thickness: float = 0.09) -> Net:
    solid = ArcBarrel(3.0, 0.9, thickness)
    u, v = np.linspace(0, 1, steps + 1), np.linspace(0, 1, 3)
    grid = sheet_grid(solid, u, v, edges=("free", "wall", "free", "wall"))
    return draw_net(solid, grid, reach)


def groin_net(steps: int, reach: int = 3, thickness: float = 0.09) -> Net:
    solid = ArcGroin(3.0, 0.9, thickness)
    u = np.linspace(0, 1, steps + 1)
    grid = sheet_grid(solid, u, u, piers=(0, 0, 0, 0), creased=True)
    return draw_net(solid, grid, reach)


def test_a_barrel_meets_the_strip_and_never_betters_it() -> None:
    """Radial joints, half the span loaded: the strip's exact line against the net's struts."""
    n, radius, angle, t = 320, 3.0, 0.9, 0.09
    joints = np.linspace(-angle, angle, n + 1)
    faces = [
        np.stack([r * np.sin(joints), r * np.cos(joints)], axis=1)
        for r in (radius - t / 2, radius + t / 2)
    ]
    middle, step = (joints[1:] + joints[:-1]) / 2, joints[1] - joints[0]
    at = np.stack([radius * np.sin(middle) * np.sinc(step / 2 / np.pi), 0 * middle], axis=1)
    weight = np.stack([0 * middle, np.full(n, -UNIT * t * radius * step)], axis=1)
    x = radius * np.sin(joints)
    live = np.stack([0 * middle, -1e3 * np.diff(x) * (middle < 0)], axis=1)
    place = np.stack([(x[1:] + x[:-1]) / 2, 0 * middle], axis=1)
    loads = [StripLoad("d", TITLE, weight, at), StripLoad("h", TITLE, live, place)]
    program = ThrustProgram(Strip(*faces), loads[0].wrench, loads[1].wrench[None])
    found = program.load_factor(0)
    assert found is not None
    strip = float(found.factors[0])
    factors = []
    for steps in (60, 120):
        net = barrel_net(steps)
        answer = NetQuestion(net, *half_loaded(net)).load_factor()
        assert answer is not None
        factors.append(answer.factor)
    assert factors[0] < factors[1] < strip * (1 + 1e-6)
    assert factors[1] > 0.99 * strip


def test_symmetry_the_full_program_and_another_solver_agree() -> None:
    net = groin_net(8)
    loads = half_loaded(net)
    answers = [
        NetQuestion(net, *loads).load_factor(),
        NetQuestion(net, *loads, use_symmetry=False).load_factor(),
        NetQuestion(net, *loads, solver="highs").load_factor(),
    ]
    values = [a.factor for a in answers if a is not None]
    assert len(values) == 3
    assert answers[0] is not None and answers[0].alike == 2
    assert values == pytest.approx([values[0]] * 3, rel=1e-6)


@settings(max_examples=6, deadline=None)
@given(
    steps=st.sampled_from([6, 8, 10]),
    thickness=st.floats(0.07, 0.16),
    groin=st.booleans(),
)
def test_more_candidates_never_carry_less(steps: int, thickness: float, groin: bool) -> None:
    draw = groin_net if groin else barrel_net
    factors = []
    for reach in (1, 2, 3):
        net = draw(steps * (1 if groin else 2), reach, thickness)
        answer = NetQuestion(net, *half_loaded(net)).load_factor()
        factors.append(0.0 if answer is None else answer.factor)
    assert factors[1] >= factors[0] * (1 - 1e-6)
    assert factors[2] >= factors[1] * (1 - 1e-6)


def test_every_candidate_lies_in_the_true_solid() -> None:
    net = groin_net(10)
    assert net.struts.size > 4000
    assert leaves(net.solid, net.grid, net.struts).max() < 2e-5
    # the same struts in a slightly thinner vault do leave it
    thin = ArcGroin(3.0, 0.9, 0.088)
    assert leaves(thin, net.grid, net.struts).max() > 5e-4


def test_a_groin_balances_by_hand() -> None:
    """Four equal piers share the weight; the thrust of each half about the crown by moments.

    Derived: half the vault is held by two piers (thrust H each way) and by the other half at the
    crown section; vertical: V = W/4 a pier.
    """
    net = groin_net(10)
    dead, _ = half_loaded(net)
    least = NetQuestion(net, dead).thrust(least=True)
    greatest = NetQuestion(net, dead).thrust(least=False)
    assert least is not None and greatest is not None
    for state in (least, greatest):
        piers = np.stack([state.reaction[s.nodes].sum(axis=0) for s in net.grid.supports])
        assert piers[:, 2] == pytest.approx(dead.total / 4, rel=1e-6)
        assert np.abs(piers[:, 0]) == pytest.approx(np.abs(piers[:, 1]), rel=1e-6)
        assert piers.sum(axis=0)[:2] == pytest.approx([0, 0], abs=1e-6 * dead.total)
    thrust = [np.abs(a.reaction[net.grid.supports[0].nodes, 0]).sum() for a in (least, greatest)]
    assert thrust[0] < thrust[1]
    # Moments of one half (x < 0) about the crown line: 2 H d = W/2 (a - b), d between the extreme
    # places of the resultant at springing and crown, b the half's centre of weight.
    parts = pieces(net.solid, net.grid)
    weight = own_weight(net.solid, parts, UNIT)
    left = parts.point[:, 0] < 0
    arm = float(weight[left] @ parts.point[left, 0] / weight[left].sum())
    pier = net.grid.middle[net.grid.supports[0].nodes[0]]
    lever = weight[left].sum() * (arm - pier[0])
    t = net.solid.thickness
    # The crown section stretches from the crown's top down to the feet of the edge arches.
    deepest = 3.0 * (1 - np.cos(0.9)) + t
    assert 2 * thrust[0] >= lever / deepest * (1 - 1e-6)
    assert 2 * thrust[1] * t < lever


def test_the_mechanism_does_the_work_that_bounds_the_net() -> None:
    """Dual velocities: work of the dead load is minus the factor times that of the live one."""
    net = groin_net(8)
    dead, live = half_loaded(net)
    answer = NetQuestion(net, dead, live).load_factor()
    assert answer is not None
    done = [float(load.weight @ answer.velocity[:, 2]) for load in (dead, live)]
    assert -done[0] / done[1] == pytest.approx(answer.factor, rel=1e-4)


def test_loads_on_the_nodes_are_those_on_the_surface() -> None:
    net = groin_net(6)
    at = np.array([0.71, -0.33])
    spot = point_load(net.grid, "spot", TITLE, at, 1e3, 1)
    for load in (*half_loaded(net), spot):
        assert load.weight.sum() == pytest.approx(load.total, rel=1e-9)
        assert load.weight @ net.grid.middle[:, :2] == pytest.approx(load.first, abs=1e-6)


def test_a_limit_on_the_beds_lowers_the_factor_and_is_kept() -> None:
    net = groin_net(8)
    question = NetQuestion(net, *half_loaded(net))
    free = question.load_factor()
    assert free is not None
    beds = BedProgram(question)
    need = beds.least(0.9 * free.factor)
    assert need is not None and need.demand.tension > 10
    tight = beds.load_factor(BedLimit(need.demand.tension / 4, need.demand.shear))
    assert tight is not None
    assert tight.demand.tension <= need.demand.tension / 4 * 1.001
    assert tight.factor < 0.9 * free.factor


def test_a_shell_too_thin_has_no_state() -> None:
    net = barrel_net(40, thickness=0.012)
    dead, _ = half_loaded(net)
    assert NetQuestion(net, dead).share_of_dead() < 1e-6


@pytest.mark.parametrize("solver", ["band", "highs"])
def test_the_load_sinks_in_the_mechanism_of_the_net(solver: Solver) -> None:
    """Work of the load on the velocities that are drawn, whatever sign a solver gives its duals."""
    net = barrel_net(20)
    dead, half = half_loaded(net)
    answer = NetQuestion(net, dead, half, solver=solver).load_factor()
    assert answer is not None
    up = answer.velocity[:, 2]
    sinks, lifts = -float(half.weight @ up), float(dead.weight @ up)
    assert sinks > 0
    # Virtual work: what the factored load gives, the dead load takes.
    assert answer.factor * sinks == pytest.approx(lifts, rel=0.02)
