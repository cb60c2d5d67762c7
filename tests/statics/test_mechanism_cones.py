"""Vectors of the cone against symmetric tensors and their eigenvalues (numpy)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from timbrel.statics.mechanism_cones import (
    furthest,
    inverse,
    inverted,
    matrix_times,
    parted,
    product,
    quotient,
    scaling,
    spread,
)

Array = NDArray[np.float64]
ENTRIES = arrays(np.float64, (3, 4), elements=st.floats(-5, 5, allow_subnormal=False))


def tensors(a: Array) -> Array:
    t, u, w = a
    return np.moveaxis(np.array([[t + u, w], [w, t - u]]), 2, 0)


def vectors(m: Array) -> Array:
    xx, yy, xy = m[:, 0, 0], m[:, 1, 1], m[:, 0, 1]
    return np.stack([(xx + yy) / 2, (xx - yy) / 2, xy])


def within(a: Array) -> Array:
    """The nearest vectors well within the cone."""
    found = a.copy()
    found[0] = np.hypot(a[1], a[2]) * (1 + np.abs(a[0])) + 0.1
    return found


@given(ENTRIES)
def test_spread_is_the_determinant_and_inverse_the_inverse(a: Array) -> None:
    assert spread(a) == pytest.approx(np.linalg.det(tensors(a)), abs=1e-9)
    inside = within(a)
    assert inverse(inside) == pytest.approx(
        vectors(np.asarray(np.linalg.inv(tensors(inside)), float)), rel=1e-6
    )


@given(ENTRIES, ENTRIES)
def test_product_is_the_mean_of_both_orders_and_quotient_undoes_it(a: Array, b: Array) -> None:
    both = np.matmul(tensors(a), tensors(b))
    assert product(a, b) == pytest.approx(vectors((both + both.transpose(0, 2, 1)) / 2), abs=1e-9)
    inside = within(a)
    assert quotient(inside, product(inside, b)) == pytest.approx(b, rel=1e-6, abs=1e-6)


@given(ENTRIES, ENTRIES)
def test_the_furthest_step_is_where_a_principal_value_comes_to_nil(a: Array, b: Array) -> None:
    inside = within(a)
    step = furthest(inside, b)
    if np.isfinite(step) and step < 1e3:
        least = np.linalg.eigvalsh(tensors(inside + step * b))
        assert least.min() == pytest.approx(0.0, abs=1e-6 * (1 + step))
    near = min(0.999 * step, 1e3)
    assert np.linalg.eigvalsh(tensors(inside + near * b)).min() > 0


@given(ENTRIES, ENTRIES)
def test_scaling_leads_from_one_vector_to_the_other(a: Array, b: Array) -> None:
    p, x = within(a), within(b)
    between = scaling(p, x)
    assert between.times(p) == pytest.approx(between.over(x), rel=1e-6)
    assert matrix_times(between.square(), p) == pytest.approx(x, rel=1e-6, abs=1e-6)
    assert between.over(between.times(p)) == pytest.approx(p, rel=1e-6)


def test_matrices_are_inverted() -> None:
    root = np.random.default_rng(3).normal(size=(5, 3, 3))
    full = root @ root.transpose(0, 2, 1) + np.eye(3)
    entries = np.stack([full[:, i, j] for i in range(3) for j in range(i, 3)])
    found = np.linalg.inv(full)
    assert inverted(entries) == pytest.approx(
        np.stack([found[:, i, j] for i in range(3) for j in range(i, 3)])
    )


@given(ENTRIES)
def test_parts_are_positive_and_differ_by_the_whole(a: Array) -> None:
    high, low = parted(a, 0.5)
    assert high - low == pytest.approx(a)
    for part in (high, low):
        assert np.linalg.eigvalsh(tensors(part)).min() > 0.49
