"""The notes of one pier under a vault's corner: its base, its strength, the ground."""

from __future__ import annotations

import math

from timbrel.job.model import Wall
from timbrel.statics.floor import GRAVITY
from timbrel.statics.notes import Notebook
from timbrel.statics.pier_carrying import CarriedPier, PierPush
from timbrel.words import say

KN, N_MM2 = 1e3, 1e6
BLOCK = "N / ((s - 2*abs(x)) * (s - 2*abs(y)) * f_d * 1000)"


def pier_notes(book: Notebook, wall: Wall, pier: CarriedPier, pushes: tuple[PierPush, ...]) -> None:
    """Every step of one pier, each under the combination that governs it."""
    by_key = {p.key: p for p in pushes}
    over = by_key[pier.overturning.combination]
    _resultant(book, wall, pier, over)
    if math.isfinite(pier.overturning.value):
        book.write(
            say("Push that the cracked pier {corner} bears, bed by bed", corner=pier.corner),
            "H_u",
            "n * sqrt(H_x**2 + H_y**2)",
            {
                "n": (pier.overturning.value, "multiple found by marching"),
                "H_x": (float(over.force[0]) / KN, "kN"),
                "H_y": (float(over.force[1]) / KN, "kN"),
            },
            "kN",
            "cracked pier, derived (docs/load-path.md)",
        )
    if pier.crushing is not None and pier.strength is not None:
        normal, x, y = _resultant(book, wall, pier, by_key[pier.crushing.combination])
        if math.isfinite(pier.crushing.value):
            book.write(
                say("Crushing at the base of pier {corner}, share used", corner=pier.corner),
                "u",
                BLOCK,
                {
                    "N": (normal, "kN"),
                    "s": (pier.side, "m"),
                    "x": (x, "m"),
                    "y": (y, "m"),
                    "f_d": (pier.strength.design / N_MM2, "N/mm2"),
                },
                "",
                "EN 1996-1-1 6.1.1, stress block about both middle lines",
            )


def _resultant(
    book: Notebook, wall: Wall, pier: CarriedPier, push: PierPush
) -> tuple[float, float, float]:
    """Normal force (kN) at the base and both distances of the resultant from the middle (m)."""
    high = pier.height + wall.above
    normal = book.write(
        say("Load at the base of pier {corner} under {key}", corner=pier.corner, key=push.key),
        "N",
        "g * w * s**2 * h + V",
        {
            "g": (push.dead, ""),
            "w": (wall.density * GRAVITY / KN, "kN/m3"),
            "s": (pier.side, "m"),
            "h": (high, "m"),
            "V": (-float(push.force[2]) / KN, "kN"),
        },
        "kN",
        "EN 1990 6.4.3",
    )
    away = [
        book.write(
            say("Distance of the resultant from the middle of the base, along {axis}", axis=axis),
            "e",
            "H * h / N",
            {
                "H": (float(push.force[k]) / KN, "kN"),
                "h": (pier.height, "m"),
                "N": (normal, "kN"),
            },
            "m",
            "equilibrium; nothing cracked",
        )
        for k, axis in enumerate("xy")
    ]
    return normal, away[0], away[1]
