"""What each key of a job takes, read off the model: its unit, its range, its words.

Keys are written as a person counts: dotted, rows of a list from 1 (``layers.2.joint.least``).
"""

from __future__ import annotations

import re
import types
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from timbrel.job.model import Job
from timbrel.job.units import in_plain_unit, unit_of
from timbrel.words import Message, say

Path = tuple[str | int, ...]


def key_of(path: Path) -> str:
    """The key of a place, as sentences name it."""
    return ".".join(_part(part) for part in path)


def _part(part: str | int) -> str:
    if isinstance(part, int):
        return str(part + 1)
    return part if re.fullmatch(r"[\w-]+", part) else f'"{part[:40]}"'


@dataclass(frozen=True)
class Place:
    """What may stand at a place of the job: `base` type, and the limits in `metadata`."""

    base: Any
    metadata: tuple[Any, ...] = ()
    required: bool = False

    @property
    def unit(self) -> str:
        """Unit of a plain number here; empty where it has none."""
        return unit_of(self.metadata)

    @property
    def table(self) -> type[BaseModel] | None:
        """The table that stands here, if one does."""
        return self.base if _is_table(self.base) else None

    @property
    def item(self) -> Place | None:
        """What stands in each row of a list, or under each name of a table of names."""
        if get_origin(self.base) is tuple:
            return _peel(get_args(self.base)[0])
        if get_origin(self.base) is dict:
            return _peel(get_args(self.base)[1])
        return None

    @property
    def words(self) -> tuple[str, ...]:
        """The words to choose among, if this is a choice."""
        return (
            tuple(str(a) for a in get_args(self.base)) if get_origin(self.base) is Literal else ()
        )

    def limit(self, *names: str) -> Any:
        """The first of the named limits (ge, gt, le, lt, min_length, max_length), or None."""
        found = (getattr(item, name, None) for item in self.metadata for name in names)
        return next((value for value in found if value is not None), None)

    def step(self, part: str | int) -> Place | None:
        """The place one step down, None where there is no such key."""
        if self.table is not None:
            info = self.table.model_fields.get(str(part))
            return None if info is None else field_place(info)
        return self.item


def field_place(info: FieldInfo) -> Place:
    """The place of a model's field."""
    return _peel(info.annotation, tuple(info.metadata), info.is_required())


def _is_table(base: Any) -> bool:
    return isinstance(base, type) and issubclass(base, BaseModel)


def _peel(annotation: Any, metadata: tuple[Any, ...] = (), required: bool = True) -> Place:
    origin = get_origin(annotation)
    if origin is Annotated:
        base, *more = get_args(annotation)
        inner: list[Any] = []
        for item in more:
            inner.extend(item.metadata if isinstance(item, FieldInfo) else (item,))
        return _peel(base, (*metadata, *inner), required)
    if origin in (Union, types.UnionType):
        kept = [a for a in get_args(annotation) if a is not type(None)]
        if len(kept) == 1:
            return _peel(kept[0], metadata, required)
    return Place(annotation, metadata, required)


ROOT = Place(Job)


def place_at(path: Path) -> Place | None:
    """What may stand at a path of the job, None where the job has no such key."""
    place: Place | None = ROOT
    for part in path:
        place = None if place is None else place.step(part)
    return place


def every_key(place: Place = ROOT, path: Path = ()) -> Iterator[Path]:
    """Paths of all keys of a job; rows of lists stand as 0, names of a table as ``*``."""
    if path:
        yield path
    if place.table is not None:
        for name, info in place.table.model_fields.items():
            yield from every_key(field_place(info), (*path, name))
    elif place.item is not None and place.item.table is not None:
        for name, info in place.item.table.model_fields.items():
            row = "*" if get_origin(place.base) is dict else 0
            yield from every_key(field_place(info), (*path, row, name))


def accepted(place: Place) -> Message:
    """What a place takes, as a clause: the range in the unit of the field, or the words."""
    if len(place.words) == 1:
        return say("{word} only", word=place.words[0])
    if place.words:
        return say("one of {words}", words=", ".join(place.words))
    if place.table is not None:
        return say("a table")
    if get_origin(place.base) is dict:
        return say("a table of names, one at least")
    return _list(place) if place.item is not None else _value(place)


def _value(place: Place) -> Message:
    if place.base is bool:
        return say("true or false")
    if place.base is str:
        return _text(place)
    if place.base is date:
        return say("a date such as {example}", example="2026-11-25")
    if place.base is int:
        return say("a whole number, {range}", range=_range(place))
    return _range(place)


def _list(place: Place) -> Message:
    least, most = place.limit("min_length") or 0, place.limit("max_length")
    assert place.item is not None
    each = accepted(place.item)
    if most is not None:
        return say("a list of {least} to {most}, each {each}", least=least, most=most, each=each)
    return say("a list of {least} or more, each {each}", least=least, each=each)


def _text(place: Place) -> Message:
    least, most = place.limit("min_length") or 0, place.limit("max_length")
    if most is None:
        return say("a text in quotes")
    return say("a text in quotes, {least} to {most} characters", least=least, most=most)


def _bound(value: float | None, unit: str) -> str:
    if value is None:
        return ""
    number = in_plain_unit(value, unit) if unit else value
    return f"{number:.12g} {unit}".rstrip()


def _range(place: Place) -> Message:
    least, over = (_bound(place.limit(name), place.unit) for name in ("ge", "gt"))
    most, under = (_bound(place.limit(name), place.unit) for name in ("le", "lt"))
    limits = {"least": least, "over": over, "most": most, "under": under}
    ranges = {
        (True, False, True, False): say("{least} to {most}", **limits),
        (True, False, False, True): say("{least} or more and less than {under}", **limits),
        (False, True, True, False): say("more than {over}, {most} at most", **limits),
        (False, True, False, True): say("more than {over} and less than {under}", **limits),
        (True, False, False, False): say("{least} or more", **limits),
        (False, True, False, False): say("more than {over}", **limits),
    }
    stated = (bool(least), bool(over), bool(most), bool(under))
    return ranges.get(stated) or say("a number")
