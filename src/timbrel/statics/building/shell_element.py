"""Triangles of a thin elastic shell: flat, three nodes, three shifts and three turns at each.

Stretching: the triangle with turns about its normal of Felippa (2003, "A study of optimal membrane
triangles with drilling freedoms", CMAME 192, the OPT template), which bends in its own plane as a
beam does. Bending: the discrete Kirchhoff triangle of Batoz, Bathe and Ho (1980, "A study of
three-node triangular plate bending elements", IJNME 15). Both in the triangle's own axes: x along
its first side, z along its normal; turns are right-handed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]

POISSON = 0.2
IN_PLANE = np.array([0, 1, 5, 6, 7, 11, 12, 13, 17])
"""Places of u, v and the turn about the normal among the eighteen of a triangle."""
OUT_OF_PLANE = np.array([2, 3, 4, 8, 9, 10, 14, 15, 16])
MIDS = np.array([[0.5, 0.5], [0.0, 0.5], [0.5, 0.0]])
"""Middles of the sides: three points integrate quadratic products exactly."""


@dataclass(frozen=True)
class Facets:
    """Triangles in their own axes.

    axes: (t, 3, 3) rows are x, y and z. x, y: (t, 3) corners. area: (t,) m2.
    """

    axes: Array
    x: Array
    y: Array
    area: Array


def facets(points: Array, triangles: Index) -> Facets:
    """Axes and corners of triangles (t, 3) over points (n, 3)."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    first = b - a
    first = first / np.linalg.norm(first, axis=1)[:, None]
    square = np.cross(b - a, c - a)
    twice = np.linalg.norm(square, axis=1)
    third = square / twice[:, None]
    axes = np.stack([first, np.cross(third, first), third], axis=1)
    local = np.einsum("tij,tkj->tki", axes, np.stack([a, b, c], axis=1) - a[:, None])
    return Facets(axes, local[..., 0], local[..., 1], twice / 2)


def elasticity() -> Array:
    """(3, 3) plane stress for a modulus of one."""
    v = POISSON
    return np.array([[1, v, 0], [v, 1, 0], [0, 0, (1 - v) / 2]]) / (1 - v * v)


def stretching(f: Facets) -> tuple[Array, Array]:
    """Stiffness (t, 9, 9) for E t = 1, and mean strains (t, 3, 9) of (u, v, turn) at the corners."""
    x, y = f.x, f.y

    def dx(i: int, j: int) -> Array:
        return np.asarray(x[:, i - 1] - x[:, j - 1])

    def dy(i: int, j: int) -> Array:
        return np.asarray(y[:, i - 1] - y[:, j - 1])

    lump = np.zeros((len(x), 9, 3))
    for k in range(3):
        i, j, m = k + 1, (k + 1) % 3 + 1, (k + 2) % 3 + 1
        lump[:, 3 * k, 0] = lump[:, 3 * k + 1, 2] = dy(j, m) / 2
        lump[:, 3 * k + 1, 1] = lump[:, 3 * k, 2] = dx(m, j) / 2
        lump[:, 3 * k + 2, 0] = dy(j, m) * (dy(i, m) - dy(j, i)) / 8
        lump[:, 3 * k + 2, 1] = dx(m, j) * (dx(m, i) - dx(i, j)) / 8
        lump[:, 3 * k + 2, 2] = (dx(m, i) * dy(i, m) - dx(i, j) * dy(j, i)) / 4
    e = elasticity()
    area = f.area[:, None, None]
    basic = lump @ e @ np.swapaxes(lump, 1, 2) / area

    l21, l32, l13 = (dx(2, 1) ** 2 + dy(2, 1) ** 2, dx(3, 2) ** 2 + dy(3, 2) ** 2,
                     dx(1, 3) ** 2 + dy(1, 3) ** 2)  # fmt: skip
    te = np.stack(
        [
            np.stack([dy(2, 3) * dy(1, 3) * l21, dy(3, 1) * dy(2, 1) * l32,
                      dy(1, 2) * dy(3, 2) * l13], axis=1),
            np.stack([dx(2, 3) * dx(1, 3) * l21, dx(3, 1) * dx(2, 1) * l32,
                      dx(1, 2) * dx(3, 2) * l13], axis=1),
            np.stack([(dy(2, 3) * dx(3, 1) + dx(3, 2) * dy(1, 3)) * l21,
                      (dy(3, 1) * dx(1, 2) + dx(1, 3) * dy(2, 1)) * l32,
                      (dy(1, 2) * dx(2, 3) + dx(2, 1) * dy(3, 2)) * l13], axis=1),
        ],
        axis=1,
    ) / (4 * area**2)  # fmt: skip
    natural = np.swapaxes(te, 1, 2) @ e @ te
    sides = np.stack([l21, l32, l13], axis=1)[:, :, None]
    b1, b2, b3, b4, b5, b6, b7, b8, b9 = 1.0, 2.0, 1.0, 0.0, 1.0, -1.0, -1.0, -1.0, -2.0
    q1 = np.array([[b1, b2, b3], [b4, b5, b6], [b7, b8, b9]]) / sides
    q2 = np.array([[b9, b7, b8], [b3, b1, b2], [b6, b4, b5]]) / sides
    q3 = np.array([[b5, b6, b4], [b8, b9, b7], [b2, b3, b1]]) / sides
    turning = np.zeros((len(x), 3, 3))
    for one, other in ((q1, q2), (q2, q3), (q3, q1)):
        q = (one + other) / 2 * (2 * area / 3)
        turning += np.swapaxes(q, 1, 2) @ natural @ q
    turning *= area
    hierarchy = np.zeros((len(x), 3, 9))
    for k, (i, j) in enumerate(((3, 2), (1, 3), (2, 1))):
        hierarchy[:, :, 3 * k] = dx(i, j)[:, None]
        hierarchy[:, :, 3 * k + 1] = dy(i, j)[:, None]
        hierarchy[:, k, 3 * k + 2] = 4 * f.area
    hierarchy /= 4 * area
    share = 0.75 * (1 - 4 * POISSON**2) / 2
    higher = share * np.swapaxes(hierarchy, 1, 2) @ turning @ hierarchy
    return basic + higher, np.swapaxes(lump, 1, 2) / area


