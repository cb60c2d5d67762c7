"""What carries the vault and what it carries: walls, fill, loads, the shell as masonry."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from timbrel.job.supports import (
    Backing,
    Buttress,
    Ground,
    Leaf,
    Lift,
    LineAction,
    NationalChoices,
    Opening,
    PatchAction,
    PointAction,
    SetOff,
    Ties,
    WallMasonry,
)
from timbrel.job.table import Share, Table
from timbrel.job.units import Density, Length, LineLoad, Pressure, Stress, UnitWeight


class Wall(Table):
    """A wall that takes thrust (left, right) or closes an end (near, far)."""

    thickness: Length | None = Field(None, gt=0.05, lt=5, description="Thickness of the wall")
    height: Length | None = Field(
        None, gt=0.1, lt=20, description="Height from its base to the springing"
    )
    above: Length = Field(0.0, ge=0, lt=20, description="Height of wall over the springing")
    above_thickness: Length | None = Field(
        None, gt=0.05, lt=5, description="Its thickness over the springing; the same if left out"
    )
    above_inset: Length | None = Field(
        None,
        ge=0,
        lt=5,
        description="How far its inner face steps back over the springing; as far as leaves the outer "
        "faces flush if left out",
    )
    setoffs: tuple[SetOff, ...] = Field(
        (), description="Set-offs under the springing, from the top down: it is thicker below each"
    )
    density: Density = Field(1800.0, ge=800, le=2800, description="Density of the masonry")
    course: Length = Field(0.30, ge=0.03, le=1.0, description="Height of a bed or lift to check")
    friction: float = Field(0.6, gt=0, le=1.5, description="Friction of a bed (tangent)")
    load_above: LineLoad = Field(
        0.0, ge=0, le=1e6, description="Load on the wall's head from above (kN/m)"
    )
    load_offset: Length = Field(
        0.0,
        gt=-2,
        lt=2,
        description="Where that load stands off the wall's middle, outward positive",
    )
    load_above_level: float = Field(
        1.0,
        ge=0,
        le=1,
        description="Share of that load whose level push the wall takes under loads.horizontal; all of "
        "it if left out",
    )
    leaves: tuple[Leaf, ...] = Field((), description="Leaves, inside to outside; none = one leaf")
    openings: tuple[Opening, ...] = Field((), description="Doors and windows")
    pier: Length | None = Field(
        None,
        gt=0.1,
        lt=5,
        description="Side of the square piers at its two corners; none = no piers",
    )
    pier_out: Length | None = Field(
        None,
        ge=0,
        lt=2.5,
        description="How far the middle of a pier under a corner of the vault stands out of the room, "
        "along both sides; half of the pier if left out: its inner edge in the corner",
    )
    masonry: WallMasonry = Field(default_factory=WallMasonry)
    buttress: Buttress | None = Field(None, description="Buttresses outside it")
    ground: Ground = Field(default_factory=Ground)


class Walls(Table):
    """Left is DA, right is BC; near is AB, far is CD. Under a dome the left one is its drum."""

    left: Wall = Field(default_factory=Wall)
    right: Wall = Field(default_factory=Wall)
    near: Wall | None = Field(
        None, description="Near wall, where it takes thrust too; as the left one if left out"
    )
    far: Wall | None = Field(
        None, description="Far wall, where it takes thrust too; as the right one if left out"
    )
    ties: Ties | None = Field(None, description="Ties across the vault")


class Factors(Table):
    """Partial factors of EN 1990; national choices go here."""

    permanent: float = Field(1.35, ge=1, le=2, description="Permanent, unfavourable (EN 1990 A1.2)")
    permanent_favourable: float = Field(
        1.0, ge=0.5, le=1, description="Permanent, favourable (EN 1990 A1.2)"
    )
    variable: float = Field(1.5, ge=1, le=2, description="Variable, unfavourable (EN 1990 A1.2)")
    load_factor_least: float = Field(
        1.5, ge=1, le=10, description="Least load factor wanted on the imposed load"
    )
    geometric_least: float = Field(
        1.5, ge=1, le=10, description="Least geometric factor wanted (thickness over least)"
    )
    overturning_least: float = Field(1.5, ge=1, le=5, description="Least factor on overturning")
    sliding_least: float = Field(1.5, ge=1, le=5, description="Least factor on sliding")


class Fill(Table):
    """What lies on the haunches."""

    kind: Literal["none", "solid", "light", "sleeper walls"] = Field("none", description="Kind")
    unit_weight: UnitWeight | None = Field(
        None, ge=500, le=25e3, description="Unit weight; 16 solid, 6 light if left out (kN/m3)"
    )
    to_crown_cover: bool = Field(True, description="Is it brought up to the crown cover")
    level: Length | None = Field(
        None, description="Top of the fill above the intrados springing chord; cover if left out"
    )
    sleeper_thickness: Length = Field(0.045, gt=0.01, lt=0.5, description="Sleeper wall thickness")
    sleeper_spacing: Length = Field(0.60, gt=0.1, lt=3, description="Sleeper walls, axis to axis")
    sleeper_density: Density = Field(1700.0, ge=500, le=2600, description="Sleeper wall density")
    sleeper_tile: str | None = Field(
        None, description="Tile of the sleeper walls, on edge, by its name in [tiles]; none = by m3"
    )
    lifts: tuple[Lift, ...] = Field(
        (), description="Lifts of several materials, bottom up; they take the place of the one kind"
    )
    backing: Backing | None = Field(None, description="Masonry that backs the haunches")
    saturated: UnitWeight | None = Field(
        None, ge=1e3, le=25e3, description="Unit weight when water-logged; none = it drains (kN/m3)"
    )


class Loads(Table):
    """What the vault carries."""

    use: Literal[
        "floor", "stairs", "offices", "seats", "assembly", "shops", "stores", "roof", "none"
    ] = Field("floor", description="Use above: a floor is that of a dwelling (EN 1991-1-1 6.3)")
    fill: Fill = Field(default_factory=Fill)
    finish: Pressure = Field(0.8e3, ge=0, le=10e3, description="Floor or roof finish (kN/m2)")
    imposed: Pressure | None = Field(
        None,
        ge=0,
        le=20e3,
        description="Imposed load (kN/m2); by the use if left out (EN 1991-1-1)",
    )
    line: LineLoad = Field(
        1.0e3, ge=0, le=50e3, description="Line load along the axis, walked over the span (kN/m)"
    )
    patterns: tuple[Literal["full", "half", "line"], ...] = Field(
        ("full", "half", "line"),
        min_length=1,
        description="Patterns of imposed load that are tried",
    )
    factors: Factors = Field(default_factory=Factors)
    lines: tuple[LineAction, ...] = Field((), description="Partitions and other lines of load")
    points: tuple[PointAction, ...] = Field((), description="Loads on one spot")
    patches: tuple[PatchAction, ...] = Field((), description="Loads over a rectangle")
    snow: Pressure | None = Field(None, ge=0, le=20e3, description="Snow on a roof (kN/m2)")
    wind_left: Pressure | None = Field(
        None, ge=-5e3, le=5e3, description="Wind on the left half, pressure positive (kN/m2)"
    )
    wind_right: Pressure | None = Field(
        None, ge=-5e3, le=5e3, description="Wind on the right half, pressure positive (kN/m2)"
    )
    wind_near: Pressure | None = Field(
        None,
        ge=-5e3,
        le=5e3,
        description="Wind on the near half of a vault on a plan, pressure positive (kN/m2)",
    )
    wind_far: Pressure | None = Field(
        None,
        ge=-5e3,
        le=5e3,
        description="Wind on the far half of a vault on a plan, pressure positive (kN/m2)",
    )
    horizontal: Share = Field(
        0.0, description="Level acceleration to bear, as a share of weight; 0 = only told"
    )
    spread: Length = Field(
        0.005, ge=0, lt=0.3, description="Spread of the springings to reckon with"
    )
    settlement: Length = Field(
        0.0, ge=0, lt=0.3, description="Settlement of one springing to reckon with"
    )
    national: NationalChoices = Field(default_factory=NationalChoices)


class Masonry(Table):
    """The shell as a structural material."""

    friction: float = Field(0.6, gt=0, le=2, description="Friction across a joint (tangent)")
    crushing: Stress | None = Field(
        None, ge=0.2e6, le=60e6, description="Design crushing strength (N/mm2); none = not judged"
    )
    bed_tension: Stress | None = Field(
        None, ge=0, le=5e6,
        description="Most tension across the beds between layers (N/mm2); none = no limit",
    )  # fmt: skip
    bed_shear: Stress | None = Field(
        None, ge=0, le=5e6,
        description="Most shear along the beds between layers (N/mm2); none = no limit",
    )  # fmt: skip
    lap_tension: LineLoad | None = Field(
        None, ge=0, le=500e3,
        description="Tension that the lap of the layers carries across a joint, by tests (kN/m); none "
        "= what it would have to carry beside open edges under loads.horizontal is told, not judged",
    )  # fmt: skip
