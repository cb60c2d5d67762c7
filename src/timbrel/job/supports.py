"""What carries the vault and what else acts on it, as the mason and the engineer state it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from timbrel.job.table import Table
from timbrel.job.units import (
    Celsius,
    Density,
    Force,
    Length,
    LineLoad,
    Pressure,
    Stress,
    UnitWeight,
)

Share = Annotated[float, Field(ge=0.0, le=1.0)]


class Leaf(Table):
    """One leaf of a wall of several, from the inner face outward."""

    thickness: Length = Field(gt=0.03, lt=3, description="Thickness of the leaf")
    density: Density = Field(1800.0, ge=300, le=2800, description="Density of the leaf")
    bonded: bool = Field(
        True, description="Is it bonded to the leaf inside it, so that both act as one"
    )


class SetOff(Table):
    """A set-off of a wall: from here down its outer face stands further out."""

    under: Length = Field(gt=0, lt=20, description="Depth of the set-off under the springing")
    out: Length = Field(
        gt=0, lt=3, description="How far the outer face stands out of that at the springing"
    )


class Opening(Table):
    """A door or window in a springing wall, measured along the wall from its first corner."""

    start: Length = Field(ge=0, lt=60, description="Distance along the wall, near jamb")
    width: Length = Field(gt=0.1, lt=20, description="Width")
    sill: Length = Field(0.0, ge=0, lt=20, description="Height of the sill over the wall's base")
    head: Length = Field(gt=0.2, lt=20, description="Height of the head over the wall's base")


class ButtressStep(Table):
    """One step of a stepped buttress, from the head down."""

    height: Length = Field(gt=0.05, lt=20, description="Height of the step")
    depth: Length = Field(gt=0.05, lt=5, description="How far it stands out of the wall there")


class Buttress(Table):
    """Buttresses at even spacing along a wall, outside it."""

    width: Length = Field(gt=0.1, lt=5, description="Width along the wall")
    spacing: Length = Field(gt=0.3, lt=20, description="Axis to axis")
    depth: Length = Field(gt=0.05, lt=6, description="How far it stands out at its base")
    depth_top: Length | None = Field(
        None,
        ge=0,
        lt=6,
        description="How far it stands out at its head, if sloped; even if left out",
    )
    height: Length | None = Field(
        None, gt=0.1, lt=20, description="Height over the wall's base; up to the springing if none"
    )
    steps: tuple[ButtressStep, ...] = Field((), description="Steps, from the head down")
    density: Density = Field(1800.0, ge=800, le=2800, description="Density of its masonry")


class Ground(Table):
    """What the wall stands on."""

    footing: Length | None = Field(
        None, gt=0.05, lt=6, description="Width of the footing; that of the wall if left out"
    )
    depth: Length = Field(0.0, ge=0, lt=5, description="Depth of the footing under the wall's base")
    toe: Length | None = Field(
        None, ge=0, lt=4, description="Footing outside the wall's outer face; centred if left out"
    )
    density: Density = Field(2200.0, ge=1000, le=2600, description="Density of the footing")
    bearing: Pressure | None = Field(
        None, gt=10e3, le=5e6, description="Design bearing resistance (kN/m2); none = not judged"
    )
    friction: float = Field(0.5, gt=0, le=1.2, description="Friction under the footing (tangent)")


class AnchorPlate(Table):
    """Square plate that spreads a tie's force on the masonry."""

    side: Length = Field(gt=0.04, lt=1.5, description="Side of the plate")
    thickness: Length = Field(gt=0.004, lt=0.1, description="Thickness of the plate")


