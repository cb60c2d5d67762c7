"""The elastic fixed arch: what tension the joints must carry when no thrust line fits.

The arch is cut at its left springing and hangs from the right one; three redundants act on the cut
through a rigid arm to the elastic centre, where turning and moving do not mix (Culmann's elastic
centre; Timoshenko, Strength of Materials II, 1956, ch. on curved bars; Karnovsky 2012, ch. 4).
Stiffness may differ in every segment, any joint may have a rotational give of its own (a young
joint taken as a hinge has a very great one), so the arch need not be symmetric: the flexibility is
the full 3 x 3. Segments are straight between joints and loads act at the joints, so that the moment
is linear in each segment and Simpson's rule integrates the products exactly.

Sign: x to the right, z up; thrust `H` pushes the left springing to the right on the arch, `V` lifts
it; a moment is positive when it stretches the intrados (sagging).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

HINGE = 1e9
"""Rotational give that makes a hinge, as a multiple of the whole arch's own flexibility."""


@dataclass(frozen=True)
class ElasticArch:
    """A fixed arch of one metre width.

    axis: (n+1, 2) points of the axis at the joints, left to right (m). bending: (n,) E I of each
    segment (N m2 a metre). stretching: (n,) E A (N a metre); infinite leaves axial shortening out.
    give: (n+1,) extra rotation of each joint for a unit moment (rad / N m).
    """

    axis: Array
    bending: Array
    stretching: Array
    give: Array

    @classmethod
    def uniform(cls, axis: Array, thickness: float | Array, modulus: float | Array) -> ElasticArch:
        """Arch of stated thickness (m) and modulus (Pa), one value or one a segment."""
        segments = len(axis) - 1
        h = np.broadcast_to(np.asarray(thickness, float), segments)
        e = np.broadcast_to(np.asarray(modulus, float), segments)
        return cls(np.asarray(axis, float), e * h**3 / 12, e * h, np.zeros(segments + 1))

    def hinged_at(self, joints: NDArray[np.bool_]) -> ElasticArch:
        """The same arch with hinges at the joints marked."""
        lengths = np.hypot(*np.diff(self.axis, axis=0).T)
        give = np.where(joints, HINGE * np.sum(lengths / self.bending), self.give)
        return ElasticArch(self.axis, self.bending, self.stretching, give)


@dataclass(frozen=True)
class ElasticAnswer:
    """Section forces at the joints.

    thrust, shear_left, moment_left: at the left springing (N, N, N m a metre). moment, normal:
    (n+1,) at each joint; normal is positive in compression. Where a load acts at a joint the
    normal force is the lesser of the two sides.
    """

    thrust: float
    shear_left: float
    moment_left: float
    moment: Array
    normal: Array


def elastic_answer(
    arch: ElasticArch,
    loads: Array,
    *,
    spread: float = 0.0,
    settlement: float = 0.0,
    strain: float = 0.0,
) -> ElasticAnswer:
    """Forces in a fixed arch under joint loads and movements.

    loads: (n+1, 2) forces (Fx, Fz) at the joints (N a metre; weights are negative Fz). spread: how
    far the right springing moves away from the left (m); settlement: how far it sinks (m); strain:
    free lengthening of the axis (alpha dT, shrinkage negative).
    """
    points, forces = arch.axis, np.asarray(loads, float)
    tangent, length = _segments(points)
    centre = _elastic_centre(arch, length)
    arm = points - centre

    # Moment and normal force on the cut arch of the loads alone, and of three unit redundants at
    # the elastic centre: a push to the right, a lift, a moment.
    gathered = np.cumsum(forces, axis=0)
    turning = np.cumsum(forces[:, 0] * points[:, 1] - forces[:, 1] * points[:, 0])
    m_load = gathered[:, 1] * points[:, 0] - gathered[:, 0] * points[:, 1] + turning
    m_unit = np.column_stack([-arm[:, 1], arm[:, 0], np.ones(len(points))])
    n_load = gathered[:-1, 0] * tangent[:, 0] + gathered[:-1, 1] * tangent[:, 1]
    n_unit = np.column_stack([tangent[:, 0], tangent[:, 1], np.zeros(len(length))])

    flexibility = _work(arch, length, m_unit, n_unit, m_unit, n_unit)
    by_load = _work(arch, length, m_unit, n_unit, m_load[:, None], n_load[:, None])[:, 0]
    # The cut face must end where the support holds it: the right end, and the arch with it, moved
    # by the spread and the settlement; free lengthening pushes the cut face the other way.
    grown = strain * (points[-1] - points[0])
    moved = np.array([spread - grown[0], -settlement - grown[1], 0.0])
    redundant = np.linalg.solve(flexibility, -by_load - moved)

    moment = m_load + m_unit @ redundant
    normal = n_load + n_unit @ redundant
    at_joint = np.minimum(np.append(normal, normal[-1]), np.append(normal[0], normal))
    return ElasticAnswer(
        float(redundant[0]), float(redundant[1]), float(moment[0]), moment, at_joint
    )


def tension_needed(answer: ElasticAnswer, thickness: float | Array) -> Array:
    """Greatest tension at each joint (Pa, 0 where all is pressed): |M| 6/t^2 - N/t (Navier)."""
    t = np.asarray(thickness, float)
    needed: Array = np.maximum(6 * np.abs(answer.moment) / t**2 - answer.normal / t, 0.0)
    return needed


def _segments(points: Array) -> tuple[Array, Array]:
    steps = np.diff(points, axis=0)
    length = np.hypot(steps[:, 0], steps[:, 1])
    return steps / length[:, None], length


def _elastic_centre(arch: ElasticArch, length: Array) -> Array:
    weight = length / arch.bending
    middle = (arch.axis[1:] + arch.axis[:-1]) / 2
    total = weight.sum() + arch.give.sum()
    return np.asarray((weight @ middle + arch.give @ arch.axis) / total)


def _work(arch: ElasticArch, length: Array, ma: Array, na: Array, mb: Array, nb: Array) -> Array:
    """Mutual work of two sets of forces: integral of M M / EI + N N / EA, plus give at the joints.

    M is linear in a segment: Simpson is exact for the product.
    """
    bend = length / arch.bending / 6
    ends = (ma[:-1] * bend[:, None]).T @ mb[:-1] + (ma[1:] * bend[:, None]).T @ mb[1:]
    middle = ((ma[:-1] + ma[1:]) * bend[:, None]).T @ (mb[:-1] + mb[1:])
    axial = (na * (length / arch.stretching)[:, None]).T @ nb
    return np.asarray(ends + middle + axial + (ma * arch.give[:, None]).T @ mb)
