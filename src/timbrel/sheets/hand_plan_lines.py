"""The lines of the pencil, by family: what is done, the formula, and its figures put in (kN, m)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.site.hand_laws import STEEPEST_MEMBRANE
from timbrel.site.hand_plan import SAIL_ON_CORNERS
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.site.hand_plan import PlanHandCheck
    from timbrel.site.hand_states import PlanHandCase

KILO = 1e-3


@dataclass(frozen=True)
class Line:
    """One line of a sum."""

    step: Message
    formula: str
    figures: str


def lines_of(check: PlanHandCheck, case: PlanHandCase, voice: Voice) -> list[Line]:
    """The sum of one case from the load to the net's own answer."""
    pencil = _Pencil(check, case, voice)
    lines = {
        "groin": pencil.groin,
        "cloister": pencil.cloister,
        "sail": pencil.sail,
        SAIL_ON_CORNERS: pencil.sail_on_corners,
        "dome": pencil.dome,
    }[check.family]()
    return [pencil.even_load(), *lines, pencil.net()]


class _Pencil:
    """Writes figures of one case in the reader's language."""

    def __init__(self, check: PlanHandCheck, case: PlanHandCase, voice: Voice) -> None:
        self.check, self.case, self.voice = check, case, voice
        self.w = case.even * KILO
        self.part = case.parts[0]

    def n(self, value: float, places: int = 2) -> str:
        return self.voice.number(value, places)

    def m(self, value: float) -> str:
        return self.n(value, 3)

    def kn(self, newtons: float) -> str:
        return f"{self.n(newtons * KILO)} kN"

    def even_load(self) -> Line:
        total = self.case.even * self.check.area
        return Line(
            say("Load over the plan"),
            "w = W/A",
            f"{self.n(total * KILO)}/{self.n(self.check.area)} = {self.n(self.w)} kN/m²",
        )

    def net(self) -> Line:
        told = f"{self.kn(self.case.least)}"
        if self.case.greatest is not None:
            told += f" – {self.kn(self.case.greatest)}"
        return Line(say("The net, of the same supports"), "", told)

    def spread(self, formula: str) -> Line:
        """The moment of the load as it stands, over that of an even one."""
        return Line(
            say("As the load stands: its moment over that of an even load"),
            formula,
            self.n(self.case.spread, 3),
        )

    def groin(self) -> list[Line]:
        part = self.part
        span = 2 * part.reach
        strip = self.w * span**2 / (8 * part.rise)
        return [
            Line(say("A strip of a web, a metre"), "h = w L²/(8 f)",
                 f"{self.n(self.w)}·{self.m(span)}²/(8·{self.m(part.rise)}) = {self.n(strip)} kN/m"),
            Line(say("All strips, on two corners"), "h B",
                 f"{self.n(strip)}·{self.m(part.length)} = {self.n(strip * part.length)} kN"),
            self.spread("s"),
            *self.half_about_corners(),
        ]  # fmt: skip

    def sail_on_corners(self) -> list[Line]:
        return [self.spread("s"), *self.half_about_corners()]

    def half_about_corners(self) -> list[Line]:
        """The line from its steepest to its flattest."""
        part = self.part
        span, moment = 2 * part.reach, part.moment * KILO
        found = [
            Line(say("Moment of half the vault about two corners"), "M = s w L² B/8",
                 f"{self.n(self.case.spread, 3)}·{self.n(self.w)}·{self.m(span)}²·"
                 f"{self.m(part.length)}/8 ≈ {self.n(moment)} kN·m"),
            Line(say("Least: the line steepest"), "M/(f + t)",
                 f"{self.n(moment)}/{self.m(part.most)} = {self.kn(part.low)}"),
        ]  # fmt: skip
        if part.least is not None and part.high is not None:
            found.append(
                Line(say("Greatest: the line flattest"), "M/(f - t')",
                     f"{self.n(moment)}/{self.m(part.least)} = {self.kn(part.high)}")
            )  # fmt: skip
        else:
            none = say("the rise is less than the thickness: no upper end")
            found.append(Line(say("Greatest: the line flattest"), "f - t'", self.voice(none)))
        return found

    def cloister(self) -> list[Line]:
        part = self.part
        even = self.w * (2 * part.reach) ** 2 / (8 * part.rise)
        found = [
            Line(say("Strip at the middle of {wall}, on a parabola", wall=part.name),
                 "h = w L²/(8 f)",
                 f"{self.n(self.w)}·{self.m(2 * part.reach)}²/(8·{self.m(part.rise)}) = "
                 f"{self.n(even)} kN/m"),
            Line(say("Straight to nothing at the corners: half of it"), "h B/2",
                 f"{self.n(even)}·{self.m(part.length)}/2 = {self.n(even * part.length / 2)} kN"),
            *self.down_the_shell(),
        ]  # fmt: skip
        return [*found, *self.all_walls()]

    def down_the_shell(self) -> list[Line]:
        """V cot a at the springing; from 51.83 degrees on the thrust stays as it is."""
        part = self.part
        if part.slope <= STEEPEST_MEMBRANE:
            return [
                Line(say("By the slope of this curve"), "V cot a",
                     f"{self.n(part.weight * KILO)}·cot {self.voice.quantity(part.slope, 'angle')}"
                     f" = {self.kn(part.way)}"),
            ]  # fmt: skip
        steep = math.tan(STEEPEST_MEMBRANE)
        return [
            Line(say("It springs steeper than 51.83°: the load above there"), "V cot 51.83°",
                 f"{self.n(part.way * steep * KILO)}/{self.n(steep, 3)} = {self.kn(part.way)}"),
        ]  # fmt: skip

    def sail(self) -> list[Line]:
        part = self.part
        even = self.w * (2 * part.reach) ** 2 / (16 * part.rise)
        found = [
            Line(say("Strips onto {wall}, half of the load", wall=part.name), "h = w L²/(16 f)",
                 f"{self.n(self.w)}·{self.m(2 * part.reach)}²/(16·{self.m(part.rise)}) = "
                 f"{self.n(even)} kN/m"),
            Line(say("Along the wall"), "h B",
                 f"{self.n(even)}·{self.m(part.length)} = {self.n(even * part.length)} kN"),
            Line(say("As the load stands, by its moment"), "H",
                 f"{self.kn(part.way)}"),
        ]  # fmt: skip
        return [*found, *self.all_walls()]

    def all_walls(self) -> list[Line]:
        case, part = self.case, self.part
        return [
            Line(say("All four walls by these strips: the net needs no more"), "Σ H",
                 " + ".join(self.n(p.way * KILO) for p in case.parts) + f" = {self.kn(case.way)}"),
            Line(say("Piece on {wall}, cut along the creases", wall=part.name), "M/(f + t)",
                 f"{self.n(part.moment * KILO)}/{self.m(part.most)} = {self.kn(part.low)}"),
            Line(say("All four pieces: the net needs no less"), "Σ M/(f + t)",
                 " + ".join(self.n(p.low * KILO) for p in case.parts) + f" = {self.kn(case.low)}"),
        ]  # fmt: skip

    def dome(self) -> list[Line]:
        part = self.part
        girth = part.length
        upon = part.weight / girth
        return [
            Line(say("Down on a metre of the ring"), "V = W/(2 π R)",
                 f"{self.n(part.weight * KILO)}/(2π·{self.m(part.reach)}) = "
                 f"{self.n(upon * KILO)} kN/m"),
            Line(say("Along the meridian at the springing"), "N = V/sin a",
                 f"{self.n(upon * KILO)}/sin {self.voice.quantity(part.slope, 'angle')} = "
                 f"{self.n(upon / math.sin(part.slope) * KILO)} kN/m"),
            *self.down_the_shell(),
            Line(say("A metre of ring; tension of a ring tie"), "H, T = H R",
                 f"{self.n(part.way / girth * KILO)} kN/m, "
                 f"{self.n(part.way / girth * part.reach * KILO)} kN"),
            Line(say("Lunes: the net needs no less"), "M/(f + t)",
                 f"{self.n(part.moment * KILO)}/{self.m(part.most)} = {self.kn(part.low)}"),
        ]  # fmt: skip
