"""A plane strip: voussoirs between joints, the loads on them, a thrust line through them.

Axes of the section: x to the right, z up. Joints are counted from the left springing. Forces at a
joint are those that the part on its left puts on the part on its right. Everything is per metre of
strip, measured square to the section.

Source of the model: Heyman 1966, "The stone skeleton" (safe theorem: masonry without tension, that
does not slide); friction and crushing are limits that may be added.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from timbrel.words import Message

Array = NDArray[np.float64]

BONDED = 10.0  # friction (tangent) that no cut through bonded masonry asks for
TOUCH = 1e-4  # share of the thickness within which a line touches a face


@dataclass(frozen=True)
class StripLoad:
    """One action on a strip: a resultant on each voussoir, on its true line of action.

    key: stable name. title: for the reader. force: (n, 2) in N/m. at: (n, 2) a point of each line
    of action, m.
    """

    key: str
    title: Message
    force: Array
    at: Array

    @cached_property
    def wrench(self) -> Array:
        """(n, 3): force x, force z, moment about the origin of the section."""
        moment = self.at[:, 0] * self.force[:, 1] - self.at[:, 1] * self.force[:, 0]
        return np.column_stack([self.force, moment])

    @property
    def total(self) -> float:
        """Weight, N/m (downward positive)."""
        return float(-self.force[:, 1].sum())


@dataclass(frozen=True)
class Strip:
    """Voussoirs between n + 1 joints; the joints may stand in any direction.

    inner, outer: (n + 1, 2) ends of the joints at intrados and extrados, or at the far face of what
    backs the extrados. friction: tangent of the friction at a joint, None when sliding is left out.
    crushing: strength of the stress block, N/m2, None when it is left out. backing: (n + 1,) length
    of each joint beyond the shell, m, None without backing.
    """

    inner: Array
    outer: Array
    friction: float | None = None
    crushing: float | None = None
    backing: Array | None = None

    def __post_init__(self) -> None:
        if self.inner.shape != self.outer.shape or self.inner.ndim != 2 or len(self.inner) < 3:
            raise ValueError("a strip needs at least three joints, with as many ends inside as out")

    @property
    def voussoirs(self) -> int:
        return len(self.inner) - 1

    @cached_property
    def thickness(self) -> Array:
        """(n + 1,) length of each joint."""
        return np.asarray(np.linalg.norm(self.outer - self.inner, axis=1))

    @cached_property
    def along(self) -> Array:
        """(n + 1, 2) unit vector along each joint, from intrados to extrados."""
        return (self.outer - self.inner) / self.thickness[:, None]

    @cached_property
    def across(self) -> Array:
        """(n + 1, 2) unit vector square to each joint, towards the right springing."""
        return np.column_stack([self.along[:, 1], -self.along[:, 0]])

    @cached_property
    def middle(self) -> Array:
        """(n + 1, 2) middle of each joint."""
        return (self.inner + self.outer) / 2

    @cached_property
    def grip(self) -> Array:
        """(n + 1, 1) friction at each joint. A cut that runs on through backing is no joint: it
        holds by its bond, and the beds of the wall behind are judged with the support."""
        assert self.friction is not None
        grip = np.full((len(self.inner), 1), self.friction)
        if self.backing is not None:
            grip[self.backing > 0] = BONDED
        return grip

    @cached_property
    def shell_outer(self) -> Array:
        """(n + 1, 2) ends of the joints at the extrados of the shell."""
        if self.backing is None:
            return self.outer
        return np.asarray(self.outer - self.along * self.backing[:, None])

    @cached_property
    def shell_thickness(self) -> Array:
        """(n + 1,) length of each joint within the shell."""
        return self.thickness if self.backing is None else self.thickness - self.backing

    @cached_property
    def shell_middle(self) -> Array:
        """(n + 1, 2) middle of each joint within the shell."""
        return (self.inner + self.shell_outer) / 2

    @cached_property
    def span(self) -> float:
        """Distance between the middles of the shell at its two springings."""
        return float(np.linalg.norm(self.shell_middle[-1] - self.shell_middle[0]))

    def thinned(self, share: float) -> Strip:
        """The same strip with a share of the shell's thickness, kept about the middle of the shell;
        what backs it stays, moved up to it."""
        half = (self.shell_outer - self.inner) * (share / 2)
        outer = self.shell_middle + half
        if self.backing is not None:
            outer = outer + self.along * self.backing[:, None]
        return Strip(self.shell_middle - half, outer, self.friction, self.crushing, self.backing)


def carried(wrench: Array) -> Array:
    """(n + 1, 3): sum of the loads on the left of each joint, from those on each voussoir."""
    sums = np.zeros((len(wrench) + 1, 3))
    np.cumsum(wrench, axis=0, out=sums[1:])
    return sums


@dataclass(frozen=True)
class ThrustLine:
    """One state of equilibrium of a strip.

    force: (n + 1, 2) at each joint, N/m. normal, shear: (n + 1,) square to and along the joint.
    position: (n + 1,) distance of the resultant from the intrados end, m. points: (n + 1, 2) where
    the line crosses the joints. thickness: (n + 1,) of the strip.
    """

    force: Array
    normal: Array
    shear: Array
    position: Array
    points: Array
    thickness: Array

    @property
    def thrust(self) -> float:
        """Horizontal thrust on the left springing, N/m."""
        return float(self.force[0, 0])

    @property
    def springing_left(self) -> Array:
        """Force that the vault puts on its left springing: (x, z), N/m."""
        return np.asarray(-self.force[0])

    @property
    def springing_right(self) -> Array:
        """Force that the vault puts on its right springing: (x, z), N/m."""
        return np.asarray(self.force[-1])

    @property
    def friction_used(self) -> float:
        """Greatest share of shear to normal force: the friction that the line needs."""
        return float(np.max(np.abs(self.shear) / np.maximum(self.normal, 1e-12)))

    @property
    def depth_used(self) -> Array:
        """(n + 1,) distance of the line from the middle over half the thickness: 1 at a face."""
        return np.abs(2 * self.position / self.thickness - 1)

    def hinges(self, touch: float = TOUCH) -> tuple[Hinge, ...]:
        """Where the line touches a face; a run of neighbouring joints counts once."""
        found: list[Hinge] = []
        share = self.position / self.thickness
        for outer, gap in ((False, share), (True, 1 - share)):
            near = np.flatnonzero(gap < touch)
            runs = np.split(near, np.flatnonzero(np.diff(near) > 1) + 1) if len(near) else []
            for run in runs:
                joint = int(run[np.argmin(gap[run])])
                x, z = self.points[joint]
                found.append(Hinge(joint, outer, float(x), float(z)))
        return tuple(sorted(found, key=lambda h: h.joint))


@dataclass(frozen=True)
class Hinge:
    """A joint where the line touches a face: at the extrados when `outer`."""

    joint: int
    outer: bool
    x: float
    z: float


def thrust_line(strip: Strip, springing: Array, loads: Array) -> ThrustLine:
    """The line that starts from a wrench at the left springing under the given loads.

    springing: (3,) force x, z and moment about the middle of the left springing joint. loads:
    (n, 3) wrenches on the voussoirs about the origin.
    """
    sums = carried(loads)
    force = sums[:, :2] + springing[:2]
    x0, z0 = strip.middle[0]
    moment = sums[:, 2] + springing[2] + x0 * springing[1] - z0 * springing[0]
    normal = np.einsum("ij,ij->i", force, strip.across)
    shear = np.einsum("ij,ij->i", force, strip.along)
    about_inner = strip.inner[:, 0] * force[:, 1] - strip.inner[:, 1] * force[:, 0] - moment
    position = about_inner / np.where(np.abs(normal) > 1e-12, normal, 1e-12)
    points = strip.inner + strip.along * position[:, None]
    return ThrustLine(force, normal, shear, position, points, strip.thickness)
