"""The rows of a net as a narrow band: products A D A' and their Cholesky factor.

A line of the net is joined only to its neighbours, so A D A' is a band matrix whose factor costs
little. LAPACK is called directly: with matrices so small its usual cover takes as long again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.net_solid import Array, Index

REGULAR = 1e-14


class Band:
    """A D A' as a band. Rows are ordered as they come, as `keys` order them, or by Cuthill and McKee
    (1969), whichever is narrowest; the products of the entries of each column are laid out once."""

    def __init__(self, matrix: Any, *keys: Array) -> None:
        from scipy import sparse
        from scipy.sparse.csgraph import reverse_cuthill_mckee

        self.size = matrix.shape[0]
        pattern = (abs(matrix) @ abs(matrix).T).tocoo()
        orders = [np.argsort(key, kind="stable") for key in keys]
        orders.append(np.arange(self.size))
        if self.size:
            orders.append(np.asarray(reverse_cuthill_mckee(pattern.tocsr(), symmetric_mode=True)))
        widths = []
        for order in orders:
            place = np.empty(self.size, np.int64)
            place[order] = np.arange(self.size)
            widths.append(int(np.abs(place[pattern.row] - place[pattern.col]).max(initial=0)))
        self.order: Index = orders[int(np.argmin(widths))]
        self.width = min(widths)
        self.matrix = matrix.tocsr()[self.order]
        columns = self.matrix.tocsc()
        columns.sort_indices()
        self.across = columns.T
        self._products = sparse.csc_array(
            self._lay_out(columns), shape=(self.size * (self.width + 1), columns.shape[1])
        )

    def _lay_out(self, columns: Any) -> tuple[Array, Index, Index]:
        """Every product of two entries of a column, where it falls in the band."""
        count = np.diff(columns.indptr)
        start = np.zeros(len(count) + 1, np.int64)
        start[1:] = np.cumsum(count * (count + 1) // 2)
        value, place = np.empty(start[-1]), np.empty(start[-1], np.int32)
        # Column by column, as LAPACK keeps it: row r of column c of the triangle is the
        # (c (width + 1) + r - c)-th number.
        for size in np.unique(count):
            which = np.flatnonzero(count == size)
            low, high = np.tril_indices(size)
            entry = columns.indptr[which][:, None] + np.arange(size)
            row, data = columns.indices[entry], columns.data[entry]
            here = start[which][:, None] + np.arange(len(low))
            value[here] = data[:, low] * data[:, high]
            place[here] = row[:, high] * self.width + row[:, low]
        return value, place, start

    def factor(self, weight: Array) -> Factor:
        """Cholesky factor of A diag(weight) A'."""
        from scipy.linalg import LinAlgError, lapack

        band = (self._products @ weight).reshape(self.size, self.width + 1)
        scale = 1 / np.sqrt(np.maximum(band[:, 0], 1e-300))
        after = np.append(scale, np.zeros(self.width))
        band *= np.lib.stride_tricks.sliding_window_view(after, self.width + 1)
        band *= scale[:, None]
        band[:, 0] += REGULAR
        found, info = lapack.dpbtrf(band.T, lower=1, overwrite_ab=1)
        if info:
            raise LinAlgError("the rows depend on each other")
        return Factor(found, scale)

    def rows(self, x: Array) -> Array:
        """A x, rows in the matrix's own order."""
        return self.back(self.matrix @ x)

    def back(self, y: Array) -> Array:
        """What is given by the rows of the band, in the matrix's own order."""
        found = np.empty(self.size)
        found[self.order] = y
        return found

    def solve(self, weight: Array, right: Array) -> Array:
        """y of A diag(weight) A' y = right, rows in the matrix's own order."""
        return self.back(self.factor(weight).solve(right[self.order]))


@dataclass(frozen=True)
class Factor:
    """The Cholesky factor of a band whose rows and columns were scaled to a unit diagonal, in
    LAPACK's lower form, and the scales."""

    lower: Array
    scale: Array

    def solve(self, right: Array) -> Array:
        from scipy.linalg import lapack

        found, _ = lapack.dpbtrs(self.lower, self.scale * right, lower=1, overwrite_b=1)
        return np.asarray(self.scale * found)
