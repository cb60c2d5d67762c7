"""What was measured and what must fit: the room, its levels, the curve over it."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from timbrel.job.table import Table
from timbrel.job.units import Length, LineLoad

EndKind = Literal["wall", "free", "carrying wall", "closing wall"]


class Title(Table):
    """What the job is called and who is in it."""

    title: str = Field(min_length=1, max_length=120, description="Name of the job, on every sheet")
    place: str = Field("", max_length=120, description="Where it is")
    client: str = Field("", max_length=120, description="Who it is built for")
    mason: str = Field("", max_length=120, description="Master who answers for the work")
    engineer: str = Field("", max_length=120, description="Engineer who signs the design")
    call: str = Field("", max_length=120, description="Who to call when something moves")
    number: str = Field("", max_length=40, description="Your number for the job")
    revision: str = Field("A", max_length=8, description="Revision, on every sheet")
    day: date | None = Field(None, description="Date on the sheets (2026-11-25)")
    language: Literal["en", "es", "ca", "fr"] = Field("en", description="Language of the papers")
    length_unit: Literal["mm", "cm", "m", "ft"] = Field("mm", description="Unit spoken for lengths")


class Levels4(Table):
    """Springing levels at the four corners, above the site's datum."""

    A: Length = Field(gt=-20, lt=100, description="Springing level at corner A above the datum")
    B: Length = Field(gt=-20, lt=100, description="Springing level at corner B above the datum")
    C: Length = Field(gt=-20, lt=100, description="Springing level at corner C above the datum")
    D: Length = Field(gt=-20, lt=100, description="Springing level at corner D above the datum")


class FurtherMeasure(Table):
    """One more measure that checks the figure.

    From a point on one side to a point on another (a second cross-measure): `start` and `end` name
    the side and the distance along it from its first corner, such as "AB 2000".
    """

    start: str = Field(description='Where the tape starts: a corner "A", or "AB 2000" (mm from A)')
    end: str = Field(description='Where the tape ends: a corner "C", or "CD 1500"')
    length: Length = Field(gt=0.1, lt=100, description="What the tape reads")


class WallOffsets(Table):
    """Distances from a line stretched corner to corner to the wall, at equal steps.

    Positive into the room. They show a wall that bulges or hollows.
    """

    side: Literal["AB", "BC", "CD", "DA"] = Field(description="Which wall")
    step: Length = Field(1.0, gt=0.05, lt=10, description="Distance between readings")
    offsets: tuple[Annotated[Length, Field(ge=-0.5, le=0.5)], ...] = Field(
        min_length=1, description="Readings from the first corner"
    )


class Room(Table):
    """The springing line as measured: corners A, B, C, D going round.

    AB is the near end, BC the right springing wall, CD the far end, DA the left springing wall.
    The vault spans from DA to BC; its axis runs from AB to CD. Tapes are held level: lengths are
    plan lengths, and the levels are read apart.
    """

    AB: Length = Field(gt=0.3, lt=30, description="Near end, A to B (the span there)")
    BC: Length = Field(gt=0.3, lt=60, description="Right springing wall, B to C")
    CD: Length = Field(gt=0.3, lt=30, description="Far end, C to D (the span there)")
    DA: Length = Field(gt=0.3, lt=60, description="Left springing wall, D to A")
    AC: Length = Field(gt=0.3, lt=70, description="Diagonal A to C")
    BD: Length = Field(gt=0.3, lt=70, description="Diagonal B to D")
    levels: Levels4
    further: tuple[FurtherMeasure, ...] = Field((), description="Further measures that check")
    wall_offsets: tuple[WallOffsets, ...] = Field((), description="Wall offsets from a line")
    warn: Length = Field(
        0.010, gt=0, lt=0.2, description="Misclosure of a diagonal that is warned of"
    )
    refuse: Length = Field(
        0.025, gt=0, lt=0.5, description="Misclosure of a diagonal that is refused"
    )
    bulge_most: Length = Field(
        0.020, ge=0, lt=0.3, description="Greatest bulge or hollow that the wall joint takes up"
    )
    near_end: EndKind = Field(
        "wall", description="Near end: a wall, a free edge, a wall that carries or only closes"
    )
    far_end: EndKind = Field(
        "wall", description="Far end: a wall, a free edge, a wall that carries or only closes"
    )


class LevelBudget(Table):
    """Heights that must fit, all above the same datum."""

    floor_below: Length = Field(0.0, gt=-20, lt=100, description="Finished floor below the vault")
    headroom_springing: Length = Field(
        1.9, ge=0, lt=20, description="Clear height wanted under the springing"
    )
    headroom_crown: Length = Field(2.2, ge=0, lt=30, description="Clear height wanted at the crown")
    crown_cover: Length = Field(0.040, ge=0, lt=2, description="Fill over the crown, least")
    finish: Length = Field(0.030, ge=0, lt=1, description="Floor finish or roof over the fill")
    top: Length | None = Field(
        None, gt=-20, lt=120, description="Level that the finish must not exceed; none = free"
    )


class Curve(Table):
    """The line that the vault follows."""

    family: Literal["barrel", "flight", "groin", "cloister", "sail", "dome"] = Field(
        "barrel", description="Kind of vault"
    )
    directrix: Literal["segment", "semicircle", "catenary", "parabola", "three-centre", "pointed"]
    line: Literal["intrados", "axis", "extrados"] = Field(
        "intrados", description="Which line of the shell stands on the measured springing points"
    )
    rise: Length | None = Field(
        None, gt=0, lt=20, description="Rise at the near end, square to the springing chord"
    )
    keep: Literal["rise", "rise over span", "crown level"] = Field(
        "rise", description="What stays the same along the axis when the spans differ"
    )
    haunch_radius: Length | None = Field(
        None, gt=0.05, lt=20, description="Three-centre: radius at the haunches"
    )
    sail: Literal["spherical", "translation"] = Field(
        "spherical",
        description="Sail: part of a sphere, or the near arch carried along the arch of the sides",
    )
    cross_rise: Length | None = Field(
        None,
        gt=0,
        lt=20,
        description="Translation sail: rise of the arches over BC and DA; in ratio if left out",
    )
    stands: Literal["walls", "corners"] | None = Field(
        None,
        description="Sail: on walls under its edges (if left out), or on its four corners alone, its "
        "edges open arches",
    )
    diameter: Length | None = Field(
        None,
        gt=0.5,
        lt=30,
        description="Dome: diameter at the springing; the largest that fits if left out",
    )
    oculus: Length = Field(
        0.0, ge=0, lt=10, description="Dome: diameter of the opening at the top; 0 for none"
    )
    oculus_load: LineLoad = Field(
        0.0, ge=0, le=50e3, description="Dome: kerb, cap and glass on the rim of its oculus (kN/m)"
    )
    soffit: Literal["seen", "plastered"] = Field(
        "seen", description="Are the tiles of the first layer seen from the room, or plastered"
    )

    @property
    def on_corners(self) -> bool:
        """Does the vault stand on the four corners of its plan alone: a groin, and a sail that is
        stated so."""
        return self.family == "groin" or (self.family == "sail" and self.stands == "corners")
