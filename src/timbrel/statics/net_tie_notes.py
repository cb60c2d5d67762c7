"""The notes of the ties of a vault on a plan: force, section, plate, stretch and what it costs."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.statics.level_arch import LevelArch
from timbrel.statics.notes import Notebook
from timbrel.statics.tie_notes import cold_note, drop_note, resistance_notes, spread_note, tie_steps
from timbrel.statics.tied_plan import NetRing, NetTie, NetTies
from timbrel.words import say

KN, N_MM2, MM = 1e3, 1e6, 1e3


def net_tie_notes(book: Notebook, job: Job, tied: NetTies) -> None:
    """The walls between the corners, the tie that holds most, and what all cost together."""
    ties = job.walls.ties
    assert ties is not None
    for side, arch in tied.arches:
        if arch.use <= 1:
            _arch(book, side, arch)
    if tied.ring is not None:
        _ring(book, job, ties, tied)
        return
    if not tied.ties:
        return
    most = max(tied.ties, key=lambda tie: tie.answer.force)
    _force(book, ties, tied, most)
    tie_steps(book, job, most.answer.force / KN)
    longest = max(tied.ties, key=lambda tie: tie.answer.spread)
    spread_note(book, ties, longest.answer.service, longest.answer.length)
    cold_note(book, ties)
    length, moved = tied.halves
    spread = moved * MM
    if length > max(tied.across):
        spread = book.write(
            say("Diagonal between the springings after they have moved apart, over that before"),
            "s",
            "(sqrt((L_x + s_x/1000)**2 + (L_y + s_y/1000)**2) - sqrt(L_x**2 + L_y**2)) * 1000",
            {
                "L_x": (tied.across[0], "m"),
                "s_x": (tied.apart[0] * MM, "mm"),
                "L_y": (tied.across[1], "m"),
                "s_y": (tied.apart[1] * MM, "mm"),
            },
            "mm",
            "geometry",
        )
    drop_note(book, length, tied.rise, spread)


def _arch(book: Notebook, side: str, arch: LevelArch) -> None:
    book.write(
        say("Thrust of the level arch in the wall, {side}", side=side),
        "N_a",
        "f_d*b*T/2 * (1 - sqrt(1 - h*L**2/(f_d*b*T**2))) / 1000",
        {
            "f_d": (arch.strength, "N/m2"),
            "b": (arch.band, "m"),
            "T": (arch.thickness, "m"),
            "h": (arch.push, "N/m"),
            "L": (arch.length, "m"),
        },
        "kN",
        "flat arch in the thickness of the wall (derived)",
    )


def _force(book: Notebook, ties: Ties, tied: NetTies, tie: NetTie) -> None:
    if tied.layout == "across":
        assert ties.spacing is not None
        book.write(
            say("Design force of a tie"),
            "N_Ed",
            "H * s",
            {"H": (tie.answer.force / ties.spacing / KN, "kN/m"), "s": (ties.spacing, "m")},
            "kN",
            "one tie a bay",
        )
        return
    book.write(
        say("Design force of tie {side} under {key}", side=tie.name, key=tie.combination),
        "N_Ed",
        "F",
        {"F": (tie.answer.force / KN, "kN, part of the push of its corners along it")},
        "kN",
        "equilibrium of a corner, taken apart along its two sides",
    )


def _ring(book: Notebook, job: Job, ties: Ties, tied: NetTies) -> None:
    ring: NetRing | None = tied.ring
    assert ring is not None
    book.write(
        say("Tension of the ring under {key}", key=ring.combination),
        "N_Ed",
        "h * r",
        {"h": (ring.force / ring.radius / KN, "kN/m"), "r": (ring.radius, "m")},
        "kN",
        "equilibrium of a ring",
    )
    resistance_notes(book, job)
    book.write(
        say("Pressure of the ring on the masonry behind its thinner side"),
        "p",
        "N / (r * b)",
        {
            "N": (ring.force / KN, "kN"),
            "r": (ring.radius * MM, "mm"),
            "b": (ring.force / ring.radius / ring.pressing, "m"),
        },
        "N/mm2",
        "equilibrium of a ring",
    )
    grown = spread_note(book, ties, ring.service, ring.radius)
    cold_note(book, ties)
    drop_note(book, tied.halves[0], tied.rise, 2 * grown)
