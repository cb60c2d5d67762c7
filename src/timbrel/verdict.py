"""The verdict of a check, and how several are summed up.

A check compares one computed value with one limit. It never passes for want of data: what cannot
be computed is ``not judged``, with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from timbrel.words import Message


class Verdict(StrEnum):
    """The three answers that a check can give, in the order in which they govern."""

    FAILS = "fails"
    NOT_JUDGED = "not judged"
    HOLDS = "holds"


@dataclass(frozen=True)
class Check:
    """One comparison of a value with its limit.

    name: stable key, dotted (``walls.left.sliding``). title: what is checked. verdict: the answer.
    value, limit: SI, of `kind` (see :mod:`timbrel.words`), None when not judged. at_least: True
    when the value must reach the limit, False when it must stay under it. reason: why, in one
    sentence (what governs, or what is missing). source: clause, author or "common practice".
    led: the plan itself leads the value to its limit, or it can pass no further (the whole of a
    load, the least piece that is cut, a wait as long as is needed): it governs only when it fails.
    """

    name: str
    title: Message
    verdict: Verdict
    value: float | None
    limit: float | None
    kind: str
    at_least: bool
    reason: Message
    source: str
    led: bool = False

    @property
    def use(self) -> float:
        """Share of the limit that is used up: over 1 fails. Infinite when it cannot be told."""
        if self.value is None or self.limit is None:
            return float("inf")
        top, bottom = (self.limit, self.value) if self.at_least else (self.value, self.limit)
        if bottom > 0:
            return max(top, 0.0) / bottom
        return float("inf") if top > bottom else 0.0


def judge(
    name: str,
    title: Message,
    value: float | None,
    limit: float | None,
    *,
    kind: str,
    reason: Message,
    source: str,
    at_least: bool = True,
    led: bool = False,
) -> Check:
    """Compare, or answer ``not judged`` when the value or the limit is missing or not a number."""
    if value is not None and math.isnan(value):
        value = None
    if value is None or limit is None:
        verdict = Verdict.NOT_JUDGED
    else:
        holds = value >= limit if at_least else value <= limit
        verdict = Verdict.HOLDS if holds else Verdict.FAILS
    return Check(name, title, verdict, value, limit, kind, at_least, reason, source, led)


def governing_first(checks: Iterable[Check]) -> tuple[Check, ...]:
    """Checks in the order in which they govern: fails, not judged, holds; most used first, and
    those that hold and are led to their limit last."""
    rank = list(Verdict)

    def place(check: Check) -> tuple[int, bool, float]:
        return rank.index(check.verdict), check.led and check.verdict is Verdict.HOLDS, -check.use

    return tuple(sorted(checks, key=place))


def overall(checks: Iterable[Check]) -> Verdict:
    """The worst verdict of all; ``not judged`` when there is nothing to judge by."""
    found = [c.verdict for c in checks]
    if not found:
        return Verdict.NOT_JUDGED
    return min(found, key=list(Verdict).index)
