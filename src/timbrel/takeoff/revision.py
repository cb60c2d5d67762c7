"""What changed since the last revision: two states of a job (or of its figures), key by key."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from timbrel.job.fields import ROOT, Place, field_place
from timbrel.job.model import Job
from timbrel.job.units import KIND

SAME = 1e-9


@dataclass(frozen=True)
class Change:
    """One key that differs. key: dotted, lists by number from 1. before, after: None where the
    key is not there."""

    key: str
    before: Any
    after: Any


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, float | int) and isinstance(b, float | int):
        return math.isclose(a, b, rel_tol=SAME, abs_tol=1e-15)
    return bool(a == b)


def _children(value: Any) -> Mapping[str, Any] | None:
    if isinstance(value, Mapping):
        return value
    if isinstance(value, Sequence) and not isinstance(value, str):
        return {str(i): v for i, v in enumerate(value, 1)}
    return None


def _walk(key: str, a: Any, b: Any) -> Iterator[Change]:
    left, right = _children(a), _children(b)
    if left is None or right is None:
        if not _same(a, b):
            yield Change(key, a, b)
        return
    for name in dict.fromkeys([*left, *right]):
        below = f"{key}.{name}" if key else name
        if name in left and name in right:
            yield from _walk(below, left[name], right[name])
        else:
            yield Change(below, left.get(name), right.get(name))


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[Change, ...]:
    """Every key whose value differs, in the order of the job."""
    return tuple(_walk("", before, after))


def job_changes(before: Job, after: Job) -> tuple[Change, ...]:
    """What changed between two revisions of a job, the revision's own letter and date left out."""
    found = changes(before.model_dump(), after.model_dump())
    return tuple(c for c in found if c.key not in ("job.revision", "job.day"))


Told = float | str | bool | None


@dataclass(frozen=True)
class ChangedKey:
    """One key of the job that says something else now. what: its description in the job.
    kind: how the values are spoken (see :mod:`timbrel.words`), empty for words and plain numbers.
    before, after: SI, None where it was not stated."""

    key: str
    what: str
    kind: str
    before: Told
    after: Told


@dataclass(frozen=True)
class Since:
    """What changed since an earlier revision. revision, day: of the earlier one; same_letter: both
    carry one letter, which two different jobs must not."""

    revision: str
    day: date | None
    same_letter: bool
    changes: tuple[ChangedKey, ...]


def since(before: Job, after: Job) -> Since:
    """The keys in which a job differs from an earlier revision of itself, down to single values.

    How it was chosen is no part of what is built, and the options compared would bury the rest.
    """
    one, other = (job.model_copy(update={"choice": None}) for job in (before, after))
    found = tuple(_told(leaf) for change in job_changes(one, other) for leaf in _leaves(change))
    same = bool(found) and before.job.revision == after.job.revision
    return Since(before.job.revision, before.job.day, same, found)


def _leaves(change: Change) -> Iterator[Change]:
    """A change as changes of single values: a table that came or went, key by key, but of measured
    tiles how many."""
    a, b = _children(change.before), _children(change.after)
    if a is None and b is None:
        yield change
        return
    if _measured(change.key):
        before, after = (None if rows is None else len(rows) for rows in (a, b))
        yield Change(change.key, before, after)
        return
    left, right = a or {}, b or {}
    for name in dict.fromkeys([*left, *right]):
        yield from _leaves(Change(f"{change.key}.{name}", left.get(name), right.get(name)))


def _measured(key: str) -> bool:
    """The whole list of the tiles of a delivery."""
    first, *_, last = key.split(".")
    return first == "deliveries" and last == "measured"


def _told(change: Change) -> ChangedKey:
    what, kind = _described(change.key)
    if _measured(change.key):
        kind = "count"
    return ChangedKey(change.key, what, kind, _plain(change.before), _plain(change.after))


def _plain(value: Any) -> Told:
    return value if isinstance(value, float | int | str | bool | None) else str(value)


def _described(key: str) -> tuple[str, str]:
    """What the model says of a key, and how its values are spoken."""
    place: Place | None = ROOT
    what = ""
    for part in key.split("."):
        if place is None:
            break
        table = place.table
        if table is not None and part in table.model_fields:
            info = table.model_fields[part]
            what, place = info.description or what, field_place(info)
        else:
            place = place.item
    unit = place.unit if place is not None else ""
    return what, KIND[unit] if unit else ""
