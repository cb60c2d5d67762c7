"""Latin hypercube samples against a closed-form variance (McKay, Beckman and Conover 1979).

For y = sum a_i x_i with independent standard normal x_i the mean is 0 and the variance sum a_i^2;
the mean of a stratified sample of an additive function is far closer to it than 1/sqrt(n).
"""

import numpy as np
import pytest

from timbrel.statics.sampling import normal_samples, rank_correlation

WEIGHTS = np.array([3.0, -2.0, 1.0, 0.5])


def test_variance_of_a_sum(evidence):
    y = normal_samples(2000, 4, seed=7) @ WEIGHTS
    expected = float((WEIGHTS**2).sum())
    evidence("variance of a weighted sum", expected, float(y.var()), "sum of squares, closed form")
    assert float(y.var()) == pytest.approx(expected, rel=0.05)
    assert abs(y.mean()) < 0.05 * np.sqrt(expected / 2000) * 10


def test_every_layer_is_hit_once():
    x = normal_samples(100, 3, seed=1)
    from scipy.special import ndtr

    for column in ndtr(x).T:
        assert sorted(np.floor(column * 100).astype(int)) == list(range(100))


def test_same_seed_same_samples():
    assert np.array_equal(normal_samples(50, 3, 5), normal_samples(50, 3, 5))
    assert not np.array_equal(normal_samples(50, 3, 5), normal_samples(50, 3, 6))


def test_rank_correlation_orders_the_inputs():
    x = normal_samples(1000, 4, seed=3)
    found = rank_correlation(x, x @ WEIGHTS)
    assert list(np.argsort(-np.abs(found))) == [0, 1, 2, 3]
    assert found[0] > 0 > found[1]
    assert rank_correlation(x[:, :1], np.exp(x[:, 0])) == pytest.approx([1.0])
