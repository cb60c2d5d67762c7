"""An elastic shell of any shape: what tension joints must carry where no net fits what is laid.

Strips both ways, each leaning on its neighbours at every point, are a shell; a single strip of it
is the elastic arch of :mod:`timbrel.statics.elastic`. It stands fixed in its springings, and may
rest on guides that only push up. Bond is brittle, so what is told is the greatest principal tension
at either face.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.building.shell_element import (
    IN_PLANE,
    OUT_OF_PLANE,
    Array,
    Facets,
    Index,
    bending,
    elasticity,
    facets,
    stretching,
)

Marks = NDArray[np.bool_]
TURNS = 12
"""Rounds in which guides are let go and taken up again."""
LOOSE = 1e-12
"""Stiffness of a node on which nothing acts, as a share of the stiffest."""


@dataclass(frozen=True)
class ShellAnswer:
    """What a state asks of the shell.

    tension: (t,) greatest principal tension of each triangle at either face, at the middles of its
    sides, Pa (0 where all is pressed). press: (t,) greatest pressing force along the shell, N a
    metre. moved: (n, 3) m. guides: (n,) push of guides, N.
    """

    tension: Array
    press: Array
    moved: Array
    guides: Array


class ElasticShell:
    """Triangles over points, ready to be loaded.

    points: (n, 3) on the middle surface. triangles: (t, 3). thickness: (t,) m. modulus: Pa. bending:
    (t,) share of its stiffness in bending that each triangle has: next to none where joints are
    hinges, which press all the same. held: (n,) fixed in the springing, in place and in direction.
    """

    def __init__(
        self,
        points: Array,
        triangles: Index,
        thickness: Array,
        modulus: float,
        bending: Array,
        held: Marks,
    ) -> None:
        self.points, self.triangles = points, triangles
        self.thickness, self.modulus, self.bending = thickness, modulus, bending
        self._facets: Facets = facets(points, triangles)
        self._strain: Array
        self._curves: tuple[Array, ...]
        matrix = self._assemble()
        there = np.zeros(len(points), bool)
        there[triangles.ravel()] = True
        self.there = there
        self._free = np.repeat(there & ~held, 6)
        self._held = np.repeat(there & held, 6)
        self._matrix = matrix
        self._factored: dict[bytes, Any] = {}

    def _assemble(self) -> Any:
        from scipy import sparse

        membrane, self._strain = stretching(self._facets)
        plate, self._curves = bending(self._facets)
        local = np.zeros((len(self.triangles), 18, 18))
        stiff = self.modulus * self.thickness
        local[np.ix_(np.arange(len(local)), IN_PLANE, IN_PLANE)] = membrane * stiff[:, None, None]
        flexural = stiff * self.bending * self.thickness**2 / 12
        local[np.ix_(np.arange(len(local)), OUT_OF_PLANE, OUT_OF_PLANE)] = (
            plate * flexural[:, None, None]
        )
        turn = self._turn()
        whole = np.swapaxes(turn, 1, 2) @ local @ turn
        places = self._places()
        rows = np.repeat(places, 18, axis=1).ravel()
        columns = np.tile(places, (1, 18)).ravel()
        size = 6 * len(self.points)
        return sparse.csc_array(
            sparse.coo_array((whole.ravel(), (rows, columns)), shape=(size, size))
        )

    def _turn(self) -> Array:
        """(t, 18, 18) from common axes to those of each triangle."""
        turn = np.zeros((len(self.triangles), 18, 18))
        for k in range(6):
            turn[:, 3 * k : 3 * k + 3, 3 * k : 3 * k + 3] = self._facets.axes
        return turn

    def _places(self) -> Index:
        six = np.arange(6)
        return np.asarray((self.triangles[:, :, None] * 6 + six).reshape(-1, 18))

    def answer(
        self,
        weight: Array,
        *,
        moment: Array | None = None,
        guides: Marks | None = None,
        shift: Array | None = None,
    ) -> ShellAnswer:
        """Under loads.

        weight: (n,) downward on the nodes, N. moment: (n, 3) on the nodes, N m. guides: (n,) nodes
        that rest on guides, which push up and cannot pull. shift: (n, 3) given movement of the held
        nodes, m.
        """
        load = np.zeros(6 * len(self.points))
        load[2::6] = -weight
        if moment is not None:
            for k in range(3):
                load[3 + k :: 6] = moment[:, k]
        given = np.zeros_like(load)
        if shift is not None:
            for k in range(3):
                given[k::6] = shift[:, k]
            given[~self._held] = 0.0
            load = load - self._matrix @ given
        none = np.zeros(len(self.points), bool)
        wanted = none if guides is None else guides & self.there
        resting = wanted
        x, push = self._solve(load, given, resting)
        for _ in range(TURNS if resting.any() else 0):
            pulled = resting & (push < -1e-9 * np.abs(weight).sum())
            sunk = wanted & ~resting & (x[2::6] < -1e-12)
            if not (pulled | sunk).any():
                break
            resting = (resting & ~pulled) | sunk
            x, push = self._solve(load, given, resting)
        tension, press = self._stresses(x)
        return ShellAnswer(tension, press, x.reshape(-1, 6)[:, :3], np.where(resting, push, 0.0))

    def _solve(self, load: Array, given: Array, resting: Marks) -> tuple[Array, Array]:
        from scipy.sparse.linalg import splu

        free = self._free.copy()
        free[2::6] &= ~resting
        key = resting.tobytes()
        if key not in self._factored:
            part = self._matrix[free][:, free].tocsc()
            part = part + _slight(part)
            self._factored[key] = splu(part)
        x = given.copy()
        x[free] = self._factored[key].solve(load[free])
        push = np.asarray(self._matrix @ (x - given) - load)[2::6]
        return x, push

    def _stresses(self, x: Array) -> tuple[Array, Array]:
        local = np.einsum("tij,tj->ti", self._turn(), x[self._places()])
        e = elasticity()
        mean = np.einsum("tij,tj->ti", self._strain, local[:, IN_PLANE]) @ e
        mean = mean * self.modulus
        tension: Array = np.zeros(len(self.triangles))
        for curve in self._curves:
            moment = np.einsum("tij,tj->ti", curve, local[:, OUT_OF_PLANE]) @ e
            bent = moment * (self.modulus * self.bending * self.thickness / 2)[:, None]
            tension = np.maximum(tension, _greatest(mean + bent))
            tension = np.maximum(tension, _greatest(mean - bent))
        press = _greatest(-mean) * self.thickness
        return np.maximum(tension, 0.0), np.maximum(press, 0.0)


def _slight(matrix: Any) -> Any:
    """A trace of stiffness, so that a flat corner's turn about its normal has an answer."""
    from scipy import sparse

    return sparse.eye_array(matrix.shape[0], format="csc") * (LOOSE * abs(matrix).max())


def _greatest(stress: Array) -> Array:
    """(t,) greatest principal value of (t, 3) x, y and shear."""
    x, y, shear = stress.T
    return np.asarray((x + y) / 2 + np.sqrt(((x - y) / 2) ** 2 + shear**2))
