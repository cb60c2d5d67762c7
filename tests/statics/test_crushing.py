"""The least strength that a strip needs."""

import numpy as np
import pytest
from hypothesis import given, settings
from tests.statics.given_strips import askew, strips

from timbrel.statics import row_exchange
from timbrel.statics.crushing import needed_strength, needed_strengths
from timbrel.statics.strip import Strip
from timbrel.statics.thrust_program import ThrustProgram

SOME = settings(max_examples=25, deadline=None)
CHORDS = 1.004  # the chords of the thrust programs ask for up to 0.3 % more than the parabola


def stands(strip: Strip, loads: np.ndarray, strength: float | None) -> bool:
    trial = Strip(strip.inner, strip.outer, strip.friction, strength)
    program = ThrustProgram(trial, loads, np.zeros((0, strip.voussoirs, 3)))
    return program.least_thrust() is not None


@SOME
@given(strips())
def test_it_is_enough_and_hardly_less_is(described):
    joints = askew(*described).joints
    strip, loads = joints.strip, joints.dead + joints.variable[0]
    needed = needed_strength(strip, loads)
    if np.isinf(needed):
        assert not stands(strip, loads, None)
    else:
        assert stands(strip, loads, needed * CHORDS)
        assert not stands(strip, loads, needed * 0.999)


def test_it_grows_with_the_load():
    joints = askew(5, 24, 0.9, 0.3, 0.6, None).joints
    one, two, none = needed_strengths(
        [
            (joints.strip, joints.dead),
            (joints.strip, 2 * joints.dead),
            (joints.strip.thinned(0.01), joints.dead),
        ]
    )
    assert two == pytest.approx(2 * one, rel=1e-3)
    assert np.isinf(none)


@pytest.mark.parametrize("share", [1.0, 0.01])
def test_halving_finds_the_same(monkeypatch, share):
    joints = askew(5, 24, 0.9, 0.3, 0.6, None).joints
    strip = joints.strip.thinned(share)
    needed = needed_strength(strip, joints.dead)
    monkeypatch.setattr(row_exchange, "ROUNDS", 1)
    assert needed_strength(strip, joints.dead) == pytest.approx(needed, rel=CHORDS - 1)
