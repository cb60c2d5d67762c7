"""The notes of the load path: from the load on the vault to the ground, clause by clause."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.combinations import CLAUSES
from timbrel.statics.envelope import Envelope
from timbrel.statics.notes import Note, Notebook
from timbrel.statics.support_checks import SupportAnswer
from timbrel.statics.ties import TieAnswer, gross_area
from timbrel.statics.wall_en1996 import K_TABLE
from timbrel.verdict import Check
from timbrel.words import say

if TYPE_CHECKING:
    from timbrel.statics.proof import Station

KN, N_MM2 = 1e3, 1e6


def load_path_notes(
    job: Job,
    station: Station,
    envelope: Envelope,
    supports: tuple[SupportAnswer, ...],
    tie: TieAnswer | None,
) -> tuple[Note, ...]:
    """Every step of the calculation, numbered."""
    book = Notebook()
    _loads(book, job, station)
    _thrust(book, station, envelope)
    for support in supports:
        _support(book, job, support)
    if tie is not None:
        _tie(book, job, tie)
    return tuple(book.notes)


def _loads(book: Notebook, job: Job, station: Station) -> None:
    acts, factors = station.actions, job.loads.factors
    permanent = acts.permanent
    values = {f"G{i}": (p.total / KN, "kN/m") for i, p in enumerate(permanent, 1)}
    book.write(
        say("Permanent load on a metre of strip: {what}", what=_listed(permanent)),
        "G",
        " + ".join(values),
        values,
        "kN/m",
        "true areas and densities of the job",
    )
    span = float(acts.strip.outer[-1, 0] - acts.strip.outer[0, 0])
    q = book.write(
        say("Imposed load on the whole strip"),
        "Q",
        "q * L",
        {"q": (acts.imposed / KN, "kN/m2"), "L": (span, "m")},
        "kN/m",
        acts.imposed_source,
    )
    total = sum(p.total for p in permanent) / KN
    book.write(
        say("Design load of the whole strip, full imposed load"),
        "E_d",
        "gG * G + gQ * Q",
        {
            "gG": (factors.permanent, ""),
            "G": (total, "kN/m"),
            "gQ": (factors.variable, ""),
            "Q": (q, "kN/m"),
        },
        "kN/m",
        CLAUSES["STR"],
    )


def _listed(loads: tuple[object, ...]) -> str:
    return ", ".join(f"G{i} {getattr(load, 'key', '')}" for i, load in enumerate(loads, 1))


def _thrust(book: Notebook, station: Station, envelope: Envelope) -> None:
    """The governing thrust line checked by hand: moments about the point where it starts."""
    if envelope.governing is not None:
        book.write(
            say(
                "Reserve of thickness under {key}, which governs the vault",
                key=envelope.governing.key,
            ),
            "n",
            "1 / s",
            {"s": (envelope.governing.share, "least thickness over thickness")},
            "",
            "safe theorem, Heyman 1966",
        )
    least = station.answer.least_thrust
    if least is None:
        return
    dead = station.actions.dead
    line = least.line
    crown = int(line.points[:, 1].argmax())
    x0, z0 = (float(c) for c in line.points[0])
    xc, zc = (float(c) for c in line.points[crown])
    part = dead[:crown]
    weight = float(-part[:, 1].sum())
    reach = float(-part[:, 2].sum()) / weight
    book.write(
        say("Least thrust under the dead load, by moments about the line's highest point"),
        "H",
        "(V * (x_c - x_0) - W * (x_c - x_w)) / (z_c - z_0)",
        {
            "V": (float(line.force[0, 1]) / KN, "kN/m"),
            "W": (weight / KN, "kN/m"),
            "x_c": (xc, "m"),
            "x_0": (x0, "m"),
            "x_w": (reach, "m"),
            "z_c": (zc, "m"),
            "z_0": (z0, "m"),
        },
        "kN/m",
        "equilibrium of the part from the springing to the crown",
    )


def _support(book: Notebook, job: Job, support: SupportAnswer) -> None:
    wall = getattr(job.walls, support.side)
    side = say("left") if support.side == "left" else say("right")
    strength = support.strength
    if strength is None:
        return
    if strength.k is not None and strength.unit is not None and strength.mortar is not None:
        book.write(
            say(
                "Strength of the {side} wall's masonry ({group})",
                side=side,
                group=wall.masonry.group,
            ),
            "f_k",
            "K * fb**0.7 * fm**0.3",
            {
                "K": (job.loads.national.k or K_TABLE[wall.masonry.group], ""),
                "fb": (min(strength.unit / N_MM2, 75.0), "N/mm2"),
                "fm": (
                    min(strength.mortar / N_MM2, 20.0, 2 * strength.unit / N_MM2),
                    "N/mm2",
                ),
            },
            "N/mm2",
            "EN 1996-1-1 3.6.1.2, expression 3.2, table 3.3",
        )
    book.write(
        say("Design strength of the {side} wall", side=side),
        "f_d",
        "f_k / gM",
        {"f_k": (strength.characteristic / N_MM2, "N/mm2"), "gM": (strength.factor, "")},
        "N/mm2",
        "EN 1996-1-1 2.4.1, 2.4.3",
    )
    resistance = support.resistance
    if resistance is not None:
        _vertical(book, job, support)


def _vertical(book: Notebook, job: Job, support: SupportAnswer) -> None:
    resistance, strength = support.resistance, support.strength
    assert resistance is not None and strength is not None
    level, place = resistance.governs
    row = ("head", "middle", "base").index(level)
    side = say("left") if support.side == "left" else say("right")
    t = support.thickness
    e = float(resistance.eccentricities[row, place])
    if level == "middle":
        formula = "(1 - 2*e/t) * exp(-max((h/t*sqrt(1/E) - 0.063)/(0.73 - 1.17*e/t), 0)**2 / 2)"
        values = {
            "e": (e, "m"),
            "t": (t, "m"),
            "h": (resistance.effective_height, "m"),
            "E": (job.loads.national.stiffness, "E over f_k"),
        }
        source = "EN 1996-1-1 annex G, expressions G.1 to G.4"
    else:
        formula, values = "max(1 - 2*e/t, 0)", {"e": (e, "m"), "t": (t, "m")}
        source = "EN 1996-1-1 6.1.2.2(1), expression 6.4"
    phi = book.write(
        say("Capacity reduction of the {side} wall at its {level}", side=side, level=level),
        "Phi",
        formula,
        values,
        "",
        source,
    )
    book.write(
        say("Vertical resistance of the {side} wall at its {level}", side=side, level=level),
        "N_Rd",
        "Phi * t * f_d * 1000",
        {"Phi": (phi, ""), "t": (t, "m"), "f_d": (strength.design / N_MM2, "N/mm2")},
        "kN/m",
        "EN 1996-1-1 6.1.2.1, expression 6.2",
    )


def _tie(book: Notebook, job: Job, tie: TieAnswer) -> None:
    ties, national = job.walls.ties, job.loads.national
    assert ties is not None
    area = gross_area(ties) * 1e6
    book.write(
        say("Design force of a tie"),
        "N_Ed",
        "H * s",
        {"H": (tie.force / ties.spacing / KN, "kN/m"), "s": (ties.spacing, "m")},
        "kN",
        "one tie a bay",
    )
    book.write(
        say("Resistance of its gross section"),
        "N_pl",
        "A * fy / g0 / 1000",
        {
            "A": (area, "mm2"),
            "fy": (ties.yield_strength / N_MM2, "N/mm2"),
            "g0": (national.steel, ""),
        },
        "kN",
        "EN 1993-1-1 6.2.3(2)a",
    )
    bar = ties.kind == "bar"
    left = 0.78 if bar else 1 - ties.hole / (ties.width or 1.0)
    book.write(
        say("Resistance of its thread") if bar else say("Resistance of its holed section"),
        "N_u",
        "0.9 * fu * c * A / g2 / 1000",
        {
            "fu": (ties.ultimate_strength / N_MM2, "N/mm2"),
            "c": (left, "share of A left"),
            "A": (area, "mm2"),
            "g2": (national.steel_net, ""),
        },
        "kN",
        "EN 1993-1-8 table 3.4" if bar else "EN 1993-1-1 6.2.3(2)b",
    )


def check_sources(checks: tuple[Check, ...]) -> tuple[str, ...]:
    """Every source that the verdicts name, once each, in their order."""
    return tuple(dict.fromkeys(c.source for c in checks))
