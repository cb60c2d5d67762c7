"""The notes of a support under the level acceleration that it bears least of."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from timbrel.statics.notes import Notebook
from timbrel.statics.resultant_notes import resultant_notes
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.pier_sway import PierSway
    from timbrel.statics.support_checks import SupportAnswer

KN = 1e3


def sway_notes(book: Notebook, support: SupportAnswer, where: Message) -> None:
    """What its own weight pushes level, where the resultant stands at the base, what it bears."""
    sway, by = support.work.sway, support.level
    if sway is None or by is None:
        return
    pushes = _own_push(book, where, by.combination, sway.share, sway.weight)
    resultant_notes(
        book,
        where,
        by.combination,
        sway.base,
        support.tributary,
        source="equilibrium about the inner face; EN 1990 6.4.3.3",
        sways={"S": (pushes, "kN, outward positive"), "s": (sway.arm, "m over the base")},
    )
    _borne(book, where, by.value, sway.share)


def pier_sway_notes(book: Notebook, corner: str, sway: PierSway) -> None:
    """The same of a pier under a vault's corner."""
    where = say("pier {corner}", corner=corner)
    for k, axis in enumerate("xy"):
        if abs(sway.share[k]) < 1e-12:
            continue
        pushes = _own_push(book, where, sway.by.combination, float(sway.share[k]), sway.weight)
        book.write(
            say(
                "Level push and moment about the base of {where}, along {axis}",
                where=where,
                axis=axis,
            ),
            "M",
            "H * h + M_0 + S * s",
            {
                "H": (float(sway.force[k]) / KN, "kN of the vault"),
                "h": (sway.height, "m"),
                "M_0": (float(sway.couple[k]) / KN, "kN m at the head"),
                "S": (pushes, "kN"),
                "s": (sway.arm, "m over the base"),
            },
            "kN m",
            "equilibrium; EN 1990 6.4.3.3",
        )
    _borne(book, where, sway.by.value, float(abs(sway.share).max()))


def _own_push(book: Notebook, where: Message, key: str, share: float, weight: float) -> float:
    return book.write(
        say("Level push of the own weight of {where} under {key}", where=where, key=key),
        "S",
        "a * G",
        {"a": (share, "share of weight"), "G": (weight / KN, "kN that sways")},
        "kN",
        "loads.horizontal; even over the height",
    )


def _borne(book: Notebook, where: Message, multiple: float, share: float) -> None:
    if not math.isfinite(multiple):
        return
    book.write(
        say("Share of weight at which {where} falls, cracked, bed by bed", where=where),
        "a_u",
        "n * a",
        {"n": (multiple, "multiple found by marching"), "a": (abs(share), "share of weight")},
        "",
        "cracked support, derived (docs/load-path.md)",
    )
