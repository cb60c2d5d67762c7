"""The work: site, crew, building, prices, orders, seats, tests, practice, deliveries."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from timbrel.job.table import DEAREST, Share, Table
from timbrel.job.units import (
    Celsius,
    Density,
    Force,
    Hours,
    Length,
    Mass,
    Minutes,
    Pressure,
    Seconds,
    Stress,
)


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
    days_per_week: int = Field(5, ge=1, le=7, description="Working days a week, from Monday")
    start: date | None = Field(None, description="First morning of the work (2026-11-30)")
    off: tuple[date, ...] = Field(
        (), max_length=100, description="Dates on which nobody works, feasts and others"
    )
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
    mason_hour: float | None = Field(None, ge=0, le=DEAREST, description="Mason, an hour")
    helper_hour: float | None = Field(None, ge=0, le=DEAREST, description="Helper, an hour")
    apprentice_hour: float | None = Field(None, ge=0, le=DEAREST, description="Apprentice, an hour")
    sand_m3: float | None = Field(None, ge=0, le=DEAREST, description="Sand, a cubic metre")
    timber_m3: float | None = Field(None, ge=0, le=DEAREST, description="Timber, a cubic metre")
    fill_m3: float | None = Field(None, ge=0, le=DEAREST, description="Fill, a cubic metre")
    backing_m3: float | None = Field(
        None, ge=0, le=DEAREST, description="Bricks and mortar of the backing, a cubic metre"
    )
    cement_bag: float | None = Field(None, ge=0, le=DEAREST, description="Cement, a bag of 25 kg")
    lime_bag: float | None = Field(None, ge=0, le=DEAREST, description="Lime, a bag of 25 kg")
    retarder_kg: float | None = Field(None, ge=0, le=DEAREST, description="Retarder, a kilogram")
    masonry_m3: float | None = Field(
        None, ge=0, le=DEAREST, description="Walling, a cubic metre laid"
    )
    steel_kg: float | None = Field(
        None, ge=0, le=DEAREST, description="Ties and plates, a kilogram fixed"
    )
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
    springer: Length | None = Field(
        None,
        ge=0.05,
        le=2,
        description="How far along both walls a corner is solid; left out: by shell and tile",
    )
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
