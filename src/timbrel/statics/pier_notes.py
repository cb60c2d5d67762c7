"""The notes of one pier under a vault's corner: base, strength, each clause at its bed, the ground."""

from __future__ import annotations

import math

from timbrel.job.model import Job, Wall
from timbrel.statics.notes import Notebook
from timbrel.statics.pier_base_notes import base_notes
from timbrel.statics.pier_carrying import CarriedPier
from timbrel.statics.pier_work import PierBed, PierPush
from timbrel.statics.slenderness import effective_height
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.sway_notes import pier_sway_notes
from timbrel.statics.wall_en1996 import CRACKED, K_TABLE, SHEAR_GAIN, SHEAR_MOST, Strength
from timbrel.words import Message, say

KN, N_MM2 = 1e3, 1e6


def pier_notes(
    book: Notebook, job: Job, wall: Wall, pier: CarriedPier, pushes: tuple[PierPush, ...]
) -> None:
    """Every step of one pier, each under the combination that governs it."""
    here = _Noted(book, job, wall, pier, pushes)
    base_notes(book, wall, pier, pushes)
    if pier.sway is not None:
        pier_sway_notes(book, pier.corner, pier.sway)
    here.slender()
    if pier.strength is not None:
        here.strong(pier.strength)
        here.vertical(pier.strength)
        here.springer(pier.strength)
        here.beds(pier.strength)
    here.ground()


