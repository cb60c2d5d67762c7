"""The notes of the ties: force, section, thread, plate, and what their stretch costs."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.statics.notes import Notebook
from timbrel.statics.ties import TieAnswer, gross_area
from timbrel.words import say

KN, N_MM2, MM = 1e3, 1e6, 1e3


def tie_notes(book: Notebook, job: Job, tie: TieAnswer) -> None:
    """All of one of the ties across a vault."""
    ties = job.walls.ties
    assert ties is not None and ties.spacing is not None
    force = book.write(
        say("Design force of a tie"),
        "N_Ed",
        "H * s",
        {"H": (tie.force / ties.spacing / KN, "kN/m"), "s": (ties.spacing, "m")},
        "kN",
        "one tie a bay",
    )
    tie_steps(book, job, force)
    spread = spread_note(book, ties, tie.service, tie.length)
    cold_note(book, ties)
    drop_note(book, tie.length, tie.rise, spread)


def tie_steps(book: Notebook, job: Job, force: float) -> None:
    """Section, thread and plate under a design force (kN)."""
    resistance_notes(book, job)
    _plate(book, job, force)


def resistance_notes(book: Notebook, job: Job) -> None:
    """Gross section, and thread or holed section."""
    ties, national = job.walls.ties, job.loads.national
    assert ties is not None
    area = gross_area(ties) * 1e6
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


def _plate(book: Notebook, job: Job, force: float) -> None:
    ties, national = job.walls.ties, job.loads.national
    assert ties is not None and ties.anchor is not None
    bar = ties.kind == "bar"
    area = gross_area(ties) * 1e6
    pressure = book.write(
        say("Pressure of its plate on the masonry"),
        "p",
        "N_Ed * 1000 / (b**2 - A)",
        {"N_Ed": (force, "kN"), "b": (ties.anchor.side * MM, "mm"), "A": (area, "mm2 of tie")},
        "N/mm2",
        "EN 1996-1-1 6.1.3",
    )
    grip = (2 * ties.diameter if bar and ties.diameter else ties.width or 0.0) * MM
    book.write(
        say("Thickness that its plate needs, a cantilever from the nut to its edge"),
        "t",
        "sqrt(3 * p * (max(b - g, 0) / 2)**2 * g0 / fy)",
        {
            "p": (pressure, "N/mm2"),
            "b": (ties.anchor.side * MM, "mm"),
            "g": (grip, "mm of nut"),
            "g0": (national.steel, ""),
            "fy": (ties.yield_strength / N_MM2, "N/mm2"),
        },
        "mm",
        "EN 1993-1-1 6.2.5, elastic section",
    )


def spread_note(book: Notebook, ties: Ties, service: float, length: float) -> float:
    """What a length of tie (m) grows under its characteristic force (N) and warmth, mm."""
    return book.write(
        say("Spread of the springings by load and warmth"),
        "s",
        "(N * 1000 / (E * A) + a * dT) * L",
        {
            "N": (service / KN, "kN"),
            "E": (ties.modulus / N_MM2, "N/mm2"),
            "A": (gross_area(ties) * 1e6, "mm2"),
            "a": (ties.expansion, "1/K"),
            "dT": (ties.warmer, "K"),
            "L": (length * MM, "mm"),
        },
        "mm",
        "Hooke's law; free expansion",
    )


def cold_note(book: Notebook, ties: Ties) -> None:
    """What cooling by as much adds where nothing gives."""
    if ties.warmer > 0:
        book.write(
            say("Force that cooling by as much adds to a tie, where nothing gives"),
            "N_T",
            "E * A * a * dT / 1000",
            {
                "E": (ties.modulus / N_MM2, "N/mm2"),
                "A": (gross_area(ties) * 1e6, "mm2"),
                "a": (ties.expansion, "1/K"),
                "dT": (ties.warmer, "K"),
            },
            "kN",
            "Hooke's law; the masonry gives a little and eases it",
        )


def drop_note(book: Notebook, length: float, rise: float, spread: float) -> None:
    """Drop of the crown over springings `length` apart (m) that move `spread` (mm) further."""
    half = length / 2
    if half**2 + rise**2 > (half + spread / MM / 2) ** 2:
        book.write(
            say("Drop of the crown: both halves turn as rigid bodies about three hinges"),
            "d",
            "f - sqrt((L/2)**2 + f**2 - ((L + s)/2)**2)",
            {
                "f": (rise * MM, "mm"),
                "L": (length * MM, "mm"),
                "s": (spread, "mm"),
            },
            "mm",
            "geometry of three hinges (derived)",
        )
