"""Fields of the job, generated from its model: what is asked, in which unit, within which range.

A field shows what the job's text states; what is left out shows the usual value beside an empty
box, and emptying a box goes back to the usual. Nothing here knows a field by name except where one
field chooses among the names of another table.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from timbrel.job import units
from timbrel.job.fields import Path, Place, field_place, key_of
from timbrel.job.model import Job
from timbrel.words import LengthUnit, Message, feet_and_inches, say

NAMED_IN = {"tile": "tiles", "binder": "binders", "bed_binder": "binders", "sleeper_tile": "tiles"}
"""Fields that choose among the names of another table."""


@dataclass(frozen=True)
class Entry:
    """One box of the form.

    kind: quantity, number, integer, text, choice, yes, day, list, picks or rows (a list of
    lists). text: what stands in the box; usual: what holds when the box is empty (None when
    something must be stated). plain_unit: of a bare number in the job's text.
    """

    path: Path
    label: str
    kind: str
    unit: str
    text: str
    usual: str | None
    low: str
    high: str
    choices: tuple[str, ...]
    plain_unit: str

    @property
    def key(self) -> str:
        """The path as it is sent and as sentences name it."""
        return key_of(self.path)


@dataclass(frozen=True)
class Group:
    """A table of the job with its boxes and the tables inside it.

    rows: "list" or "names" when rows can be added to it; "maybe" when the whole table is left out,
    and comes in once its boxes stand together.
    """

    path: Path
    label: str
    entries: tuple[Entry, ...]
    groups: tuple[Group, ...]
    rows: str = ""
    removable: bool = False

    @property
    def key(self) -> str:
        """The path as it is sent and as sentences name it."""
        return key_of(self.path)


@lru_cache(maxsize=32)
def form_of(text: str, length_unit: LengthUnit = "mm") -> tuple[Group, ...]:
    """The form for a job's text. Raises ValueError when the text is no TOML."""
    return form(tomllib.loads(text), length_unit)


def form(stated: dict[str, Any], length_unit: LengthUnit = "mm") -> tuple[Group, ...]:
    """The whole form for what a job's text states (as read from TOML), one group a table."""
    walker = _Walker(stated, length_unit)
    return tuple(
        walker.group((name,), info, stated.get(name))
        for name, info in Job.model_fields.items()
        if name != "format"
    )


def every(groups: tuple[Group, ...]) -> tuple[Group, ...]:
    """Groups and all those inside them."""
    return tuple(found for group in groups for found in (group, *every(group.groups)))


def section_title(*path: str | int) -> Message:
    """What a table of the job is called on the page, by its path; a row has the name of its list."""
    names = [part for part in path if isinstance(part, str)]
    name, within = names[-1], names[-2] if len(names) > 1 else ""
    if (within, name) == ("room", "levels"):
        return say("Levels of the springings at the corners")
    if names[0] == "walls" and name in ("masonry", "openings"):
        walling = say("What the wall is built of")
        return walling if name == "masonry" else say("Doors and windows in the wall")
    return {
        "job": say("The job"),
        "room": say("The room as measured"),
        "levels": say("Heights that must fit"),
        "curve": say("The curve"),
        "tiles": say("Tiles"),
        "binders": say("Binders and mortars"),
        "layers": say("Layers, the seen one first"),
        "masonry": say("The shell as masonry"),
        "walls": say("Walls that take the thrust"),
        "loads": say("What it carries"),
        "site": say("The site and the centring"),
        "crew": say("The crew"),
        "prices": say("Prices"),
        "left": say("Left wall, DA"),
        "right": say("Right wall, BC"),
        "fill": say("Fill on the haunches"),
        "factors": say("Factors (national choices)"),
        "joint": say("Joint range"),
        "further": say("Further measures"),
        "wall_offsets": say("Offsets of a wall from a line"),
        "set": say("Set times"),
        "set_retarded": say("Set times with the retarder"),
        "bond": say("Bond tests"),
        "near": say("Wall at the near end, AB"),
        "far": say("Wall at the far end, CD"),
        "leaves": say("Leaves of the wall"),
        "setoffs": say("Set-offs of the wall"),
        "openings": say("Openings"),
        "trimmer": say("Ring that trims the opening"),
        "hooks": say("Hooks below the vault"),
        "buttress": say("Buttresses"),
        "steps": say("Steps of the buttress"),
        "ground": say("Ground and footing"),
        "ties": say("Ties at the springing"),
        "anchor": say("Anchor plate"),
        "lifts": say("Lifts of fill"),
        "backing": say("Masonry that backs the haunches"),
        "lines": say("Loads along a line"),
        "points": say("Loads on one spot"),
        "patches": say("Loads over a rectangle"),
        "national": say("Figures of the national annex"),
        "building": say("While it is built"),
        "ordering": say("Ordering"),
        "uncertainty": say("How far the real vault may be off"),
        "load_test": say("Load test"),
        "seat": say("Seats of the springings"),
        "practice": say("Practice arch"),
        "deliveries": say("Tiles as they came"),
        "choice": say("How it was chosen"),
        "options": say("Options that were compared"),
    }.get(name) or Message(name)


