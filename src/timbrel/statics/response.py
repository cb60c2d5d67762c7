"""A smooth response fitted to few dear answers, its error told by leaving each answer out in turn.

Polynomials of the inputs by least squares: plain, with squares, with all products. The one whose
answers, each foretold from the others alone, miss least is kept (PRESS, Allen 1974). What it missed
by is what it is said to miss by: never the residual of its own fit.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Degree = int
"""0: the mean alone; 1: plain; 2: with squares; 3: with squares and products."""

SPARE = 1.3  # answers that a fit must have, times its terms
ROUNDING = 1e-12
FULL = 0.99  # leverage at which an answer can no longer be left out


@dataclass(frozen=True)
class Response:
    """Fitted answers. weights: (terms, outputs). degree: of the polynomial of each output, (outputs,).
    missed: (outputs,) root of the mean square by which answers left out were missed. spread:
    (outputs,) standard deviation of the answers themselves."""

    weights: Array
    degree: NDArray[np.int64]
    missed: Array
    spread: Array

    def __call__(self, inputs: Array) -> Array:
        """(n, outputs) at inputs (n, k)."""
        return np.asarray(_terms(inputs, 3) @ self.weights)


def fit(inputs: Array, answers: Array) -> Response:
    """The response of answers (n, outputs) to inputs (n, k). Raises ValueError with fewer than two
    answers."""
    count = len(inputs)
    if count < 2:
        raise ValueError("a response wants two answers at least")
    every = _terms(inputs, 3)
    weights = np.zeros((every.shape[1], answers.shape[1]))
    missed = np.full(answers.shape[1], np.inf)
    degree = np.zeros(answers.shape[1], np.int64)
    # What is met to rounding by fewer terms is not met better by more.
    enough = ROUNDING * np.abs(answers).max(axis=0)
    for tried in range(4):
        terms = _terms(inputs, tried)
        if tried and count < SPARE * terms.shape[1]:
            break
        left, found = _left_out(terms, answers)
        better = (left < missed * (1 - 1e-9)) & (missed > enough)
        weights[:, better] = 0.0
        weights[: terms.shape[1], better] = found[:, better]
        missed, degree = np.where(better, left, missed), np.where(better, tried, degree)
    return Response(weights, degree, missed, answers.std(axis=0))


def _left_out(terms: Array, answers: Array) -> tuple[Array, Array]:
    """Root mean square of what each answer is missed by when it is left out, and the weights.

    Leaving an answer out of least squares makes its residual r/(1 - h), h its leverage.
    """
    base, _ = np.linalg.qr(terms)
    leverage = (base**2).sum(axis=1)
    weights = np.linalg.lstsq(terms, answers, rcond=None)[0]
    residual = answers - terms @ weights
    alone = residual / (1 - np.minimum(leverage, FULL))[:, None]
    return np.asarray(np.sqrt((alone**2).mean(axis=0))), np.asarray(weights)


def _terms(inputs: Array, degree: Degree) -> Array:
    """(n, terms): one, the inputs, their squares, their products, up to a degree."""
    columns = [np.ones((len(inputs), 1))]
    if degree >= 1:
        columns.append(inputs)
    if degree >= 2:
        columns.append(inputs**2)
    if degree >= 3:
        pairs = list(combinations(range(inputs.shape[1]), 2))
        columns.append(
            np.stack([inputs[:, i] * inputs[:, j] for i, j in pairs], axis=1)
            if pairs
            else np.zeros((len(inputs), 0))
        )
    return np.hstack(columns)