class Ties(Table):
    """Ties at the springing: across the vault at even spacing, or round its plan."""

    kind: Literal["bar", "flat"] = Field("bar", description="Round bar, threaded, or flat")
    layout: Literal["across", "round"] | None = Field(
        None,
        description="From wall to wall, or round the plan: from pier to pier, along four walls, as a "
        "ring; by the family if left out",
    )
    spacing: Length | None = Field(
        None, gt=0.2, lt=10, description="Across: axis to axis; round the plan there is none"
    )
    band: Length | None = Field(
        None,
        gt=0.1,
        lt=5,
        description="Round four walls: height of wall at the springing that bears the push to the "
        "corners; what goes up over it, as high as the wall is thick, if left out",
    )
    over_springing: Length = Field(
        0.0, gt=-2, lt=5, description="Height of the tie over the springing"
    )
    diameter: Length | None = Field(None, gt=0.005, lt=0.1, description="Bar: its diameter")
    width: Length | None = Field(None, gt=0.01, lt=0.3, description="Flat: its width")
    thickness: Length | None = Field(None, gt=0.003, lt=0.05, description="Flat: its thickness")
    hole: Length = Field(0.0, ge=0, lt=0.1, description="Flat: hole for its bolt; 0 when welded")
    yield_strength: Stress = Field(235e6, ge=100e6, le=1000e6, description="Yield of the steel")
    ultimate_strength: Stress = Field(
        360e6, ge=150e6, le=1200e6, description="Ultimate strength of the steel"
    )
    modulus: Stress = Field(210e9, ge=50e9, le=220e9, description="Stiffness of the steel")
    expansion: float = Field(12e-6, ge=5e-6, le=25e-6, description="Expansion, 1/K")
    warmer: Celsius = Field(20.0, ge=0, le=80, description="Warming of the tie to reckon with (K)")
    anchor: AnchorPlate | None = Field(None, description="Plate at each end")
    stay: Literal["until cured", "for good"] = Field(
        "for good", description="Is the tie there until the mortar has cured, or for good"
    )


class LineAction(Table):
    """A partition or another line of load, from point to point in plan.

    x runs along AB from A (left springing wall to right), y into the room.
    """

    name: str = Field(min_length=1, max_length=60, description="What it is")
    x: Length = Field(gt=-30, lt=30, description="Start: x from A along AB")
    y: Length = Field(gt=-60, lt=60, description="Start: y into the room")
    x_end: Length = Field(gt=-30, lt=30, description="End: x")
    y_end: Length = Field(gt=-60, lt=60, description="End: y")
    load: LineLoad = Field(gt=0, le=100e3, description="Load along it (kN/m)")
    permanent: bool = Field(True, description="Does it stay (a partition)")


class PointAction(Table):
    """A post, a leg or another load on one spot."""

    name: str = Field(min_length=1, max_length=60, description="What it is")
    x: Length = Field(gt=-30, lt=30, description="x from A along AB")
    y: Length = Field(gt=-60, lt=60, description="y into the room")
    force: Force = Field(gt=0, le=1e6, description="Load (kN)")
    patch: Length = Field(0.05, gt=0, lt=3, description="Side of the spot that it stands on")
    permanent: bool = Field(False, description="Does it stay")


class PatchAction(Table):
    """A load spread over a rectangle in plan."""

    name: str = Field(min_length=1, max_length=60, description="What it is")
    x: Length = Field(gt=-30, lt=30, description="Near left corner: x from A along AB")
    y: Length = Field(gt=-60, lt=60, description="Near left corner: y into the room")
    width: Length = Field(gt=0.01, lt=30, description="Size along x")
    length: Length = Field(gt=0.01, lt=60, description="Size along y")
    pressure: Pressure = Field(gt=0, le=100e3, description="Load (kN/m2)")
    permanent: bool = Field(False, description="Does it stay")


class Backing(Table):
    """Solid masonry over the haunches, in mortar, bonded to the vault: it carries, fill only weighs."""

    level: Length | None = Field(
        None,
        gt=0,
        lt=20,
        description="Its top over the intrados springing chord; share if left out",
    )
    share: Share = Field(0.5, gt=0, lt=1, description="Its top as a share of the rise")
    density: Density = Field(1900.0, ge=1200, le=2600, description="Density of its masonry")
    strength: Stress = Field(
        1.0e6, ge=0.2e6, le=20e6, description="Design crushing strength of its masonry (N/mm2)"
    )
    against_walls: bool = Field(
        True, description="Does it stand tight against walls that go up over the springing"
    )


class Lift(Table):
    """One lift of fill of its own material, from the bottom up."""

    name: str = Field("", max_length=60, description="Material")
    top: Length = Field(gt=-5, lt=20, description="Its top over the intrados springing chord")
    unit_weight: UnitWeight = Field(ge=300, le=25e3, description="Unit weight (kN/m3)")