class _Noted:
    def __init__(
        self,
        book: Notebook,
        job: Job,
        wall: Wall,
        pier: CarriedPier,
        pushes: tuple[PierPush, ...],
    ) -> None:
        self.book, self.job, self.wall, self.pier = book, job, wall, pier
        self.pushes = pushes
        self.corner = pier.corner

    def slender(self) -> None:
        held = self.wall.masonry.head == "held"
        self.book.write(
            say("Slenderness of pier {corner}", corner=self.corner),
            "lambda_",
            "r * h / s",
            {
                "r": (1.0 if held else 2.0, "head held 1, free 2"),
                "h": (self.pier.height, "m"),
                "s": (self.pier.side, "m"),
            },
            "",
            "EN 1996-1-1 5.5.1.2, 5.5.1.4",
        )

    def strong(self, strength: Strength) -> None:
        group = self.wall.masonry.group
        if strength.k is not None and strength.unit is not None and strength.mortar is not None:
            self.book.write(
                say("Strength of the masonry of pier {corner} ({group})", corner=self.corner,
                    group=group),
                "f_k",
                "K * fb**0.7 * fm**0.3",
                {
                    "K": (self.job.loads.national.k or K_TABLE[group], ""),
                    "fb": (min(strength.unit / N_MM2, 75.0), "N/mm2"),
                    "fm": (min(strength.mortar / N_MM2, 20.0, 2 * strength.unit / N_MM2), "N/mm2"),
                },
                "N/mm2",
                "EN 1996-1-1 3.6.1.2, expression 3.2, table 3.3",
            )  # fmt: skip
        self.book.write(
            say("Design strength of pier {corner}", corner=self.corner),
            "f_d",
            "f_k / gM",
            {"f_k": (strength.characteristic / N_MM2, "N/mm2"), "gM": (strength.factor, "")},
            "N/mm2",
            "EN 1996-1-1 2.4.1, 2.4.3",
        )

    def vertical(self, strength: Strength) -> None:
        found, by = self.pier.reduction, self.pier.vertical
        if found is None or by is None or not math.isfinite(by.value) or found.resistance <= 0:
            return
        level = {"head": say("head"), "middle": say("middle"), "base": say("base")}[found.level]
        words = {"corner": self.corner, "level": level}
        share = found.share
        if not self.pier.leaning:
            share = self.book.write(
                say(
                    "Share of the bed that the block leaves, pier {corner} at its {level}", **words
                ),
                "A_1",
                "(1 - 2*abs(x)/s) * (1 - 2*abs(y)/s)",
                {
                    "x": (float(found.away[0]), "m, additions in it"),
                    "y": (float(found.away[1]), "m, additions in it"),
                    "s": (self.pier.side, "m"),
                },
                "",
                "EN 1996-1-1 6.1.2.2(1), both ways at once (derived)",
            )
        phi = share
        if found.level == "middle":
            formula = "A_1 * exp(-max((l*sqrt(1/E) - 0.063)/(0.73 - 1.17*(1 - A_1)/2), 0)**2 / 2)"
            source = "EN 1996-1-1 annex G, expressions G.1 to G.4"
            if (1 - share) / 2 > CRACKED:
                formula = f"min({formula}, 0.64*pi**2*E*(A_1/2)**3/l**2)"
                source = "EN 1996-1-1 annex G, expressions G.1 to G.4; not over Yokel 1971"
            phi = self.book.write(
                say("Capacity reduction of pier {corner} at its {level}", **words),
                "Phi",
                formula,
                {
                    "A_1": (share, ""),
                    "l": (effective_height(self.pier.height, self.wall.masonry.head)
                          / self.pier.side, "h_ef over side"),
                    "E": (self.job.loads.national.stiffness, "E over f_k"),
                },
                "",
                source,
            )  # fmt: skip
        full = self.book.write(
            say("Vertical resistance of pier {corner} at its {level}", **words),
            "N_Rd",
            "Phi * A * f_d * 1000",
            {
                "Phi": (phi, ""),
                "A": (found.area, "m2"),
                "f_d": (strength.design / N_MM2, "N/mm2"),
            },
            "kN",
            "EN 1996-1-1 6.1.2.1, expression 6.2",
        )
        self.book.write(
            say("Share of it that is used, under {key}", key=by.combination),
            "u",
            "N_Ed / N_Rd",
            {"N_Ed": (found.normal / KN, "kN"), "N_Rd": (full, "kN")},
            "",
            "EN 1996-1-1 6.1.2.1, expression 6.1",
        )

    def springer(self, strength: Strength) -> None:
        bed = self.pier.bed
        if bed is None:
            return
        self.book.write(
            say("Bed under the springer on pier {corner}, share used", corner=self.corner),
            "u",
            "V / (beta * b**2 * f_d * 1000)",
            {
                "V": (bed.load / KN, "kN"),
                "beta": (bed.beta, ""),
                "b": (bed.side, "m"),
                "f_d": (strength.design / N_MM2, "N/mm2"),
            },
            "",
            "EN 1996-1-1 6.1.3, expressions 6.10, 6.11",
        )

    def beds(self, strength: Strength) -> None:
        shear, crushing = self.pier.at_shear, self.pier.at_crushing
        if shear is not None and self.pier.shear is not None and math.isfinite(shear.use):
            top = SHEAR_MOST * strength.unit / N_MM2 if strength.unit else 1e9
            self.book.write(
                self._bed_title(shear, self.pier.shear, say("Shear of a bed")),
                "u",
                "V * gM / (min(f0 + m*N/A/1000, top) * A * 1000)",
                {
                    "V": (shear.level / KN, "kN"),
                    "N": (shear.normal / KN, "kN"),
                    "A": (shear.area, "m2 pressed"),
                    "f0": (self.job.loads.national.initial_shear / N_MM2, "N/mm2"),
                    "m": (SHEAR_GAIN, ""),
                    "top": (top, "N/mm2, 0.065 fb"),
                    "gM": (strength.factor, ""),
                },
                "",
                "EN 1996-1-1 6.2, 3.6.2(3)",
            )
        if crushing is None or self.pier.crushing is None or not math.isfinite(crushing.use):
            return
        title = self._bed_title(crushing, self.pier.crushing, say("Crushing of a bed"))
        area = {"A": (crushing.area, "m2 of block")}
        formula = "N / (A * f_d * 1000)"
        if not self.pier.leaning:
            formula = "N / ((s - 2*abs(x)) * (s - 2*abs(y)) * f_d * 1000)"
            area = {
                "s": (self.pier.side, "m"),
                "x": (float(crushing.at[0]), "m"),
                "y": (float(crushing.at[1]), "m"),
            }
        self.book.write(
            title,
            "u",
            formula,
            {
                "N": (crushing.normal / KN, "kN"),
                **area,
                "f_d": (strength.design / N_MM2, "N/mm2"),
            },
            "",
            "EN 1996-1-1 6.1.1, stress block about both middle lines",
        )

    def ground(self) -> None:
        found, slide = self.pier.ground, self.pier.slide
        if math.isfinite(found.pressure):
            if self.pier.leaning:
                area = found.area
            else:
                sides = [
                    self.book.write(
                        say(
                            "Effective width of the footing under pier {corner}, along {axis}",
                            corner=self.corner,
                            axis=axis,
                        ),
                        "B_",
                        "max(B - 2*abs(e), 0)",
                        {
                            "B": (float(found.sizes[k]), "m"),
                            "e": (float(found.away[k]), "m"),
                        },
                        "m",
                        "Meyerhof 1953",
                    )
                    for k, axis in enumerate("xy")
                ]
                area = sides[0] * sides[1]
            self.book.write(
                say("Pressure on the ground over the part centred on the load"),
                "q",
                "N / A",
                {"N": (found.normal / KN, "kN"), "A": (area, "m2")},
                "kN/m2",
                "Meyerhof 1953; EN 1997-1 annex D",
            )
        if slide.level > 0 and math.isfinite(slide.sliding):
            self.book.write(
                say("Factor against sliding on the ground, under {key}", key=slide.push),
                "n",
                "m * N / H",
                {
                    "m": (self.wall.ground.friction, ""),
                    "N": (slide.normal / KN, "kN"),
                    "H": (slide.level / KN, "kN"),
                },
                "",
                "EN 1997-1 6.5.3",
            )

    def _bed_title(self, bed: PierBed, by: Governed, what: Message) -> Message:
        return say(
            "{what} of pier {corner}, {depth:metres} under the springing, share used, under {key}",
            what=what,
            corner=self.corner,
            depth=bed.depth,
            key=by.combination,
        )
