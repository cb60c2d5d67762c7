"""What the names of combinations of loads stand for, on paper."""

from __future__ import annotations

from collections.abc import Iterable

from timbrel.statics.net_combinations import NetCombination
from timbrel.words import Message, Voice, say


def names_told() -> Message:
    """How the name of a combination is read, part by part."""
    return say(
        "A name is read from the left. characteristic: no factors; STR: for strength, by 6.10 or, as a "
        "and b, by 6.10a and 6.10b; EQU: for balance; accidental. sup: what is permanent tells against "
        "the work, inf: it helps. Then the load that leads: dead for none, full, a half; after a + "
        "what goes with it."
    )


def loads_told(combination: NetCombination, all_: Iterable[NetCombination], voice: Voice) -> str:
    """The variable loads of a combination by their names in words, each with its factor. all_: the
    combinations of the vault, in some of which each of these loads leads and is named."""
    titles = {c.leading: voice(c.title) for c in all_ if c.leading is not None}
    return "; ".join(
        f"{titles.get(f.load, f.load)} × {voice.quantity(f.factor, 'ratio')}"
        for f in combination.factors
    )
