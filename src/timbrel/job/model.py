"""What the mason states. One pydantic model a table of the job file.

Every field has a description in a mason's words (shown on the page and in the commented job),
a unit by its type and an allowed range. What has a sensible default has one; the plan reports
each default that was used.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from timbrel.job.choice import Choice
from timbrel.job.openings import Hook, VaultOpening
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
    Ties,
    Uncertainty,
    WallMasonry,
)
from timbrel.job.table import Table
from timbrel.job.units import (
    Celsius,
    Density,
    Force,
    Hours,
    Length,
    LineLoad,
    Mass,
    Minutes,
    Pressure,
    Seconds,
    Stress,
    UnitWeight,
    Volume,
)

FORMAT = 1
Share = Annotated[float, Field(ge=0.0, le=1.0)]
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


class JointRange(Table):
    """Width of the joints in a layer."""

    least: Length = Field(0.006, ge=0.002, le=0.030, description="Least joint")
    best: Length = Field(0.010, ge=0.002, le=0.030, description="Joint aimed at")
    most: Length = Field(0.015, ge=0.002, le=0.040, description="Greatest joint")


class Tile(Table):
    """One kind of tile, as delivered."""

    length: Length = Field(ge=0.08, le=0.80, description="Length")
    width: Length = Field(ge=0.05, le=0.60, description="Width")
    thickness: Length = Field(ge=0.008, le=0.080, description="Thickness")
    density: Density = Field(1800.0, ge=800, le=2600, description="Density")
    strength: Stress | None = Field(
        None, ge=1e6, le=150e6, description="Compressive strength of the tile (N/mm2)"
    )
    per_pallet: int = Field(500, ge=1, le=5000, description="Tiles on a pallet")
    price: float | None = Field(None, ge=0, le=100, description="Price of one tile")
    breakage: Share = Field(0.05, description="Share lost by breakage")
    bow_most: Length = Field(
        0.003, gt=0, le=0.02, description="Greatest bow accepted, straight edge along the tile"
    )
    absorption: Share = Field(0.12, description="Water drunk in soaking, share of the mass")


class SetTimes(Table):
    """Start of set of a fast binder at several temperatures, from its maker or your own pats."""

    degrees_c: tuple[Annotated[Celsius, Field(ge=-10, le=50)], ...] = Field(
        min_length=2, description="Temperatures, rising (degrees C)"
    )
    minutes: tuple[Annotated[Minutes, Field(ge=0, le=86400)], ...] = Field(
        min_length=2, description="Start of set at each, falling (minutes)"
    )


class BondTests(Table):
    """Bond of the binder to your tiles at three ages or more, by its own tests.

    Without them the stages of building are not judged.
    """

    ages_h: tuple[Annotated[Hours, Field(gt=0, le=365 * 86400)], ...] = Field(
        min_length=3, description="Ages of the tests, rising (hours)"
    )
    strengths: tuple[Annotated[Stress, Field(ge=0, le=5e6)], ...] = Field(
        min_length=3, description="Bond in tension at those ages (N/mm2)"
    )
    at_c: Celsius = Field(20.0, ge=0, le=40, description="Temperature of the tests (C)")
    activation_kj_mol: float = Field(
        40.0, ge=10, le=90, description="Activation energy for the equivalent age (kJ/mol)"
    )
    origin: str = Field(min_length=1, max_length=200, description="Who tested, when, on what")


class Binder(Table):
    """A fast binder (batches) or a mortar (beds)."""

    kind: Literal["natural quick cement", "gypsum", "mortar"] = Field(description="Kind of binder")
    density: Density = Field(1900.0, ge=500, le=2600, description="Density when hardened")
    powder_per_litre: Mass = Field(
        1.2, gt=0, le=3, description="Fast binder: powder (kg) for one litre of paste"
    )
    dry_density: Density = Field(
        1000.0, ge=400, le=2000, description="Fast binder: density of the loose powder (kg/m3)"
    )
    water_per_kg: float = Field(0.45, gt=0, le=2, description="Litres of water a kg of powder")
    bag: Mass = Field(25.0, gt=0, le=1500, description="Mass of a bag (kg)")
    price_bag: float | None = Field(None, ge=0, description="Price of a bag")
    set: SetTimes | None = Field(None, description="Start of set against temperature")
    set_retarded: SetTimes | None = Field(None, description="Start of set with the retarder")
    retarder_g_per_litre: float = Field(
        0.0, ge=0, le=50, description="Retarder (g) for one litre of dry binder, when used"
    )
    use_retarder: bool = Field(False, description="Is the retarder used")
    batch_most: Volume = Field(0.004, gt=0, le=0.1, description="Largest batch (litres)")
    waste: Share = Field(0.15, description="Share that sets in the box and is thrown away")
    cement_parts: float = Field(1.0, ge=0, le=20, description="Mortar: parts of cement by volume")
    lime_parts: float = Field(0.0, ge=0, le=20, description="Mortar: parts of lime by volume")
    sand_parts: float = Field(1.0, ge=0, le=20, description="Mortar: parts of sand by volume")
    dry_to_wet: float = Field(
        1.33, ge=1, le=2, description="Mortar: loose dry volume for one volume of fresh mortar"
    )
    order_allowance: Share | None = Field(
        None, description="Bought over the net need; 1.0 (double) for fast binder, 0.25 for mortar"
    )
    outdoors: bool = Field(True, description="May it be used outdoors or in the damp")
    shelf_life_days: int = Field(90, ge=1, le=1000, description="Days that a closed bag keeps")
    bond: BondTests | None = Field(None, description="Bond against age, by the binder's own tests")


class Layer(Table):
    """One layer of the shell, from the seen one upward."""

    tile: str = Field(description="Which tile, by its name in [tiles]")
    direction: Literal["along axis", "along arc", "diagonal"] = Field(
        "along axis", description="How the long side of the tiles lies"
    )
    stagger: Literal["half", "none"] = Field(
        "half", description="Are neighbouring courses shifted by half a tile"
    )
    joint: JointRange = Field(default_factory=JointRange, description="Joint range")
    bed: Length = Field(0.010, ge=0.003, le=0.030, description="Mortar bed under this layer")
    binder: str = Field(description="Binder of the joints, by its name in [binders]")
    bed_binder: str | None = Field(
        None, description="Binder of the bed under this layer; the same as the joints if left out"
    )
    least_closer: Share | None = Field(
        None, description="Least closer as a share of a tile; 0.5 in the seen layer, 0.33 above"
    )


class Wall(Table):
    """A wall that takes thrust (left, right) or closes an end (near, far)."""

    thickness: Length | None = Field(None, gt=0.05, lt=5, description="Thickness of the wall")
    height: Length | None = Field(
        None, gt=0.1, lt=20, description="Height from its base to the springing"
    )
    above: Length = Field(0.0, ge=0, lt=20, description="Height of wall over the springing")
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
    leaves: tuple[Leaf, ...] = Field((), description="Leaves, inside to outside; none = one leaf")
    openings: tuple[Opening, ...] = Field((), description="Doors and windows")
    pier: Length | None = Field(
        None,
        gt=0.1,
        lt=5,
        description="Side of the square piers at its two corners; none = no piers",
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

    use: Literal["floor", "stairs", "roof", "none"] = Field("floor", description="Use above")
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


class Site(Table):
    """The day and the place of the work."""

    temperature_c: Celsius = Field(20.0, ge=-20, le=50, description="Temperature of the day (C)")
    indoors: bool = Field(True, description="Is the work indoors")
    damp: bool = Field(False, description="Is the place damp")
    offsets_step: Length = Field(0.20, ge=0.02, le=2, description="Step of the offsets table")
    springing_step: Length = Field(
        0.50, ge=0.05, le=5, description="Step of the levels struck along the springing walls"
    )
    lagging: Length = Field(0.020, ge=0, le=0.1, description="Thickness of the lagging boards")
    rib_spacing: Length = Field(0.40, ge=0.1, le=2, description="Distance between the two ribs")
    rib_depth: Length = Field(0.12, ge=0.04, le=0.5, description="Depth of a rib at the crown")
    wedge_taper: float = Field(8.0, ge=3, le=20, description="Folding wedges, 1 in this")
    wedge_length: Length = Field(0.30, ge=0.1, le=1, description="Length of a wedge")
    easing: Length = Field(0.010, ge=0.001, le=0.1, description="Drop of the centring to free it")
    mixing: Seconds = Field(45.0, ge=5, le=600, description="Time to mix a batch (s)")
    lay_tile: Seconds = Field(40.0, ge=5, le=600, description="Time to lay one tile (s)")
    hours_per_day: float = Field(8.0, ge=1, le=14, description="Working hours a day")
    camber: Length | None = Field(
        None, ge=0, le=0.1, description="Camber of the ribs; 5 mm or span/500 if left out"
    )
    clear_least: Length = Field(
        0.003, ge=0.001, le=0.02, description="Gap wanted between tiles and the eased centring"
    )
    board_width: Length = Field(0.20, ge=0.08, le=0.6, description="Width of the boards for ribs")
    board_thickness: Length = Field(0.025, ge=0.01, le=0.08, description="Their thickness")
    rib_plies: int = Field(2, ge=1, le=4, description="Boards nailed face to face in a rib")
    timber_density: Density = Field(500.0, ge=300, le=1000, description="Density of the timber")
    carry_most: Mass = Field(25.0, ge=5, le=50, description="Most that one person carries (kg)")
    way_in: Length | None = Field(
        None, gt=0.3, le=10, description="Narrowest way in for the centring; none = not judged"
    )
    wait_later_layer: Hours = Field(
        12 * 3600.0, ge=0, le=90 * 86400, description="Wait before the next layer (hours)"
    )
    wait_fill: Hours = Field(
        7 * 86400.0, ge=0, le=90 * 86400, description="Wait before fill or floor (hours)"
    )
    wait_load: Hours = Field(
        28 * 86400.0, ge=0, le=180 * 86400, description="Wait before use or a load test (hours)"
    )
    sheet: Literal["A3", "A4"] = Field("A3", description="Paper of the pack")
    template_sheet: Literal["A3", "A4"] = Field("A3", description="Paper of the 1:1 template")


class Crew(Table):
    """Who works, and how fast (per mason with a helper)."""

    masons: int = Field(1, ge=1, le=20, description="Masons who lay")
    helpers: int = Field(1, ge=0, le=40, description="Helpers")
    apprentices: int = Field(0, ge=0, le=20, description="Apprentices, at 0.4 of a mason's rate")
    first_layer_tiles_hour: float = Field(25.0, ge=1, le=200, description="First layer, tiles/hour")
    later_layer_tiles_hour: float = Field(
        50.0, ge=1, le=400, description="Later layers, tiles/hour"
    )
    move_minutes: Minutes = Field(
        15 * 60.0, ge=0, le=8 * 3600, description="A move of the centring"
    )
    apprentice_share: Share = Field(0.4, description="An apprentice's rate, share of a mason's")
    double_curved_share: Share = Field(
        0.55, description="Rate on sails and domes, share of that on a barrel"
    )
    setting_out_hours: float = Field(4.0, ge=0, le=200, description="Setting out, crew hours")
    centring_hours: float = Field(8.0, ge=0, le=400, description="Making the centring, crew hours")
    fill_m3_hour: float = Field(0.5, gt=0, le=20, description="Fill placed, m3 an hour and person")
    backing_m3_hour: float = Field(
        0.2, gt=0, le=5, description="Backing of the haunches laid, m3 an hour and mason"
    )


class Building(Table):
    """What lies and leans on the work while it is built, and how much of the bond may be used."""

    ratio_most: Share = Field(
        0.5, description="Greatest share of the young bond that a stage may ask for"
    )
    modulus: Stress = Field(
        4.0e9, ge=5e7, le=2e10, description="Stiffness of the young shell (N/mm2)"
    )
    spread: Length = Field(
        0.001, ge=0, le=0.02, description="Spread of the springings to be borne while building"
    )
    buckling_least: float = Field(
        3.0, ge=1, le=10, description="Least factor against buckling of the single layer"
    )
    hand: Force = Field(0.15e3, ge=0, le=2e3, description="A hand that leans (kN)")
    kneeling: Force = Field(0.80e3, ge=0, le=2e3, description="A person who kneels (kN)")
    bucket: Force = Field(0.25e3, ge=0, le=2e3, description="A full bucket set down (kN)")
    stack: int = Field(6, ge=0, le=50, description="Tiles set down in one stack on the shell")
    load_width: Length = Field(
        0.60, ge=0.1, le=3, description="Width along the axis that shares a load set down"
    )
    steps: int = Field(10, ge=4, le=40, description="Steps in which a later layer is followed")
    lift: Length = Field(0.20, ge=0.05, le=1, description="Height of one lift of fill")
    middle_ribs: bool = Field(
        False,
        description="A rib stands under the middle of each web of a groin, cloister or sail too",
    )
    hold_trial: Seconds | None = Field(
        None, ge=1, le=3600, description="Time a trial tile was held before it stayed by itself (s)"
    )
    hold_most: Seconds = Field(
        60.0, ge=5, le=600, description="Longest time that a tile is held by hand"
    )


class Prices(Table):
    """Prices for the quote; what has none is left out of the sum, and said so."""

    currency: str = Field("EUR", min_length=1, max_length=6, description="Currency")
    mason_hour: float | None = Field(None, ge=0, description="Mason, an hour")
    helper_hour: float | None = Field(None, ge=0, description="Helper, an hour")
    apprentice_hour: float | None = Field(None, ge=0, description="Apprentice, an hour")
    sand_m3: float | None = Field(None, ge=0, description="Sand, a cubic metre")
    timber_m3: float | None = Field(None, ge=0, description="Timber, a cubic metre")
    fill_m3: float | None = Field(None, ge=0, description="Fill, a cubic metre")
    backing_m3: float | None = Field(
        None, ge=0, description="Bricks and mortar of the backing, a cubic metre"
    )
    cement_bag: float | None = Field(None, ge=0, description="Cement, a bag of 25 kg")
    lime_bag: float | None = Field(None, ge=0, description="Lime, a bag of 25 kg")
    retarder_kg: float | None = Field(None, ge=0, description="Retarder, a kilogram")
    masonry_m3: float | None = Field(None, ge=0, description="Walling, a cubic metre laid")
    steel_kg: float | None = Field(None, ge=0, description="Ties and plates, a kilogram fixed")
    overhead: Share = Field(0.10, description="Overhead, share of the cost")
    contingency_low: Share = Field(0.10, description="Contingency of the low figure")
    contingency: Share = Field(0.12, description="Contingency, share of the cost")
    contingency_high: Share = Field(0.15, description="Contingency of the high figure")
    quick: float = Field(1.2, ge=1, le=3, description="Low figure: the crew works so much faster")
    slow: float = Field(0.8, gt=0.1, le=1, description="High figure: it works at this share")
    tax: Share = Field(0.0, description="Tax, share of the price")
    exclusions: tuple[Annotated[str, Field(max_length=200)], ...] = Field(
        (), max_length=40, description="What the quote leaves out, a line each"
    )
    terms: str = Field("", max_length=400, description="Terms of payment, on the quote")
    valid_days: int = Field(30, ge=1, le=365, description="Days for which the quote holds")


class Ordering(Table):
    """How materials are bought and brought in."""

    sand_allowance: Share = Field(0.10, description="Sand bought over the need")
    timber_allowance: Share = Field(0.10, description="Timber bought over the need")
    fill_allowance: Share = Field(0.10, description="Fill bought over the need")
    bags_per_pallet: int = Field(40, ge=1, le=200, description="Bags on a pallet")
    hoist_most: Mass = Field(150.0, ge=10, le=5000, description="Most in one lift (kg)")
    floor_most: Pressure | None = Field(
        None, ge=0.5e3, le=50e3, description="What the floor under the stacks carries (kN/m2)"
    )
    scaffold_most: Pressure = Field(
        2.0e3, ge=0.5e3, le=10e3, description="What the scaffold carries (kN/m2)"
    )
    sand_bag: Mass = Field(25.0, ge=10, le=2000, description="Sand in one bag or big bag (kg)")


class Seat(Table):
    """How the springings sit in, on or against the walls."""

    kind: Literal["chase", "corbel", "ledger"] | None = Field(
        None, description="Kind of seat; a chase, or a corbel where the curve is steep, if left out"
    )
    depth: Length = Field(
        0.050, ge=0.01, le=0.5, description="How far the shell runs into the wall, along the curve"
    )
    clearance: Length = Field(0.010, ge=0, le=0.05, description="Mortar round the shell")
    bay: Length = Field(0.50, ge=0.1, le=3, description="Length of wall cut at a time")
    turns: int = Field(3, ge=2, le=6, description="Turns in which the bays are cut, one in so many")
    bearing: Stress | None = Field(
        None, ge=0.05e6, le=20e6, description="Design bearing strength of the wall (N/mm2)"
    )


class LoadTest(Table):
    """A test with bags before the vault is used."""

    share: float = Field(1.0, gt=0, le=2, description="Test load over the imposed load")
    steps: int = Field(4, ge=2, le=10, description="Equal steps")
    bag: Mass = Field(25.0, ge=5, le=50, description="Mass of a bag (kg)")
    wait_step: Hours = Field(3600.0, ge=600, le=172800, description="Wait after a step (hours)")
    wait_full: Hours = Field(
        24 * 3600.0, ge=3600, le=30 * 86400, description="Wait under the full load (hours)"
    )
    recovery: Share = Field(0.75, description="Least share of the movement that must come back")
    drop_most: Length = Field(
        0.003, gt=0, le=0.05, description="Drop of the crown at which the test stops"
    )


class Practice(Table):
    """The practice arch that is derived from the job."""

    span: Length = Field(1.0, ge=0.5, le=2.5, description="Span aimed at")
    arches: int = Field(3, ge=1, le=10, description="Arches to lay, one tile long each")


class Delivery(Table):
    """Tiles as they came: twenty measured ones, from several pallets."""

    tile: str = Field(description="Which tile, by its name in [tiles]")
    measured: tuple[tuple[Length, Length, Length, Length], ...] = Field(
        (), max_length=1000, description="Length, width, thickness and bow of each"
    )
    use: bool = Field(True, description="Is the vault planned with what came")


class Job(Table):
    """A whole job file."""

    format: Literal[1] = Field(description="Version of this file's format")
    job: Title
    room: Room
    levels: LevelBudget = Field(default_factory=LevelBudget)
    curve: Curve
    tiles: dict[str, Tile] = Field(min_length=1)
    binders: dict[str, Binder] = Field(min_length=1)
    layers: tuple[Layer, ...] = Field(min_length=1, max_length=6)
    masonry: Masonry = Field(default_factory=Masonry)
    walls: Walls = Field(default_factory=Walls)
    loads: Loads = Field(default_factory=Loads)
    site: Site = Field(default_factory=Site)
    crew: Crew = Field(default_factory=Crew)
    building: Building = Field(default_factory=Building)
    prices: Prices = Field(default_factory=Prices)
    ordering: Ordering = Field(default_factory=Ordering)
    uncertainty: Uncertainty = Field(default_factory=Uncertainty)
    seat: Seat = Field(default_factory=Seat)
    load_test: LoadTest = Field(default_factory=LoadTest)
    practice: Practice = Field(default_factory=Practice)
    deliveries: tuple[Delivery, ...] = ()
    openings: tuple[VaultOpening, ...] = Field(
        (), description="Skylights, hatches and flues with a trimmed ring"
    )
    hooks: tuple[Hook, ...] = Field((), description="Hooks that hang a load under the vault")
    choice: Choice | None = Field(None, description="How this vault was chosen among options")
