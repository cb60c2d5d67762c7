"""Strips that several tests of the statics try."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from timbrel.statics.strip import Strip
from timbrel.statics.thrust_program import ThrustProgram


def strips() -> st.SearchStrategy[tuple[object, ...]]:
    """Segments with sides askew, of any thickness, with or without friction and crushing."""
    return st.tuples(
        st.integers(0, 2**32 - 1),
        st.sampled_from([6, 24, 90]),
        st.floats(0.2, 2.0),
        st.floats(0.03, 0.6),
        st.one_of(st.none(), st.floats(0.05, 1.0)),
        st.one_of(st.none(), st.floats(1e4, 1e7)),
    )


def askew(
    seed: int, n: int, rise: float, t: float, friction: float | None, crushing: float | None
) -> ThrustProgram:
    """A segment of n uneven voussoirs with a load on a side (0) and one on a spot (1)."""
    rng = np.random.default_rng(seed)
    radius = 16.0 / (8 * rise) + rise / 2
    half = np.arcsin(min(1.0, 2.0 / radius))
    a = np.linspace(-half, half, n + 1)
    a[1:-1] += rng.uniform(-0.3, 0.3, n - 1) * half / n
    way = np.column_stack([np.sin(a), np.cos(a)])
    thick = t * (1 + rng.uniform(0, 0.3, n + 1))[:, None] / 2
    strip = Strip((radius - thick) * way, (radius + thick) * way, friction, crushing)
    middle = (a[1:] + a[:-1]) / 2
    x, z = radius * np.sin(middle), radius * np.cos(middle)
    weight = 5e3 * radius * np.diff(a)
    side = weight * rng.uniform(-0.05, 0.05) * (rng.random() < 0.3)
    dead = np.column_stack([side, -weight, -x * weight - z * side])
    spread = -2e3 * np.diff(radius * np.sin(a)) * (x > rng.uniform(-2, 1.0))
    spot = np.zeros(n)
    spot[rng.integers(0, n)] = -1e3
    variable = [np.column_stack([0 * x, f, x * f]) for f in (spread, spot)]
    return ThrustProgram(strip, dead, np.stack(variable))
