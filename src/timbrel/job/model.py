"""What the mason states: the whole job file. One pydantic model a table of it.

Every field has a description in a mason's words (shown on the page and in the commented job),
a unit by its type and an allowed range. What has a sensible default has one; the plan reports
each default that was used.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from timbrel.job.carried import Factors, Fill, Loads, Masonry, Wall, Walls
from timbrel.job.choice import Choice
from timbrel.job.materials import Binder, BondTests, JointRange, Layer, SetTimes, Tile
from timbrel.job.measured import (
    Curve,
    EndKind,
    FurtherMeasure,
    LevelBudget,
    Levels4,
    Room,
    Title,
    WallOffsets,
)
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
from timbrel.job.table import Share, Table
from timbrel.job.works import (
    Building,
    Crew,
    Delivery,
    LoadTest,
    Ordering,
    Practice,
    Prices,
    Seat,
    Site,
)

FORMAT = 1

__all__ = [
    "FORMAT",
    "Backing",
    "Binder",
    "BondTests",
    "Building",
    "Buttress",
    "Choice",
    "Crew",
    "Curve",
    "Delivery",
    "EndKind",
    "Factors",
    "Fill",
    "FurtherMeasure",
    "Ground",
    "Hook",
    "Job",
    "JointRange",
    "Layer",
    "Leaf",
    "LevelBudget",
    "Levels4",
    "Lift",
    "LineAction",
    "LoadTest",
    "Loads",
    "Masonry",
    "NationalChoices",
    "Opening",
    "Ordering",
    "PatchAction",
    "PointAction",
    "Practice",
    "Prices",
    "Room",
    "Seat",
    "SetTimes",
    "Share",
    "Site",
    "Ties",
    "Tile",
    "Title",
    "Uncertainty",
    "VaultOpening",
    "Wall",
    "WallMasonry",
    "WallOffsets",
    "Walls",
]


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
