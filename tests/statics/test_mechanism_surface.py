"""Explicit mechanisms of surfaces: hinges along generators, ribs at free edges, lunes of a dome.

Closed form for a thin parabolic arch with plumb joints, dead load w a metre of plan and live p on one
half (derived by hand from the thrust line that touches both faces): p = k w/(1 - k/2),
k = (3 + 2 sqrt 2) t/f, inner hinges at +-(sqrt 2 - 1) L/2. Needs f much greater than t.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from timbrel.job.load import load_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.mechanism_rib import ribs
from timbrel.statics.mechanism_surface import Profile, arch_factor, crushed_factor, lunes, outside
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.proof import prove

Array = NDArray[np.float64]
EXAMPLES = Path(__file__).parents[2] / "examples"


def parabola(span: float, rise: float, depth: float, slices: int = 400) -> Profile:
    """An arch of plumb depth under one newton a metre, half loaded by one newton a metre."""
    x = np.linspace(-span / 2, span / 2, slices + 1)
    foot = rise * (1 - (2 * x / span) ** 2)
    weight = np.diff(x)
    middle = (x[1:] + x[:-1]) / 2
    return Profile(x, outside(foot + depth), foot, weight, weight * (middle < 0))


@pytest.mark.parametrize("depth", [0.004, 0.01])
def test_a_thin_parabola_half_loaded(depth: float) -> None:
    span, rise = 4.0, 1.0
    found = arch_factor(parabola(span, rise, depth))
    assert found is not None
    k = (3 + 2 * np.sqrt(2)) * depth / rise
    assert found[0] == pytest.approx(k / (1 - k / 2), rel=0.02)
    inner = np.sort(found[1])[1:3]
    assert inner == pytest.approx(np.array([-1, 1]) * (np.sqrt(2) - 1) * span / 2, abs=0.03)


@pytest.mark.parametrize("strength", [2e5, 1e4])
def test_a_thin_parabola_that_crushes(strength: float) -> None:
    """The line of thrust keeps half a block of stress off each face, so the arch is as one thinner by
    H/f, with H = (w + p/2) L^2/(8 f) of the even part of the load (derived by hand)."""
    span, rise, depth = 4.0, 1.0, 0.02
    profile = parabola(span, rise, depth)
    rigid = arch_factor(profile)
    assert rigid is not None
    found, at, deep = crushed_factor(profile, rigid[1], rigid[2], strength)
    thrust = (1 + found / 2) * span**2 / (8 * rise)
    k = (3 + 2 * np.sqrt(2)) * (depth - thrust / strength) / rise
    assert found == pytest.approx(k / (1 - k / 2), rel=0.03)
    assert deep == pytest.approx(thrust / strength, rel=0.1)
    assert found < rigid[0] and (np.diff(at) > 0).all()


def test_a_strength_past_all_need_changes_nothing() -> None:
    profile = parabola(4.0, 1.0, 0.02)
    rigid = arch_factor(profile)
    assert rigid is not None
    found, _, deep = crushed_factor(profile, rigid[1], rigid[2], 1e12)
    assert found == pytest.approx(rigid[0], rel=1e-4)
    assert deep.max() < 1e-6


def test_work_of_the_hinges_by_hand() -> None:
    """A chain of bodies turned by hand: the load factor is minus the dead over the live work."""
    profile = parabola(4.0, 1.0, 0.05)
    found = arch_factor(profile)
    assert found is not None
    factor, at, tops = found
    z = [
        np.interp(x, profile.x, profile.top if top else profile.foot)
        for x, top in zip(at, tops, strict=True)
    ]
    # Left body turns by one; the middle body's turn b and the right body's c keep hinge 3 whole.
    sides = np.array([[-(z[2] - z[1]), z[2] - z[3]], [at[2] - at[1], -(at[2] - at[3])]])
    b, c = np.linalg.solve(sides, [z[1] - z[0], -(at[1] - at[0])])
    middle = profile.between
    up = np.where(
        middle < at[1],
        middle - at[0],
        np.where(middle < at[2], at[1] - at[0] + b * (middle - at[1]), c * (middle - at[3])),
    )
    up = np.where((middle < at[0]) | (middle > at[3]), 0.0, up)
    assert factor == pytest.approx(-(profile.dead @ up) / (profile.live @ up), rel=2e-3)


@given(
    bend=st.floats(0.2, 5.0),
    tilt=st.floats(-1.0, 1.0),
    slices=st.integers(4, 60),
)
def test_a_raised_face_has_no_chord_inside_the_masonry(
    bend: float, tilt: float, slices: int
) -> None:
    x = np.linspace(0.0, 1.0, slices + 1)
    raised = outside(tilt * x - bend * x**2)
    fine = np.linspace(0.0, 1.0, 997)
    assert (np.interp(fine, x, raised) >= tilt * fine - bend * fine**2 - 1e-12).all()


def hemisphere(share: float, slices: int) -> Profile:
    """A hemisphere of mean radius one and thickness `share`, weight of its own."""
    outer, inner = 1 + share / 2, 1 - share / 2
    x = outer * np.sin(np.linspace(0, np.pi / 2, slices + 1))
    top = np.sqrt(np.maximum(outer**2 - x**2, 0.0))
    foot = np.sqrt(np.maximum(inner**2 - x**2, 0.0))

    def under(radius: float) -> Array:
        return np.asarray(2 * np.pi / 3 * (radius**3 - np.maximum(radius**2 - x**2, 0) ** 1.5))

    weight = np.diff(under(outer) - under(inner))
    return Profile(x, outside(top), foot, weight, weight)


def test_lunes_of_a_hemisphere() -> None:
    """Heyman 1967: a hemisphere falls by lunes when thinner than about 0.042 R (from memory).

    Cut by plumb cylinders it wants a little more than cut along its normals, as the semicircle
    does (0.1095 against 0.1075: Milankovitch 1907, Makris and Alexakis 2013).
    """
    found = []
    for slices in (48, 96, 192):
        low, high = 0.02, 0.08
        for _ in range(16):
            middle = (low + high) / 2
            falls = lunes(hemisphere(middle, slices))[1] > 0
            low, high = (middle, high) if falls else (low, middle)
        found.append(low)
    assert 0.0428 * 0.99 < found[-1] < 0.0428 * 1.03
    assert abs(found[2] - found[1]) < abs(found[1] - found[0]) + 1e-5


def test_the_rib_bounds_the_groin_of_the_examples() -> None:
    """Within 3 % of what the strut net carries there in twenty steps (2.837 with its strength, 2.931
    without, computed once)."""
    job = load_job(EXAMPLES / "market-groin" / "job.toml").job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    rigid = job.model_copy(update={"masonry": job.masonry.model_copy(update={"crushing": None})})
    for own, carried in ((job, 2.837), (rigid, 2.931)):
        bound = upper_bound(own, vault, "half.left")
        assert bound.mechanism is not None and bound.mechanism.kind == "edge rib"
        assert bound.crushes == (own is job)
        assert carried < bound.mechanism.factor < carried * 1.03
    again = upper_bound(rigid, vault, "half.right")
    assert again.factor == pytest.approx(bound.mechanism.factor, rel=1e-3)


def test_the_rib_of_a_barrel_is_the_barrel(trial_job: Any, trial_vault: Any) -> None:
    """Its section is that of the strip, whose springing joint is square to the faces: a rib that
    ends in plumb joints is a little stiffer, never weaker."""
    job = trial_job(loads={"fill": {"kind": "none"}, "use": "floor"})
    vault = trial_vault(job)
    strip = prove(job, vault).stations[0].answer
    wanted = next(f for f in strip.patterns if f.pattern == "half.left").kinematic
    free = {"near": True, "far": False, "left": False, "right": False}
    (rib,) = ribs(job, vault, "half.left", free, Weights(job, vault))
    assert wanted is not None
    assert wanted * 0.99 < rib.factor < wanted * 1.2


def test_ribs_of_a_groin_out_of_square_and_with_more_friction_than_there_is() -> None:
    job = load_job(EXAMPLES / "market-groin" / "job.toml").job
    plan = np.array([[0, 0, 2.4], [3.5, 0.05, 2.4], [3.4, 3.5, 2.4], [-0.1, 3.3, 2.4]], float)
    room: Any = SimpleNamespace(corners=plan, measures=(), checks=())
    vault = shape_vault(job, room)
    free = dict.fromkeys(("near", "right", "far", "left"), True)
    found = ribs(job, vault, "half.left", free, Weights(job, vault))
    assert {2.0 < rib.factor < 4.0 for rib in found} == {True}
    on_edge = [rib.origin + rib.hinges[1] * rib.along for rib in found]
    walls = [(plan[k, :2], plan[(k + 1) % 4, :2]) for k in range(4)]
    for at in on_edge:
        away = [
            abs((q - p)[0] * (at - p)[1] - (q - p)[1] * (at - p)[0]) / np.hypot(*(q - p))
            for p, q in walls
        ]
        assert min(away) < 1e-9
    rough = job.model_copy(update={"masonry": job.masonry.model_copy(update={"friction": 1.2})})
    assert ribs(rough, vault, "half.left", free, Weights(job, vault)) == []
