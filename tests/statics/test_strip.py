"""Thrust lines: what must be true of any strip."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.statics.kinematic import bound_factor, bound_thickness, bound_thrust
from timbrel.statics.strip import Strip, StripLoad, thrust_line
from timbrel.statics.thickness import least_thickness
from timbrel.statics.thrust_program import UNLIMITED, ThrustProgram
from timbrel.words import say

N = 48
SOME = settings(max_examples=12, deadline=None)


def segment(
    rise: float = 0.8, t: float = 0.3, span: float = 4.0, **limits: float
) -> tuple[Strip, np.ndarray, np.ndarray]:
    """A segmental strip, its weight, and a load on its right half."""
    radius = span**2 / (8 * rise) + rise / 2
    half = np.arcsin(span / 2 / radius)
    a = np.linspace(-half, half, N + 1)
    way = np.column_stack([np.sin(a), np.cos(a)])
    strip = Strip((radius - t / 2) * way, (radius + t / 2) * way, **limits)
    x = radius * np.sin((a[1:] + a[:-1]) / 2)
    weight = 5e3 * radius * np.diff(a)
    dead = np.column_stack([0 * x, -weight, -x * weight])
    load = 2e3 * np.diff(radius * np.sin(a)) * (x > 0)
    return strip, dead, np.column_stack([0 * x, -load, -x * load])


def factor(strip: Strip, dead: np.ndarray, live: np.ndarray) -> float:
    found = ThrustProgram(strip, dead, live[None]).load_factor(0)
    return 0.0 if found is None else float(found.factors[0])


@SOME
@given(st.floats(0.5, 1.6), st.floats(0.15, 0.3), st.floats(1.01, 1.5))
def test_more_thickness_never_carries_less(rise, t, more):
    strip, dead, live = segment(rise, t)
    thick = strip.thinned(more)
    assert factor(thick, dead, live) >= factor(strip, dead, live) * (1 - 1e-7)


@SOME
@given(st.floats(0.2, 1.2), st.floats(0.2, 1.2))
def test_more_friction_never_carries_less(a, b):
    low, high = sorted((a, b))
    values = [factor(*segment(1.6, 0.3, friction=mu)) for mu in (low, high)]
    assert values[1] >= values[0] * (1 - 1e-7)


@SOME
@given(st.floats(0.5, 1.9), st.floats(0.15, 0.4))
def test_mechanisms_meet_thrust_lines(rise, t):
    strip, dead, live = segment(rise, t)
    program = ThrustProgram(strip, dead, live[None])
    if program.share_of_dead() < 1 - 1e-6:
        return
    found = program.load_factor(0)
    mechanism = bound_factor(strip, dead, live, found.line)
    limited = mechanism is not None and mechanism.bound * program.joints.size[0] < 0.99 * UNLIMITED
    assert np.isfinite(found.factors[0]) or not limited
    assert mechanism is not None or not np.isfinite(found.factors[0])
    if limited:
        assert mechanism.bound >= found.factors[0] * (1 - 1e-7)
        assert mechanism.bound == pytest.approx(found.factors[0], rel=1e-4)
    for least in (True, False):
        line = (program.least_thrust() if least else program.greatest_thrust()).line
        bound = bound_thrust(strip, dead, line, least=least).bound
        assert bound == pytest.approx(line.thrust, rel=1e-4)


@SOME
@given(st.floats(0.5, 1.9), st.floats(0.15, 0.4))
def test_the_mechanism_comes_to_rest_at_the_least_thickness(rise, t):
    strip, dead, live = segment(rise, t)
    least = least_thickness(strip, dead + live)
    mechanism = bound_thickness(strip, dead + live, least.line, least.share)
    assert mechanism.bound <= least.share * (1 + 1e-9)
    assert mechanism.bound == pytest.approx(least.share, rel=1e-6)


@SOME
@given(st.floats(0.1, 50.0))
def test_thrust_grows_with_the_load(scale):
    strip, dead, _ = segment()
    nothing = np.zeros((0, N, 3))
    one = ThrustProgram(strip, dead, nothing).least_thrust().line.thrust
    many = ThrustProgram(strip, dead * scale, nothing).least_thrust().line.thrust
    assert many == pytest.approx(scale * one, rel=1e-6)


def test_lines_are_in_equilibrium_and_inside():
    strip, dead, live = segment(t=0.12, friction=0.6)
    program = ThrustProgram(strip, dead, live[None])
    found = program.load_factor(0)
    line = found.line
    loads = dead + found.factors[0] * live
    assert np.diff(line.force, axis=0) == pytest.approx(loads[:, :2], abs=1e-6)
    p, f = line.points, line.force
    turn = p[:, 0] * f[:, 1] - p[:, 1] * f[:, 0]
    assert np.diff(turn) == pytest.approx(loads[:, 2], abs=1e-3)
    assert np.all(line.position >= -1e-6) and np.all(line.position <= line.thickness + 1e-6)
    assert line.friction_used <= 0.6 + 1e-6


def test_too_thin_a_strip_is_refused_by_the_share_of_its_dead_load():
    strip, dead, live = segment(rise=1.9, t=0.05)
    program = ThrustProgram(strip, dead, live[None])
    assert program.share_of_dead() < 1e-3
    assert program.least_thrust() is None
    assert program.load_factor(0) is None
    needed = least_thickness(strip, dead)
    assert needed is not None and needed.share > 1
    stout = strip.thinned(needed.share * 1.001)
    assert ThrustProgram(stout, dead, live[None]).share_of_dead() == pytest.approx(1.0)


def test_weak_masonry_carries_part_of_its_dead_load():
    strip, dead, live = segment(crushing=20e3)
    share = ThrustProgram(strip, dead, live[None]).share_of_dead()
    assert 0.01 < share < 0.99


def test_a_strip_that_slides_has_no_thickness():
    strip, dead, _ = segment(rise=1.9, friction=0.05)
    assert ThrustProgram(strip, dead, np.zeros((0, N, 3))).share_of_dead() < 1e-3
    assert least_thickness(strip, dead) is None


def test_the_same_question_twice_has_the_same_answer():
    strip, dead, live = segment(friction=0.4, crushing=1e6)
    program = ThrustProgram(strip, dead, live[None])
    first = [program.least_thrust().line.thrust, program.load_factor(0).factors[0]]
    program.greatest_thrust()
    again = [program.least_thrust().line.thrust, program.load_factor(0).factors[0]]
    assert again == pytest.approx(first, rel=1e-7)


def test_combined_loads_are_held():
    strip, dead, live = segment(t=0.4)
    program = ThrustProgram(strip, dead, np.stack([live, dead]))
    found = program.least_thrust(1.35, np.array([1.5, 0.2]))
    loads = 1.55 * dead + 1.5 * live
    assert np.diff(found.line.force, axis=0) == pytest.approx(loads[:, :2], abs=1e-6)


def test_friction_bounds_the_mechanism_too():
    strip, dead, live = segment(1.6, 0.3, friction=0.28)
    program = ThrustProgram(strip, dead, live[None])
    found = program.load_factor(0)
    assert found.line.friction_used == pytest.approx(0.28, rel=1e-5)
    bound = bound_factor(strip, dead, live, found.line).bound
    hinges = bound_factor(Strip(strip.inner, strip.outer), dead, live, found.line).bound
    assert found.factors[0] * (1 - 1e-7) <= bound < hinges


def test_wrench_turns_about_the_origin():
    load = StripLoad("p", say("Load"), np.array([[1.0, -2.0]]), np.array([[3.0, 4.0]]))
    assert load.wrench == pytest.approx(np.array([[1.0, -2.0, 3 * -2.0 - 4 * 1.0]]))
    assert load.total == 2.0


def test_line_starts_where_its_springing_says():
    strip, dead, _ = segment()
    line = thrust_line(strip, np.array([9e3, 1e4, 0.0]), dead)
    assert line.points[0] == pytest.approx(strip.middle[0])
    assert line.thrust == 9e3
    assert line.springing_left == pytest.approx([-9e3, -1e4])
