"""The notes of a pier's base: what comes down, where its resultant stands, what it bears cracked."""

from __future__ import annotations

import math

from timbrel.job.model import Wall
from timbrel.statics.floor import GRAVITY
from timbrel.statics.notes import Notebook
from timbrel.statics.pier_carrying import CarriedPier
from timbrel.statics.pier_work import PierPush
from timbrel.statics.piers import middle_of_pier, pier_loads
from timbrel.words import say

KN = 1e3


def base_notes(book: Notebook, wall: Wall, pier: CarriedPier, pushes: tuple[PierPush, ...]) -> None:
    """Load and resultant at the base under what governs overturning, and its reserve."""
    over = pier.overturning
    push = next(p for p in pushes if (p.key, p.bound) == (over.combination, over.bound))
    loads = pier_loads(wall, pier.corner, push.force, push.couple, push.dead)
    if not pier.leaning:
        normal = book.write(
            say(
                "Load at the base of pier {corner} under {key}", corner=pier.corner,
                key=push.key,
            ),
            "N",
            "g * w * s**2 * h + V",
            {
                "g": (push.dead, ""),
                "w": (wall.density * GRAVITY / KN, "kN/m3"),
                "s": (pier.side, "m"),
                "h": (pier.height, "m"),
                "V": (loads.down / KN, "kN over the springing"),
            },
            "kN",
            "EN 1990 6.4.3",
        )  # fmt: skip
        for k, axis in enumerate("xy"):
            book.write(
                say(
                    "Distance of the resultant from the middle of the base, along {axis}",
                    axis=axis,
                ),
                "e",
                "(H * h + M + V * a) / N",
                {
                    "H": (float(push.force[k]) / KN, "kN"),
                    "h": (pier.height, "m"),
                    "M": (float(loads.couple[k] + loads.held[k]) / KN, "kN m at the head"),
                    "V": (loads.borne / KN, "kN of the vault"),
                    "a": (-float(middle_of_pier(wall, pier.corner)[k]), "m from the middle"),
                    "N": (normal, "kN"),
                },
                "m",
                "equilibrium; nothing cracked",
            )
    if math.isfinite(over.value):
        _borne(book, pier.corner, over.value, push)


def _borne(book: Notebook, corner: str, factor: float, push: PierPush) -> None:
    """What the cracked pier bears: the push, or where ties take it their couple."""
    n = (factor, "multiple found by marching")
    source = "cracked pier, derived (docs/load-path.md)"
    if push.level > 0:
        book.write(
            say("Push that the cracked pier {corner} bears, bed by bed", corner=corner),
            "H_u",
            "n * sqrt(H_x**2 + H_y**2)",
            {
                "n": n,
                "H_x": (float(push.force[0]) / KN, "kN"),
                "H_y": (float(push.force[1]) / KN, "kN"),
            },
            "kN",
            source,
        )
        return
    book.write(
        say(
            "Couple of push and ties that the cracked pier {corner} bears, bed by bed",
            corner=corner,
        ),
        "M_u",
        "n * sqrt(M_x**2 + M_y**2)",
        {
            "n": n,
            "M_x": (float(push.couple[0]) / KN, "kN m"),
            "M_y": (float(push.couple[1]) / KN, "kN m"),
        },
        "kN m",
        source,
    )
