"""The notes of one support: from the springing to the ground, each at what governs it."""

from __future__ import annotations

import math

from timbrel.job.model import Job
from timbrel.statics.notes import Notebook
from timbrel.statics.resultant_notes import resultant_notes
from timbrel.statics.support_checks import SupportAnswer
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.support_work import BedWork
from timbrel.statics.sway_notes import sway_notes
from timbrel.statics.wall_en1996 import CRACKED, K_TABLE, SHEAR_GAIN, Strength
from timbrel.statics.walls import wall_of
from timbrel.words import Message, say

KN, N_MM2 = 1e3, 1e6


def support_notes(book: Notebook, job: Job, support: SupportAnswer) -> None:
    """Base, strength, slenderness, vertical resistance, springing, shear, crushing, ground."""
    where = _where(support)
    _base(book, support, where)
    sway_notes(book, support, where)
    if not support.pier:
        _slender(book, job, support, where)
    if support.strength is not None:
        _strength(book, job, support, support.strength, where)
        _vertical(book, job, support, where)
        _springer(book, support, support.strength, where)
        _beds(book, job, support, support.strength, where)
    _ground(book, job, support, where)


def _where(support: SupportAnswer) -> Message:
    if support.pier:
        left, right = say("the left corner piers"), say("the right corner piers")
        return left if support.side == "left" else right
    names = {
        "left": say("the left support"),
        "right": say("the right support"),
        "near": say("the near support"),
        "far": say("the far support"),
        "ring": say("the drum under the ring"),
    }
    return names[support.side]


def _base(book: Notebook, support: SupportAnswer, where: Message) -> None:
    w = support.work.base
    by = support.overturning
    resultant_notes(
        book,
        where,
        by.combination,
        w,
        support.tributary,
        source="equilibrium about the inner face; EN 1990 table A1.2(A)",
    )
    if w.level <= 0 or not math.isfinite(by.value):
        return
    book.write(
        say("Push that the cracked support bears beside its loads, bed by bed"),
        "H_u",
        "n * H",
        {"n": (by.value, "multiple found by marching"), "H": (w.level / KN, "kN")},
        "kN",
        "cracked support, derived (docs/load-path.md)",
    )


def _slender(book: Notebook, job: Job, support: SupportAnswer, where: Message) -> None:
    s = support.slender
    wall = wall_of(job, support.side)
    book.write(
        say("Slenderness of {where}", where=where),
        "lambda_",
        "r * h / (p * t)",
        {
            "r": (1.0 if wall.masonry.head == "held" else 2.0, "head held 1, free 2"),
            "h": (wall.height or 0.0, "m"),
            "p": (s.stiffening, "rho_t of table 5.1"),
            "t": (s.thickness / s.stiffening, "m"),
        },
        "",
        "EN 1996-1-1 5.5.1.2 to 5.5.1.4, table 5.1",
    )


def _strength(
    book: Notebook, job: Job, support: SupportAnswer, strength: Strength, where: Message
) -> None:
    group = wall_of(job, support.side).masonry.group
    if strength.k is not None and strength.unit is not None and strength.mortar is not None:
        book.write(
            say("Strength of the masonry of {where} ({group})", where=where, group=group),
            "f_k",
            "K * fb**0.7 * fm**0.3",
            {
                "K": (job.loads.national.k or K_TABLE[group], ""),
                "fb": (min(strength.unit / N_MM2, 75.0), "N/mm2"),
                "fm": (min(strength.mortar / N_MM2, 20.0, 2 * strength.unit / N_MM2), "N/mm2"),
            },
            "N/mm2",
            "EN 1996-1-1 3.6.1.2, expression 3.2, table 3.3",
        )
    book.write(
        say("Design strength of {where}", where=where),
        "f_d",
        "f_k / gM",
        {"f_k": (strength.characteristic / N_MM2, "N/mm2"), "gM": (strength.factor, "")},
        "N/mm2",
        "EN 1996-1-1 2.4.1, 2.4.3",
    )


def _vertical(book: Notebook, job: Job, support: SupportAnswer, where: Message) -> None:
    resistance, strength = support.resistance, support.strength
    if resistance is None or strength is None or support.vertical is None:
        return
    level, place = resistance.governs
    row = ("head", "middle", "base").index(level)
    levels = {"head": say("head"), "middle": say("middle"), "base": say("base")}
    area = float(resistance.area[row])
    e = float(resistance.eccentricities[row, place])
    at_level = {"where": where, "level": levels[level]}
    built = wall_of(job, support.side).buttress is not None and not support.pier
    if built:
        phi = float(resistance.reductions[row, place])
        source = "EN 1996-1-1 6.1.2, annex G; block over wall and buttress (derived)"
        unit, per = "m2", "kN"
    else:
        phi = _reduction(book, job, resistance.slenderness, level, e, area, at_level)
        source = "EN 1996-1-1 6.1.2.1, expression 6.2"
        unit, per = "m", "kN/m"
    full = book.write(
        say("Vertical resistance of {where} at its {level}", **at_level),
        "N_Rd",
        "Phi * A * f_d * 1000",
        {"Phi": (phi, ""), "A": (area, unit), "f_d": (strength.design / N_MM2, "N/mm2")},
        per,
        source,
    )
    if not full > 0 or not math.isfinite(support.vertical.value):
        return  # the resultant stands outside: nothing is borne, and the verdict says so
    book.write(
        say("Share of it that is used, under {key}", key=support.vertical.combination),
        "u",
        "N_Ed / N_Rd",
        {"N_Ed": (support.vertical.value * full, per), "N_Rd": (full, per)},
        "",
        "EN 1996-1-1 6.1.2.1, expression 6.1",
    )


