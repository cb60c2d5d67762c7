"""How the vault of a job was chosen: the options that were planned, as they stood on that day."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, get_args

from pydantic import Field

from timbrel.job.table import DEAREST, Table
from timbrel.job.units import Force, Length, LineLoad

Care = Literal["safety", "thrust", "walls", "headroom", "tiles", "cuts", "days", "price"]
CARES: tuple[Care, ...] = get_args(Care)
Count = Annotated[int, Field(ge=0, le=10_000_000)]


class Considered(Table):
    """An option that was planned and compared: its figures of that day."""

    title: str = Field(min_length=1, max_length=120, description="What the option is")
    taken: bool = Field(False, description="Is it the one that was taken")
    verdict: Literal["holds", "fails", "not judged"] = Field(description="Worst verdict")
    load_factor: float | None = Field(None, ge=0, description="Least load factor")
    more: bool = Field(False, description="Does it carry more than that, not followed further")
    wall_least: LineLoad | None = Field(None, description="Least thrust on a wall (kN/m)")
    wall_greatest: LineLoad | None = Field(None, description="Greatest thrust on a wall (kN/m)")
    corner_least: Force | None = Field(None, description="Least thrust on a corner (kN)")
    corner_greatest: Force | None = Field(None, description="Greatest thrust on a corner (kN)")
    walls: str = Field("", max_length=400, description="What the walls need")
    headroom: Length = Field(description="Headroom at the crown")
    rise: Length = Field(description="Rise")
    thickness: Length = Field(description="Thickness of the shell")
    layers: int = Field(ge=1, le=6, description="How many layers")
    tiles: Count = Field(description="Tiles to order")
    cuts: Count = Field(description="Pieces to cut")
    days: float = Field(ge=0, description="Days of the crew")
    calendar: Count = Field(description="Days on the calendar")
    price: float = Field(ge=0, le=DEAREST, description="Likely price")


class Choice(Table):
    """What was chosen over what, and why; written when an option is taken."""

    day: date | None = Field(None, description="Day on which it was chosen")
    care: Care = Field("safety", description="What the options were sorted by")
    why: str = Field("", max_length=400, description="Why this one, in the client's words")
    currency: str = Field("EUR", min_length=1, max_length=6, description="Currency of the prices")
    options: tuple[Considered, ...] = Field(
        (), max_length=5, description="Options that were planned and compared"
    )
