"""Notes on the loads of a vault on a plan: what there is of each, how they are combined, what the
supports take of them, and the combination that governs the vault."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.net_envelope import NetEnvelope, VaultReserve
from timbrel.statics.notes import Notebook
from timbrel.words import say

if TYPE_CHECKING:
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_states import NetStates

KN = 1e3


def load_notes(
    book: Notebook, job: Job, acts: NetActions, every: NetEnvelope, states: NetStates
) -> None:
    """Write the notes on loads and combinations."""
    values = {f"G{i}": (p.total / KN, "kN") for i, p in enumerate(acts.permanent, 1)}
    listed = ", ".join(f"G{i} {p.key}" for i, p in enumerate(acts.permanent, 1))
    total = book.write(
        say("Permanent load on the whole vault: {what}", what=listed),
        "G",
        " + ".join(values),
        values,
        "kN",
        "true areas and densities of the job",
    )
    full = next((p for p in acts.patterns if p.key == "full"), None)
    if full is not None:
        book.write(
            say("Imposed load on the whole vault"),
            "Q",
            "q * A",
            {"q": (acts.imposed / KN, "kN/m2"), "A": (full.total / acts.imposed, "m2")},
            "kN",
            acts.source,
        )
    for other in acts.others:
        if other.kind == "snow" and job.loads.snow:
            area = other.load.total / job.loads.snow
            book.write(
                say("Snow on the whole vault"),
                "S",
                "s * A",
                {"s": (job.loads.snow / KN, "kN/m2"), "A": (area, "m2")},
                "kN",
                "stated in the job, loads.snow",
            )
    _combined(book, acts, every, total)
    _balance(book, states, total)


def _combined(book: Notebook, acts: NetActions, every: NetEnvelope, total: float) -> None:
    """What governs the vault: its design load, and what is left of it."""
    worst = every.governing
    if worst is None:
        return
    c = worst.combination
    loads = {p.key: p.total for p in acts.patterns} | {
        o.load.key: o.load.total for o in acts.others
    }
    values = {"gG": (c.dead, ""), "G": (total, "kN")}
    terms = ["gG * G"]
    for i, part in enumerate(c.factors, 1):
        values[f"g{i}"] = (part.factor, part.load)
        values[f"Q{i}"] = (loads.get(part.load, 0.0) / KN, "kN")
        terms.append(f"g{i} * Q{i}")
    book.write(
        say("Design load down under {key}, which governs the vault", key=c.key),
        "E_d",
        " + ".join(terms),
        values,
        "kN",
        c.source,
    )
    _reserve(book, worst)


def _reserve(book: Notebook, worst: VaultReserve) -> None:
    c = worst.combination
    book.write(
        say("Multiple of the variable loads of {key} that the vault bears", key=c.key),
        "m",
        "k * gG / gQ",
        {
            "k": (worst.multiple * c.ratio, ""),
            "gG": (c.dead, ""),
            "gQ": (c.variable, ""),
        },
        "",
        "safe theorem, Heyman 1966; k by the strut net",
    )


def _balance(book: Notebook, states: NetStates, total: float) -> None:
    """What comes down on the supports is what lies on the vault."""
    dead = next((p for p in states.pushed if p.combination.key == "characteristic.dead"), None)
    if dead is None:
        return
    values = {f"V_{push.support}": (-float(push.total[2]) / KN, "kN") for push in dead.pushes}
    book.write(
        say("What comes down on the supports under the dead load, beside {total} kN that lies on it",
            total=f"{total:.6g}"),
        "V",
        " + ".join(values),
        values,
        "kN",
        "equilibrium",
    )  # fmt: skip