class _Walker:
    """Walks the model beside what is stated."""

    def __init__(self, stated: dict[str, Any], length_unit: LengthUnit) -> None:
        self.stated = stated
        self.length_unit = length_unit

    def group(self, path: Path, info: FieldInfo, stated: Any) -> Group:
        place = field_place(info)
        label = info.description or str(path[-1])
        if place.table is not None:
            if not place.required and _default(info) is None:
                if stated is None:
                    blank = self._table(path, place.table, None, label)
                    return replace(blank, rows="maybe")
                return self._table(path, place.table, stated, label, removable=True)
            return self._table(path, place.table, stated, label)
        rows: list[tuple[str | int, Any]] = []
        if isinstance(stated, dict):
            rows = list(stated.items())
        elif isinstance(stated, list):
            rows = list(enumerate(stated))
        table = place.item.table if place.item else None
        assert table is not None, path
        groups = tuple(
            self._table((*path, part), table, row, key_of((part,)), removable=True)
            for part, row in rows
        )
        return Group(path, label, (), groups, "names" if _by_name(place) else "list")

    def _table(
        self, path: Path, model: type[BaseModel], stated: Any, label: str, removable: bool = False
    ) -> Group:
        table = stated if isinstance(stated, dict) else {}
        entries: list[Entry] = []
        groups: list[Group] = []
        for name, info in model.model_fields.items():
            value = table.get(name)
            if _is_group(field_place(info)):
                groups.append(self.group((*path, name), info, value))
            else:
                entries.append(self.entry((*path, name), model, value))
        return Group(path, label, tuple(entries), tuple(groups), "", removable)

    def entry(self, path: Path, model: type[BaseModel], value: Any) -> Entry:
        name = str(path[-1])
        bare = _bare(model, name, self.length_unit)
        choices = bare.choices
        if name in NAMED_IN and bare.kind == "text":
            table = self.stated.get(NAMED_IN[name])
            choices = tuple(table) if isinstance(table, dict) else ()
        return replace(
            bare,
            path=path,
            kind="choice" if choices and bare.kind == "text" else bare.kind,
            text=_shown(value, bare.plain_unit, self.length_unit),
            choices=choices,
        )


@lru_cache(maxsize=4096)
def _bare(model: type[BaseModel], name: str, length_unit: LengthUnit) -> Entry:
    """A box as its model has it, before anything is stated."""
    info = model.model_fields[name]
    place = field_place(info)
    one = place.item or place
    one = one.item or one
    unit = one.unit

    def shown(value: Any) -> str:
        return _shown(_plain(value, unit), unit, length_unit)

    return Entry(
        path=(name,),
        label=info.description or name,
        kind=_kind(place, one.words),
        unit=length_unit if unit == "mm" else unit,
        text="",
        usual=None if info.is_required() else shown(_default(info)),
        low=shown(one.limit("ge", "gt")),
        high=shown(one.limit("le", "lt")),
        choices=one.words,
        plain_unit=unit,
    )


def _shown(value: Any, plain_unit: str, length_unit: LengthUnit) -> str:
    """What the job's text states, as it stands in a box."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        rows = any(isinstance(item, list | tuple) for item in value)
        return (" | " if rows else "; ").join(_shown(v, plain_unit, length_unit) for v in value)
    if isinstance(value, int | float):
        if plain_unit == "mm":
            return length_text(value / 1e3, length_unit)
        return f"{value:.12g}"
    return str(value)


def _default(info: FieldInfo) -> Any:
    return info.get_default(call_default_factory=True)


def _by_name(place: Place) -> bool:
    return get_origin(place.base) is dict


def _is_group(place: Place) -> bool:
    return place.table is not None or bool(place.item and place.item.table)


def _kind(place: Place, choices: tuple[str, ...]) -> str:
    if place.item and place.item.item:
        return "rows"
    if place.item:
        return "picks" if choices else "list"
    if choices:
        return "choice"
    if place.unit:
        return "quantity"
    named = {bool: "yes", int: "integer", float: "number", date: "day"}
    return named.get(place.base, "text")


def _plain(value: Any, unit: str) -> Any:
    """A value of the model as the job's text would state it: a plain number in its unit."""
    if isinstance(value, tuple):
        return [_plain(item, unit) for item in value]
    if isinstance(value, bool) or not isinstance(value, int | float) or not unit:
        return value
    return units.in_plain_unit(value, unit)


def length_text(metres: float, unit: LengthUnit) -> str:
    """A length as it stands in a box: a bare number in the reader's unit, or feet and inches."""
    if unit == "ft":
        return feet_and_inches(metres)
    scale = {"mm": 1e3, "cm": 1e2, "m": 1.0}[unit]
    return f"{round(metres * scale, 6):.12g}"
