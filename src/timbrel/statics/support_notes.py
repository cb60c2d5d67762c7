"""The notes of the load path: from the load on the vault to the ground, clause by clause."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.envelope import Envelope
from timbrel.statics.expressions import STRENGTH_SOURCES, design_pairs
from timbrel.statics.notes import Note, Notebook
from timbrel.statics.spread import Moved
from timbrel.statics.support_checks import SupportAnswer
from timbrel.statics.tie_notes import tie_notes
from timbrel.statics.ties import TieAnswer
from timbrel.statics.wall_notes import support_notes
from timbrel.words import say

if TYPE_CHECKING:
    from timbrel.statics.station import Station

KN = 1e3


def load_path_notes(
    job: Job,
    station: Station,
    envelope: Envelope,
    friction: float | None,
    supports: tuple[SupportAnswer, ...],
    tie: TieAnswer | None,
    moved: Moved | None,
) -> tuple[Note, ...]:
    """Every step of the calculation, numbered."""
    book = Notebook()
    _loads(book, job, station)
    _thrust(book, station, envelope)
    _friction(book, job, envelope, friction)
    _moved(book, station, moved)
    for support in supports:
        support_notes(book, job, support)
    if tie is not None:
        tie_notes(book, job, tie)
    return tuple(book.notes)


def _loads(book: Notebook, job: Job, station: Station) -> None:
    acts = station.actions
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
    outer = acts.strip.shell_outer
    span = float(outer[-1, 0] - outer[0, 0])
    q = book.write(
        say("Imposed load on the whole strip"),
        "Q",
        "q * L",
        {"q": (acts.imposed / KN, "kN/m2"), "L": (span, "m")},
        "kN/m",
        acts.imposed_source,
    )
    total = sum(p.total for p in permanent) / KN
    for pair in design_pairs(job.loads):
        book.write(
            say("Design load of the whole strip, full imposed load"),
            "E_d",
            "gG * G + gQ * Q",
            {
                "gG": (pair.permanent, ""),
                "G": (total, "kN/m"),
                "gQ": (pair.imposed, ""),
                "Q": (q, "kN/m"),
            },
            "kN/m",
            STRENGTH_SOURCES[pair.expression],
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


def _friction(book: Notebook, job: Job, envelope: Envelope, needed: float | None) -> None:
    if needed is None or envelope.governing is None:
        return
    book.write(
        say(
            "Reserve of friction under {key}; friction is not associated, the safe theorem does "
            "not cover it",
            key=envelope.governing.key,
        ),
        "n",
        "m / m_0",
        {
            "m": (job.masonry.friction, "stated"),
            "m_0": (needed, "least with which a line exists"),
        },
        "",
        "Drucker 1954 (from memory)",
    )


def _moved(book: Notebook, station: Station, moved: Moved | None) -> None:
    """What the spread of the springings costs, against the stated line."""
    least = station.answer.least_thrust
    if moved is None or moved.least is None or least is None:
        return
    book.write(
        say(
            "Least thrust after a spread of {spread:length}, crown down {drop:length}, over that "
            "before",
            spread=moved.apart,
            drop=moved.drop,
        ),
        "r",
        "H_1 / H_0",
        {"H_1": (moved.least / KN, "kN/m"), "H_0": (least.static / KN, "kN/m")},
        "",
        "three hinges, rigid parts (derived)",
    )
