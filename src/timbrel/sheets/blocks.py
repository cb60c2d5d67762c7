"""The few blocks that a page of words is made of, spoken and ready for the typesetter.

Each answers a plain dict; `typst/sheet.typ` lays it out. Nothing here decides what is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from timbrel.sheets.board import Picture
from timbrel.verdict import Check, Verdict, governing_first
from timbrel.words import Message, Voice, say

Block = dict[str, Any]
Words = Message | str
"""A str is a name or a number that is spoken already; it is not translated."""

FILL, AUTO = 0, -1
"""Widths of a column: what is left over; as wide as its words. Otherwise mm."""


def speak(voice: Voice, words: Words) -> str:
    """Messages are spoken; names and numbers stand as they are."""
    return words if isinstance(words, str) else voice(words)


def heading(voice: Voice, words: Words) -> Block:
    """A heading over what follows."""
    return {"kind": "heading", "words": speak(voice, words)}


def large(voice: Voice, words: Words) -> Block:
    """The title of the first page."""
    return {"kind": "large", "words": speak(voice, words)}


def words(voice: Voice, text: Words, *, small: bool = False) -> Block:
    """A paragraph."""
    return {"kind": "words", "words": speak(voice, text), "small": small}


def bullets(voice: Voice, lines: Iterable[Words]) -> Block:
    """A list."""
    return {"kind": "list", "lines": [speak(voice, line) for line in lines]}


def steps(voice: Voice, lines: Iterable[Words]) -> Block:
    """A numbered list, in the order of doing."""
    return {"kind": "steps", "lines": [speak(voice, line) for line in lines]}


def caution(voice: Voice, lines: Iterable[Words]) -> Block:
    """What can hurt."""
    return {
        "kind": "caution",
        "words": voice(say("Caution")),
        "lines": [speak(voice, line) for line in lines],
    }


def signatures(voice: Voice, lines: Iterable[Words]) -> Block:
    """Lines to sign on."""
    return {"kind": "sign", "lines": [speak(voice, line) for line in lines]}


def picture(voice: Voice, drawn: Picture) -> Block:
    """A drawing in the run of the page, at its scale."""
    return {
        "kind": "picture",
        "svg": drawn.svg,
        "w": drawn.width_mm,
        "h": drawn.height_mm,
        "alt": voice(drawn.title),
    }


def side_by_side(first: Sequence[Block], second: Sequence[Block]) -> Block:
    """Two runs of blocks beside each other, equally wide."""
    return {"kind": "side", "first": list(first), "second": list(second)}


def keep(*inside: Block) -> Block:
    """Blocks that stay together on one page."""
    return {"kind": "keep", "blocks": list(inside)}


def column_break() -> Block:
    """What follows begins at the top of a column."""
    return {"kind": "break"}


def table(
    voice: Voice,
    head: Sequence[Words],
    rows: Iterable[Sequence[Words]],
    *,
    align: str,
    widths: Sequence[float] | None = None,
    dense: bool = False,
    to_fill: bool = False,
    rest: Words | None = None,
) -> Block:
    """A table; `align` has one letter a column (l, c, r). Without widths the words decide.

    dense: small print, for long lists that are looked up rather than read. to_fill: ruled, and high
    enough to write in by hand. rest: said under the rows that a sheet of one page has room for, where
    it has no room for all; without it no row is ever left out.
    """
    body = [[speak(voice, cell) for cell in row] for row in rows]
    chosen = [AUTO] * len(head) if widths is None else list(widths)
    if not len(head) == len(align) == len(chosen) or any(len(row) != len(head) for row in body):
        raise ValueError("a table needs as many cells, widths and letters as it has columns")
    return {
        "kind": "table",
        "head": [speak(voice, cell) for cell in head],
        "rows": body,
        "align": list(align),
        "widths": chosen,
        "full": FILL in chosen,
        "dense": dense,
        "to_fill": to_fill,
        "rest": None if rest is None else speak(voice, rest),
    }


def verdict_word(voice: Voice, verdict: Verdict) -> str:
    """The verdict in the reader's language."""
    spoken = {
        Verdict.HOLDS: say("holds"),
        Verdict.FAILS: say("fails"),
        Verdict.NOT_JUDGED: say("not judged"),
    }
    return voice(spoken[verdict])


def verdict_line(voice: Voice, verdict: Verdict, text: Words) -> Block:
    """The verdict of the whole, and a sentence beside it."""
    return {
        "kind": "verdict",
        "verdict": verdict.value,
        "word": verdict_word(voice, verdict),
        "words": speak(voice, text),
    }


def limit_of(voice: Voice, check: Check) -> str:
    """The limit with its sense: at least, or at most."""
    if check.limit is None:
        return "–"
    sign = "≥" if check.at_least else "≤"
    return f"{sign} {voice.quantity(check.limit, check.kind)}"


def value_of(voice: Voice, check: Check) -> str:
    """The value that was found; a dash where there is none."""
    return "–" if check.value is None else voice.quantity(check.value, check.kind)


def checks_table(voice: Voice, checks: Iterable[Check]) -> Block:
    """Checks in the order in which they govern, each with its reason."""
    return {
        "kind": "checks",
        "head": [
            voice(say("Verdict")),
            voice(say("Check")),
            voice(say("Value")),
            voice(say("Limit")),
            voice(say("Why")),
        ],
        "rows": [
            {
                "verdict": check.verdict.value,
                "word": verdict_word(voice, check.verdict),
                "title": voice(check.title),
                "value": value_of(voice, check),
                "limit": limit_of(voice, check),
                "reason": voice(check.reason),
            }
            for check in governing_first(checks)
        ],
    }
