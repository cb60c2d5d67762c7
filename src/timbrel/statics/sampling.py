"""Samples of uncertain inputs: Latin hypercube with a fixed seed, and which input matters most."""

from __future__ import annotations

import numpy as np

from timbrel.statics.strip import Array


def normal_samples(count: int, inputs: int, seed: int) -> Array:
    """(count, inputs) standard normal values by a Latin hypercube (McKay, Beckman, Conover 1979).

    Scrambled, with the given seed: the same seed gives the same samples everywhere.
    """
    from scipy.special import ndtri
    from scipy.stats import qmc

    cube = qmc.LatinHypercube(d=inputs, seed=seed).random(count)
    return np.asarray(ndtri(np.clip(cube, 1e-9, 1 - 1e-9)))


def even_samples(count: int, inputs: int, reach: float, seed: int) -> Array:
    """(count, inputs) values spread evenly from -reach to reach by a Latin hypercube."""
    from scipy.stats import qmc

    cube = qmc.LatinHypercube(d=inputs, seed=seed).random(count)
    return np.asarray((2 * cube - 1) * reach)


def rank_correlation(inputs: Array, output: Array) -> Array:
    """(k,) Spearman's rank correlation of each input column with the output; equal values share their
    rank, and what does not vary correlates with nothing."""
    from scipy.stats import rankdata

    ranked = np.asarray(rankdata(inputs, axis=0), float)
    out = np.asarray(rankdata(output), float)
    ranked -= ranked.mean(axis=0)
    out -= out.mean()
    spread = np.sqrt((ranked**2).sum(axis=0) * (out**2).sum())
    return np.asarray((ranked * out[:, None]).sum(axis=0) / np.where(spread > 0, spread, 1.0))
