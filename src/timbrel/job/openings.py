"""Openings with a trimmed ring, and hooks that hang a load under the vault, as a mason states them.

A place on plan is taped as on site: from a corner along its springing wall, then square off that
wall, level, to the middle of the opening or to the hook.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from timbrel.job.table import Table
from timbrel.job.units import Density, Force, Hours, Length, LineLoad, Pressure, Stress

Corner = Literal["A", "B", "C", "D"]


class Trimmer(Table):
    """The ring that trims an opening: tiles laid flat over the shell round it, a kerb, its bars."""

    tile: str | None = Field(
        None, description="Tile of the ring, by its name in [tiles]; the last layer's if left out"
    )
    layers: int = Field(1, ge=1, le=4, description="Layers of ring tiles laid over the shell")
    width: Length | None = Field(
        None, gt=0.05, lt=1.5, description="Width of the ring in the shell; one tile if left out"
    )
    bed: Length = Field(0.015, ge=0.003, le=0.040, description="Mortar bed under each ring layer")
    bar: Length | None = Field(
        None,
        ge=0.004,
        le=0.040,
        description="Diameter of the bar along each side, in the ring's bed; none = no bar",
    )
    bar_yield: Stress = Field(500e6, ge=200e6, le=600e6, description="Yield of the bars (N/mm2)")
    kerb_height: Length = Field(
        0.10, ge=0, le=1.5, description="Height of the kerb over the shell; 0 = no kerb"
    )
    kerb_thickness: Length = Field(0.060, ge=0.01, le=0.4, description="Thickness of the kerb")
    kerb_density: Density = Field(1800.0, ge=300, le=2600, description="Density of the kerb")
    cure: Hours = Field(
        7 * 86400.0,
        ge=3600,
        le=90 * 86400,
        description="Time that the ring stays propped after the last layer round it (hours)",
    )
    until_cured: Literal["box", "centring"] = Field(
        "box",
        description="What holds the arches that a barrel's opening cuts until then: its box, braced "
        "across, or the centring, which stays under them",
    )


class VaultOpening(Table):
    """A skylight, hatch or flue through the vault; length and width, or a diameter."""

    name: str = Field(min_length=1, max_length=60, description="What it is called on the sheets")
    use: Literal["skylight", "hatch", "flue"] = Field(
        "skylight", description="What it is for; people may stand on a hatch"
    )
    corner: Corner = Field("A", description="Corner from which its place is taped")
    along: Length = Field(
        gt=0, lt=60, description="From that corner along the springing wall, to its middle"
    )
    across: Length = Field(
        gt=0, lt=30, description="Square off that wall, level, to the middle of the opening"
    )
    length: Length | None = Field(
        None,
        ge=0.1,
        lt=10,
        description="Clear size along the courses (the axis of a barrel, the ring of a dome)",
    )
    width: Length | None = Field(
        None,
        ge=0.1,
        lt=10,
        description="Clear size across them, level; length and width go together",
    )
    diameter: Length | None = Field(
        None, ge=0.1, lt=10, description="Clear diameter of a round opening"
    )
    cover: Pressure = Field(
        0.5e3, ge=0, le=10e3, description="Weight of its glass, lid or cap (kN/m2)"
    )
    line_load: LineLoad = Field(
        0.0, ge=0, le=50e3, description="What else stands on its kerb, such as a flue (kN/m)"
    )
    trimmer: Trimmer = Field(default_factory=Trimmer)


class Hook(Table):
    """A hook through the vault, hung from a plate on its back: a load from below."""

    name: str = Field(min_length=1, max_length=60, description="What hangs from it")
    corner: Corner = Field("A", description="Corner from which its place is taped")
    along: Length = Field(gt=0, lt=60, description="From that corner along the springing wall")
    across: Length = Field(gt=0, lt=30, description="Square off that wall, level, to the hook")
    load: Force = Field(gt=0, le=50e3, description="What it carries (kN)")
    permanent: bool = Field(True, description="Does it hang there for good")
    plate: Length = Field(
        0.120, ge=0.03, le=1.0, description="Side of the square plate on the back of the shell"
    )
    rod: Length = Field(0.010, ge=0.004, le=0.040, description="Diameter of the threaded rod")
    rod_yield: Stress = Field(235e6, ge=150e6, le=900e6, description="Yield of the rod (N/mm2)")
    rod_ultimate: Stress = Field(
        360e6, ge=200e6, le=1100e6, description="Ultimate strength of the rod (N/mm2)"
    )
