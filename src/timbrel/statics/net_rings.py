"""A dome under an even load as rings: an independent check of the net on domes.

Between joints square to the meridian every ring is a row of wedges. Per radian, a wedge takes the
meridional force above and below it, its weight, and the push of its neighbours round the ring,
which may only press (outward on the wedge), anywhere between its corners. Meridional resultants
stay inside the joints. One linear program finds how far they would have to leave them.

Source: Heyman 1967, "On shell solutions for masonry domes" (the model); the program is derived.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.net_solid import Array
from timbrel.statics.solver import quiet_solver

HALVINGS = 30
BROKEN = 1e-6


@dataclass(frozen=True)
class Meridian:
    """Joints from the crown down. middle: (n + 1, 2) radius and level. along: (n + 1, 2) unit
    direction from intrados to extrados. weight: (n,) of each ring per radian, N; at: (n,) radius of
    its line of action."""

    middle: Array
    along: Array
    weight: Array
    at: Array


def hemisphere(radius: float, rings: int, unit: float = 1.0) -> Meridian:
    """A hemisphere of middle radius R, weight by area of the middle surface."""
    a = np.linspace(0.0, np.pi / 2, rings + 1)
    along = np.stack([np.sin(a), np.cos(a)], axis=1)
    weight = unit * radius**2 * -np.diff(np.cos(a))
    # first moment of sin^2 over the ring, over its area
    moment = np.diff(a / 2 - np.sin(2 * a) / 4)
    return Meridian(radius * along, along, weight, radius * moment / -np.diff(np.cos(a)))


def excess(meridian: Meridian, thickness: float, friction: float = 0.6) -> float:
    """How far resultants must leave the joints (moment over the whole weight and the dome's size);
    at most zero when the dome stands.

    friction: tangent at the joints; without it a base may be pressed inward without end.
    """
    from scipy import sparse

    n = len(meridian.weight)
    above = np.concatenate([[0.0], np.cumsum(meridian.weight)])
    scale = float(above[-1])
    half = thickness / 2
    inner = meridian.middle - half * meridian.along
    outer = meridian.middle + half * meridian.along
    # unknowns: H (n + 1) outward thrust, M (n + 1) about the middles, C low and high (n, n), e
    count = 2 * (n + 1) + 2 * n + 1
    H, M, C, D = 0, n + 1, 2 * (n + 1), 2 * (n + 1) + n
    entries: list[tuple[int, int, float]] = []
    lower: list[float] = []
    upper: list[float] = []
    size = float(np.abs(meridian.middle).max())

    def row(parts: list[tuple[int, float]], low: float, high: float) -> None:
        entries.extend((len(lower), column, value) for column, value in parts)
        lower.append(low)
        upper.append(high)

    for k in range(n):
        row([(H + k + 1, 1.0), (H + k, -1.0), (C + k, -1.0), (D + k, -1.0)], 0.0, 0.0)
        # moments about the middle of the joint below; r outward, z up; M turns the extrados down
        r, z = meridian.middle[k + 1]
        dr, dz = meridian.middle[k] - meridian.middle[k + 1]
        corners = np.array([inner[k], outer[k], inner[k + 1], outer[k + 1]])[:, 1]
        held = above[k] / scale * dr / size
        own = meridian.weight[k] / scale * (meridian.at[k] - r) / size
        row(
            [
                (M + k, 1.0),
                (M + k + 1, -1.0),
                (H + k, dz / size),
                (C + k, (corners.min() - z) / size),
                (D + k, (corners.max() - z) / size),
            ],
            -held - own,
            -held - own,
        )
    for k in range(n + 1):
        s, c = meridian.along[k]
        # force of the part above on the joint: outward H, down V; square to the joint
        pressed = half / size * s * above[k] / scale
        for sign in (1.0, -1.0):
            parts = [(M + k, sign), (H + k, -half / size * c), (count - 1, -1.0)]
            row(parts, -np.inf, pressed)
            # shear along the joint, outward: H s - V c, within friction of H c + V s
            down = above[k] / scale
            row([(H + k, sign * s - friction * c)], -np.inf, down * (sign * c + friction * s))
    i, j, value = (np.array(a) for a in zip(*entries, strict=True))
    matrix = sparse.coo_array((value, (i, j)), shape=(len(lower), count)).tocsc()
    least = np.full(count, -np.inf)
    least[C : count - 1] = 0.0
    least[-1] = -1.0
    return _least_last(matrix, np.array(lower), np.array(upper), least)


def _least_last(matrix: Any, lower: Array, upper: Array, least: Array) -> float:
    """The least that the last unknown can be. Raises ArithmeticError when rows are broken."""
    import highspy

    lp = highspy.HighsLp()
    lp.num_row_, lp.num_col_ = matrix.shape
    lp.col_cost_ = np.append(np.zeros(len(least) - 1), 1.0)
    lp.col_lower_, lp.col_upper_ = least, np.full(len(least), np.inf)
    lp.row_lower_, lp.row_upper_ = lower, upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_ = matrix.indptr, matrix.indices
    lp.a_matrix_.value_ = matrix.data
    solver = quiet_solver(solver="simplex", primal_feasibility_tolerance=1e-9)
    solver.passModel(lp)
    solver.run()
    x = np.asarray(solver.getSolution().col_value)
    rows = matrix @ x
    broken = max(float((rows - upper).max()), float((lower - rows).max()))
    if broken > BROKEN:
        raise ArithmeticError(f"the rings are out of balance by {broken:.1e} of the weight")
    return float(x[-1])


def least_thickness(meridian: Meridian, most: float) -> float:
    """Least thickness (m) at which rings stand, up to `most`."""
    low, high = 0.0, most
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if excess(meridian, middle) <= 1e-9:
            high = middle
        else:
            low = middle
    return high