def bending(f: Facets) -> tuple[Array, tuple[Array, ...]]:
    """Stiffness (t, 9, 9) for E t^3/12 = 1, and curvatures (t, 3, 9) at the middles of the three
    sides, of (w, turns about x and y) at the corners."""
    e = elasticity()
    curves = tuple(_curvatures(f, float(xi), float(eta)) for xi, eta in MIDS)
    stiffness = np.zeros((len(f.x), 9, 9))
    for b in curves:
        stiffness += np.swapaxes(b, 1, 2) @ e @ b * (f.area / 3)[:, None, None]
    return stiffness, curves


def _curvatures(f: Facets, xi: float, eta: float) -> Array:
    """(t, 3, 9) at an area coordinate: corners are (0, 0), (1, 0), (0, 1)."""
    x, y = f.x, f.y
    side = {4: (1, 2), 5: (2, 0), 6: (0, 1)}
    a, b, c, d, g = {}, {}, {}, {}, {}
    for k, (i, j) in side.items():
        xx, yy = x[:, i] - x[:, j], y[:, i] - y[:, j]
        l2 = xx**2 + yy**2
        a[k], d[k] = -xx / l2, -yy / l2
        b[k] = 0.75 * xx * yy / l2
        c[k] = (0.25 * xx**2 - 0.5 * yy**2) / l2
        g[k] = (0.25 * yy**2 - 0.5 * xx**2) / l2
    # Derivatives of the six quadratic shapes by xi and by eta; lam is the first area coordinate.
    lam = 1 - xi - eta
    by_xi = {1: 1 - 4 * lam, 2: 4 * xi - 1, 3: 0.0, 4: 4 * eta, 5: -4 * eta, 6: 4 * (lam - xi)}
    by_eta = {1: 1 - 4 * lam, 2: 0.0, 3: 4 * eta - 1, 4: 4 * xi, 5: 4 * (lam - eta), 6: -4 * xi}
    rows = []
    for n in (by_xi, by_eta):
        hx = np.zeros((len(x), 9))
        hy = np.zeros((len(x), 9))
        for corner, (p, q) in enumerate(((6, 5), (4, 6), (5, 4))):
            k = 3 * corner
            hx[:, k] = 1.5 * (a[p] * n[p] - a[q] * n[q])
            hy[:, k] = 1.5 * (d[p] * n[p] - d[q] * n[q])
            cross = b[p] * n[p] + b[q] * n[q]
            hx[:, k + 1], hy[:, k + 2] = cross, -cross
            hx[:, k + 2] = n[corner + 1] - c[p] * n[p] - c[q] * n[q]
            hy[:, k + 1] = -n[corner + 1] + g[p] * n[p] + g[q] * n[q]
        rows.append((hx, hy))
    (hx_xi, hy_xi), (hx_eta, hy_eta) = rows
    y31, y12 = (y[:, 2] - y[:, 0])[:, None], (y[:, 0] - y[:, 1])[:, None]
    x31, x12 = (x[:, 2] - x[:, 0])[:, None], (x[:, 0] - x[:, 1])[:, None]
    twice = 2 * f.area[:, None]
    return np.stack(
        [
            (y31 * hx_xi + y12 * hx_eta) / twice,
            (-x31 * hy_xi - x12 * hy_eta) / twice,
            (-x31 * hx_xi - x12 * hx_eta + y31 * hy_xi + y12 * hy_eta) / twice,
        ],
        axis=1,
    )
