"""What every family of vault answers, whatever its shape.

Barrel and flight add sections and joints for the strip (see :mod:`timbrel.shape.barrel`); groin and
cloister add creases; sail and dome add the lines that courses follow.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from numpy.typing import ArrayLike

from timbrel.shape.layers import LayerPlace
from timbrel.shape.planecurve import Array
from timbrel.shape.web import Edge, Web

if TYPE_CHECKING:
    from timbrel.shape.room import Room


class Surface(Protocol):
    """A shell of layers over a room.

    family: its name in the job. thickness: all tiles and the beds between them, m. Offsets are from
    the intrados along the outward normal: 0 is the intrados, `thickness` the extrados.
    """

    @property
    def family(self) -> str: ...

    @property
    def on_corners(self) -> bool:
        """Does it stand on the four corners of its plan alone, its edges open arches."""

    @property
    def room(self) -> Room: ...

    @property
    def layers(self) -> tuple[LayerPlace, ...]: ...

    @property
    def thickness(self) -> float: ...

    @property
    def webs(self) -> tuple[Web, ...]:
        """Its pieces, each with its own (u, v)."""

    @property
    def edges(self) -> tuple[Edge, ...]:
        """Springings, wall arches, creases, ridges and oculus, and what carries them."""

    @property
    def volume(self) -> float:
        """Volume of the masonry, m3."""

    def area(self, offset: float = 0.0) -> float:
        """Area of the surface at `offset`, m2."""

    def height(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> Array:
        """Level (n,) plumb over plan points; not a number where there is none."""

    def depth(self, points: ArrayLike) -> Array:
        """Offset (n,) of points (n, 3) from the true intrados, creases included."""

    def inside(self, points: ArrayLike, spare: float = 1e-9) -> Array:
        """Which points (n, 3) lie in the masonry."""
