"""What changed since the last revision: two states of a job (or of its figures), key by key."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from timbrel.job.model import Job

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