def _reduction(
    book: Notebook,
    job: Job,
    slender: float,
    level: str,
    e: float,
    t: float,
    at_level: dict[str, Message],
) -> float:
    """Phi of a plain wall."""
    if level == "middle":
        formula = "max(1 - 2*e/t, 0) * exp(-max((l*sqrt(1/E) - 0.063)/(0.73 - 1.17*e/t), 0)**2 / 2)"
        values = {
            "e": (e, "m"),
            "t": (t, "m"),
            "l": (slender, "slenderness"),
            "E": (job.loads.national.stiffness, "E over f_k"),
        }
        source = "EN 1996-1-1 annex G, expressions G.1 to G.4"
        if e > CRACKED * t:
            formula = f"min({formula}, 0.64*pi**2*E*(0.5 - e/t)**3/l**2)"
            source = "EN 1996-1-1 annex G, expressions G.1 to G.4; not over Yokel 1971"
    else:
        formula, values = "max(1 - 2*e/t, 0)", {"e": (e, "m"), "t": (t, "m")}
        source = "EN 1996-1-1 6.1.2.2(1), expression 6.4"
    return book.write(
        say("Capacity reduction of {where} at its {level}", **at_level),
        "Phi",
        formula,
        values,
        "",
        source,
    )


def _springer(book: Notebook, support: SupportAnswer, strength: Strength, where: Message) -> None:
    if support.work.springer is None:
        return
    book.write(
        say("Bearing of the springing on {where}, share used", where=where),
        "u",
        "V / (beta * b * f_d * 1000)",
        {
            "V": (support.work.springer / KN, "kN/m"),
            "beta": (support.enhancement, ""),
            "b": (support.bearing_width, "m"),
            "f_d": (strength.design / N_MM2, "N/mm2"),
        },
        "",
        "EN 1996-1-1 6.1.3, expressions 6.10, 6.11",
    )


def _beds(
    book: Notebook, job: Job, support: SupportAnswer, strength: Strength, where: Message
) -> None:
    shear, crushing = support.work.shear, support.work.crushing
    if shear is not None and support.shear is not None:
        most = (strength.unit or 1e9) * 0.065 / N_MM2
        book.write(
            _bed_title(where, shear, support.shear, say("Shear of a bed")),
            "u",
            "V * gM / (min(f0 + m*N/A/1000, top) * A * 1000)",
            {
                "V": (shear.shear / KN, "kN"),
                "N": (shear.normal / KN, "kN"),
                "A": (shear.area, "m2 pressed"),
                "f0": (job.loads.national.initial_shear / N_MM2, "N/mm2"),
                "m": (SHEAR_GAIN, ""),
                "top": (most, "N/mm2, 0.065 fb"),
                "gM": (strength.factor, ""),
            },
            "",
            "EN 1996-1-1 6.2, 3.6.2(3)",
        )
    if crushing is not None and support.crushing is not None:
        book.write(
            _bed_title(where, crushing, support.crushing, say("Crushing of a bed")),
            "u",
            "N / (A * f_d * 1000)",
            {
                "N": (crushing.normal / KN, "kN"),
                "A": (crushing.area, "m2 of block"),
                "f_d": (strength.design / N_MM2, "N/mm2"),
            },
            "",
            "EN 1996-1-1 6.1.1, stress block",
        )


def _bed_title(where: Message, bed: BedWork, by: Governed, what: Message) -> Message:
    return say(
        "{what} of {where}, {depth:metres} under the springing, share used, under {key}",
        what=what,
        where=where,
        depth=bed.depth,
        key=by.combination,
    )


def _ground(book: Notebook, job: Job, support: SupportAnswer, where: Message) -> None:
    ground, by = support.work.bearing, support.ground_sliding
    data = wall_of(job, support.side).ground
    book.write(
        say("Effective width of the footing under {where}", where=where),
        "B_",
        "max(B - 2*abs(e), 0)",
        {"B": (ground.width, "m"), "e": (ground.eccentricity, "m")},
        "m",
        "Meyerhof 1953",
    )
    if ground.area > 0:
        book.write(
            say("Pressure on the ground over the part centred on the load"),
            "q",
            "N / A",
            {"N": (ground.normal / KN, "kN"), "A": (ground.area, "m2")},
            "kN/m2",
            "Meyerhof 1953; EN 1997-1 annex D",
        )
    slide = support.work.sliding
    if slide.level > 0:
        book.write(
            say("Factor against sliding on the ground, under {key}", key=by.combination),
            "n",
            "m * N / H",
            {
                "m": (data.friction, ""),
                "N": (slide.normal / KN, "kN"),
                "H": (slide.level / KN, "kN"),
            },
            "",
            "EN 1997-1 6.5.3",
        )
