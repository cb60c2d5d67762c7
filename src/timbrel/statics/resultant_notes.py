"""The note of where the resultant stands at the base of a support, which several others go on from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.statics.notes import Notebook
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.support_work import BaseWork

KN = 1e3


def resultant_notes(
    book: Notebook,
    where: Message,
    key: str,
    work: BaseWork,
    length: float,
    source: str,
    sways: dict[str, tuple[float, str]] | None = None,
) -> None:
    """The resultant from the inner face, and over half the thickness from the middle.

    key: the combination. length: of wall that is followed, m. source: of the loads' factors. sways: S
    and s, what the own weight pushes level and its height over the base.
    """
    x = book.write(
        say(
            "Resultant at the base of {where}, from its inner face, {length:metres} of wall, under "
            "{key}; masonry beyond a crack left out",
            where=where,
            length=length,
            key=key,
        ),
        "x",
        f"(V*a + P*b + W*c + H*h{' + S*s' if sways else ''}) / (V + P + W)",
        {
            "V": (work.down / KN, "kN"),
            "a": (work.into, "m"),
            "P": (work.head / KN, "kN"),
            "b": (work.head_at, "m"),
            "W": (work.weight / KN, "kN"),
            "c": (work.weight_at, "m"),
            "H": (work.level / KN, "kN"),
            "h": (work.arm, "m"),
            **(sways or {}),
        },
        "m",
        source,
    )
    book.write(
        say("Distance from the middle over half the thickness: 1 at an edge, 1/3 at the kern"),
        "k",
        "(x - t/2) / (t/2)",
        {"x": (x, "m"), "t": (work.thickness, "m")},
        "",
        "Heyman 1966, no tension",
    )
