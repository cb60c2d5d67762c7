"""Which defaults a job leaned on: every key that it left out, with the value that held."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from timbrel.job.fields import Path, field_place, key_of
from timbrel.job.model import Job
from timbrel.job.units import KIND


@dataclass(frozen=True)
class DefaultUsed:
    """A key that was left out. value: SI, a word, a tuple of words, or None for "not stated".

    kind: how the value is spoken (see :mod:`timbrel.words`); empty for words and plain numbers.
    """

    key: str
    value: float | str | bool | tuple[str, ...] | None
    description: str
    kind: str


def defaults_used(job: Job) -> tuple[DefaultUsed, ...]:
    """Every default that a job uses, in the order of the model, tables within tables included."""
    return tuple(_of_table(job, ()))


def _of_table(table: BaseModel, path: Path) -> Iterator[DefaultUsed]:
    for name, info in type(table).model_fields.items():
        value, here = getattr(table, name), (*path, name)
        rows = _rows(value)
        if rows:
            for part, row in rows:
                yield from _of_table(row, (*here, *part))
        elif name not in table.model_fields_set:
            yield DefaultUsed(key_of(here), value, info.description or name, kind_of(info))


def _rows(value: Any) -> list[tuple[Path, BaseModel]]:
    """The tables that a value holds, each with its step down the path."""
    if isinstance(value, BaseModel):
        return [((), value)]
    named: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        named = [*value.items()]
    elif isinstance(value, tuple):
        named = [*enumerate(value)]
    return [((part,), row) for part, row in named if isinstance(row, BaseModel)]


def kind_of(info: Any) -> str:
    """How the value of a field is spoken (:mod:`timbrel.words`); empty for words and plain numbers."""
    place = field_place(info)
    if place.unit:
        return KIND[place.unit]
    limits = (place.limit("ge"), place.limit("le"))
    return "percent" if place.base is float and limits == (0.0, 1.0) else ""
