"""Buttresses that cannot pull: the march against the closed form and against plain integration.

Rectangle: closed form of the straight crack (tests/reference/test_cracked_wall.py). Slope and
steps: the same march written out slice by slice in plain numbers. Wall with a web: the edge of the
pressed part against a stress integrated numerically.
"""

import numpy as np
import pytest
from scipy.integrate import quad

from timbrel.job.model import Wall
from timbrel.statics.cracked_wall import HeadLoads, Stem
from timbrel.statics.cracked_wall import overturning_factor as closed_form
from timbrel.statics.descent import Push, _open_edge, descend, overturning_factor
from timbrel.statics.supports import Profile, wall_profile


def push(level: float, down: float = 0.0, into: float = 0.0) -> Push:
    one = np.ones(1)
    return Push(level * one, 0 * one, down * one, into * one, 0 * one, one)


@pytest.mark.parametrize(
    ("thickness", "height", "level", "load", "offset"),
    [(0.6, 3.0, 4e3, 40, 50), (0.45, 2.0, 3e3, 30, 0), (0.9, 4.0, 8e3, 60, -100)],
)
def test_rectangle_meets_the_closed_form(thickness, height, level, load, offset, evidence):
    wall = Wall(
        thickness=thickness * 1e3,
        height=height * 1e3,
        density=1800,
        load_above=load,
        load_offset=offset,
    )
    found = overturning_factor(wall_profile(wall, "left", 5.0), push(level), 0)
    head = HeadLoads(level, load * 1e3, load * 1e3 * (thickness / 2 - offset / 1e3))
    expected = closed_form(Stem(thickness, height, 1800 * 9.81), head, 0.0)
    evidence(f"cracked wall {thickness} x {height} m", expected, found, "closed form, derived")
    assert found == pytest.approx(expected, rel=1e-3)


def written_out(profile: Profile, level: float, down: float, outer, steps: int = 8000) -> float:
    """Width pressed at the base of a profile of unit width, slice by slice."""
    height = float(profile.depth[-1])
    normal, moment, edge = down, down * 0.25, 0.0
    dy = height / steps
    for i in range(steps):
        face = outer((i + 0.5) * dy)
        weight = profile.weight * (face - edge) * dy
        normal += weight
        moment += weight * (face + edge) / 2 + level * dy
        at = moment / normal
        face = outer((i + 1) * dy)
        edge = max(face - 3 * (face - at), 0.0)
        if at >= face:
            return 0.0
    return face - edge


@pytest.mark.parametrize("kind", ["sloped", "stepped"])
def test_slope_and_steps_meet_the_written_out_march(kind, evidence):
    depth = np.linspace(0.0, 3.0, 241)

    def outer(y: float) -> float:
        return 0.5 + 0.2 * y if kind == "sloped" else 0.5 + 0.3 * (y > 1.0) + 0.3 * (y > 2.0)

    ones = np.ones(len(depth))
    nothing = 0 * ones
    flange = np.array([outer(y) for y in depth])
    profile = Profile(depth, flange, nothing, ones, nothing, 18e3, 18e3, 1.0, 0.0, 0.0, 0.6)
    found = descend(profile, push(6e3, 20e3, 0.25))
    pressed = float(flange[-1] - found.edge[-1, 0])
    expected = written_out(profile, 6e3, 20e3, outer)
    evidence(
        f"width pressed under a {kind} buttress (m)", expected, pressed, "march in plain numbers"
    )
    assert pressed == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("at", [0.75, 0.9, 1.05, 1.15])
def test_edge_of_a_wall_with_a_web(at):
    T, out, width, web = 0.6, 0.6, 1.9, 0.5
    edge = float(_open_edge(T, out, width, web, np.array([at]))[0])

    def across(x: float) -> float:
        return width if x < T else web

    volume = quad(lambda x: (x - edge) * across(x), edge, T + out, points=[T])[0]
    moment = quad(lambda x: x * (x - edge) * across(x), edge, T + out, points=[T])[0]
    assert moment / volume == pytest.approx(at, abs=1e-6)


def test_slender_buttress_falls_at_about_half_the_rigid_factor(evidence):
    wall = Wall(thickness=800, height=6000, density=1800, load_above=10)
    found = overturning_factor(wall_profile(wall, "left", 5.0), push(1e3), 0)
    rigid = (10e3 * 0.4 + 1800 * 9.81 * 0.8 * 6 * 0.4) / (1e3 * 6)
    evidence("cracked over rigid, slender buttress", 0.5, found / rigid, "about half, derived")
    assert 0.3 < found / rigid < 0.6
