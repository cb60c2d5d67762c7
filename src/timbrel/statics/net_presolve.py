"""What a net cannot use is left out before its program is solved, and put back into the answer.

A row without load whose struts all push the same way (a free edge that nothing presses back) leaves
every one of them idle; a strut that is idle in one row is so in all. Such struts have no interior,
and an interior-point method stumbles over them. Their rows' duals are found afterwards: far enough
that none of the struts left out would better the answer, which proves that it was right to leave
them out (the reduced cost of every candidate is looked at).

Source: Andersen and Andersen 1995, "Presolving in linear programming" (forcing constraints).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net_solid import Array, Index


@dataclass(frozen=True)
class Presolved:
    """rows, columns: that are kept, of (n, m). lost: rows with a load and nothing left to hold it.
    forced: (k,) rows that left columns idle, in the order in which they were found, and idle: (k,)
    the columns that each left so."""

    rows: Index
    columns: Index
    lost: Index
    forced: tuple[int, ...]
    idle: tuple[Index, ...]

    def spread(self, x: Array, size: int) -> Array:
        """Forces of the kept columns among all (size,)."""
        found = np.zeros(size)
        found[self.columns] = x
        return found

    def duals(self, matrix: Any, cost: Array, kept: Array) -> Array:
        """(n,) duals of all rows from those of the kept ones.

        matrix: (n, m) of the whole program. cost: (m,).
        """
        found = np.zeros(matrix.shape[0])
        found[self.rows] = kept
        across = matrix.tocsc()
        for row, idle in zip(reversed(self.forced), reversed(self.idle), strict=True):
            some = across[:, idle]
            own = np.asarray(some[[row]].toarray()).ravel()
            wanted = (cost[idle] - some.T @ found) / own
            # own y <= cost - rest for every idle column: one bound, on one side.
            found[row] += min(wanted.min(), 0.0) if own[0] > 0 else max(wanted.max(), 0.0)
        return found


def presolve(matrix: Any, *sides: Array) -> Presolved:
    """Find rows that force struts to be idle, again and again until there are none.

    matrix: (n, m) sparse rows. sides: (n,) every right-hand side that the rows may have.
    """
    across = matrix.tocsc()
    there: NDArray[np.bool_] = np.ones(matrix.shape[1], bool)
    bare = np.all([side == 0 for side in sides], axis=0)
    size = matrix.shape[0]
    up = np.bincount(across.indices[across.data > 0], minlength=size)
    down = np.bincount(across.indices[across.data < 0], minlength=size)
    forced: list[int] = []
    idle: list[Index] = []
    waiting = list(np.flatnonzero(bare & ((up == 0) != (down == 0))))
    while waiting:
        row = int(waiting.pop())
        columns = matrix.indices[matrix.indptr[row] : matrix.indptr[row + 1]]
        columns = columns[there[columns]]
        if not len(columns):
            continue
        there[columns] = False
        forced.append(row)
        idle.append(columns.astype(np.int64))
        lost = across[:, columns]
        up -= np.bincount(lost.indices[lost.data > 0], minlength=len(up))
        down -= np.bincount(lost.indices[lost.data < 0], minlength=len(down))
        touched = np.unique(lost.indices)
        waiting += list(touched[bare[touched] & ((up[touched] == 0) != (down[touched] == 0))])
    full = up + down > 0
    return Presolved(
        np.flatnonzero(full),
        np.flatnonzero(there),
        np.flatnonzero(~full & ~bare),
        tuple(forced),
        tuple(idle),
    )