class NationalChoices(Table):
    """Figures that a nation's annex decides. Each names its clause."""

    expressions: Literal["6.10", "6.10a and 6.10b"] = Field(
        "6.10", description="Expressions for strength (EN 1990 6.4.3.2, table A1.2(B))"
    )
    xi: float = Field(
        0.85,
        ge=0.75,
        le=1,
        description="Share xi of the unfavourable permanent load in 6.10b (EN 1990 table A1.2(B))",
    )
    equ_unfavourable: float = Field(
        1.10, ge=1, le=1.5, description="Permanent, EQU, unfavourable (EN 1990 table A1.2(A))"
    )
    equ_favourable: float = Field(
        0.90, ge=0.5, le=1, description="Permanent, EQU, favourable (EN 1990 table A1.2(A))"
    )
    psi0_imposed: Share | None = Field(
        None, description="Imposed, accompanying; by the use if left out (EN 1990 table A1.1)"
    )
    psi0_snow: Share = Field(0.5, description="Snow, accompanying (EN 1990 table A1.1)")
    psi0_wind: Share = Field(0.6, description="Wind, accompanying (EN 1990 table A1.1)")
    psi1_imposed: Share | None = Field(
        None, description="Imposed, frequent; by the use if left out (EN 1990 table A1.1)"
    )
    psi2_imposed: Share | None = Field(
        None, description="Imposed, quasi-permanent; by the use if left out (EN 1990 table A1.1)"
    )
    masonry: float = Field(
        2.5, ge=1.2, le=4, description="Partial factor of masonry (EN 1996-1-1 2.4.3)"
    )
    k: float | None = Field(
        None, ge=0.2, le=1, description="K of the strength formula (EN 1996-1-1 table 3.3)"
    )
    initial_shear: Stress = Field(
        0.2e6, ge=0, le=0.5e6, description="Initial shear strength fvk0 (EN 1996-1-1 table 3.4)"
    )
    stiffness: float = Field(1000.0, ge=200, le=1500, description="E over fk (EN 1996-1-1 3.7.2)")
    creep: float = Field(
        1.0, ge=0, le=4, description="Final creep coefficient (EN 1996-1-1 table 3.8)"
    )
    slenderness_most: float = Field(
        27.0, ge=5, le=30, description="Greatest slenderness (EN 1996-1-1 5.5.1.4)"
    )
    steel: float = Field(1.0, ge=1, le=1.3, description="gamma M0 (EN 1993-1-1 6.1)")
    steel_net: float = Field(1.25, ge=1, le=1.5, description="gamma M2 (EN 1993-1-1 6.1)")


class WallMasonry(Table):
    """Strength of a wall's masonry: stated, or from its units and mortar."""

    strength: Stress | None = Field(
        None, ge=0.1e6, le=40e6, description="Characteristic strength fk, when it is known (N/mm2)"
    )
    unit: Stress | None = Field(
        None, ge=0.5e6, le=75e6, description="Normalised strength of the units fb (N/mm2)"
    )
    mortar: Stress | None = Field(
        None, ge=0.2e6, le=30e6, description="Strength of the mortar fm (N/mm2)"
    )
    group: Literal["clay 1", "clay 2", "clay 3", "natural stone"] = Field(
        "clay 1", description="Kind of unit (EN 1996-1-1 table 3.1)"
    )
    head: Literal["free", "held"] = Field(
        "free", description="Is the wall's head free to move out, or held by a floor or tie"
    )


class Uncertainty(Table):
    """How far the real vault may be from the stated one (one standard deviation each)."""

    thickness: Share = Field(0.05, description="Thickness of the shell, share of it")
    shape: Length = Field(0.005, ge=0, lt=0.1, description="Error of the curve, square to it")
    density: Share = Field(0.05, description="Densities, share of them")
    imposed: Share = Field(0.10, description="Imposed load, share of it")
    strength: Share = Field(0.20, description="Crushing strength, share of it")
    spread: Length = Field(0.003, ge=0, lt=0.1, description="Spread of the springings")
    samples: int = Field(500, ge=20, le=20000, description="Samples drawn")
    seed: int = Field(1, ge=0, le=2**31 - 1, description="Random seed: same seed, same answer")
