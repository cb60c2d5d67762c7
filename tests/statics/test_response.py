"""Responses fitted to few answers: exact where they can be, honest about what they miss."""

from __future__ import annotations

import numpy as np
import pytest

from timbrel.statics.response import fit
from timbrel.statics.sampling import even_samples, normal_samples

WEIGHTS = np.array([3.0, -2.0, 1.0, 0.5, 0.0])


def test_a_plain_function_is_found_and_its_variance_is_the_closed_form(evidence) -> None:
    """y = 7 + sum a_i x_i of independent standard normal x_i has variance sum a_i^2."""
    rows = even_samples(24, 5, 2.5, seed=3)
    found = fit(rows, (7 + rows @ WEIGHTS)[:, None])
    assert found.degree[0] == 1
    assert found.missed[0] < 1e-12
    told = found(normal_samples(4000, 5, seed=9))[:, 0]
    exact = float((WEIGHTS**2).sum())
    evidence("variance of a response", exact, float(told.var()), "sum of squares, closed form")
    assert float(told.var()) == pytest.approx(exact, rel=0.03)
    assert float(told.mean()) == pytest.approx(7.0, abs=0.02)


def test_what_it_missed_is_what_answers_left_out_one_by_one_are_missed_by() -> None:
    """Against fits that really leave each answer out, with numpy's own least squares."""
    rows = even_samples(20, 2, 2.5, seed=1)
    rng = np.random.default_rng(5)
    y = 1 + rows[:, 0] - 2 * rows[:, 1] + rng.normal(0, 0.3, len(rows))
    found = fit(rows, y[:, None])
    assert found.degree[0] == 1
    every = np.column_stack([np.ones(len(rows)), rows])
    missed = []
    for i in range(len(rows)):
        kept = np.arange(len(rows)) != i
        weights = np.linalg.lstsq(every[kept], y[kept], rcond=None)[0]
        missed.append(y[i] - every[i] @ weights)
    assert found.missed[0] == pytest.approx(np.sqrt(np.mean(np.square(missed))), rel=1e-9)
    fitted = np.sqrt(np.mean((y - found(rows)[:, 0]) ** 2))
    assert found.missed[0] > 1.1 * fitted  # never the residual of its own fit


def test_squares_and_products_are_taken_where_they_foretell_better() -> None:
    rows = even_samples(48, 3, 2.5, seed=2)
    squared = 1 + rows[:, 0] ** 2
    crossed = 1 + rows[:, 0] * rows[:, 2]
    nothing = np.full(len(rows), 4.0)
    found = fit(rows, np.stack([squared, crossed, nothing], axis=1))
    assert list(found.degree[:2]) == [2, 3]
    assert found.missed == pytest.approx(0.0, abs=1e-9)
    assert found(np.array([[2.0, 0.0, -1.0]]))[0] == pytest.approx([5.0, -1.0, 4.0])


def test_more_terms_than_answers_are_never_fitted() -> None:
    rows = even_samples(10, 5, 2.5, seed=4)
    found = fit(rows, rows[:, :1] ** 2)
    assert found.degree[0] <= 1
    with pytest.raises(ValueError, match="two answers"):
        fit(rows[:1], rows[:1, :1])


def test_even_samples_fill_every_layer_of_their_reach() -> None:
    found = even_samples(40, 3, 2.5, seed=6)
    for column in (found + 2.5) / 5:
        assert (column >= 0).all() and (column <= 1).all()
    for column in found.T:
        assert sorted(np.floor((column + 2.5) / 5 * 40).astype(int)) == list(range(40))
    assert np.array_equal(found, even_samples(40, 3, 2.5, seed=6))
