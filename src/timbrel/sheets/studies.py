"""What would help, what a tenth more or less does, and how sure: tables for paper, page, terminal."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.alternative import Alternative
    from timbrel.statics.sampled import Uncertain
    from timbrel.statics.sensitivity import Three
    from timbrel.statics.studies import Studies

SHARES = (0.0, 0.05, 0.5, 0.95, 1.0)
"""Shares of the samples below which the reserves that are told lie."""


def study_blocks(plan: Plan, voice: Voice) -> list[Block]:
    """All that was studied; nothing where nothing was."""
    if plan.studies is None:
        return []
    return [*helping(plan, voice), *tenths(plan.studies, voice), *sureness(plan.studies, voice)]


def helping(plan: Plan, voice: Voice) -> list[Block]:
    """Alternatives side by side."""
    studies = plan.studies
    title = blocks.heading(voice, say("What would help the walls"))
    if studies is None or not studies.alternatives:
        return [
            title,
            blocks.words(voice, say("Not told: the job does not state both walls' sizes.")),
        ]
    stated = studies.alternatives[0]
    if stated.serves:
        first = say(
            "Both supports do as stated. Each row is one plain step more, to see what it brings."
        )
    else:
        first = say(
            "The vault or its supports do not do as stated. Each row is the least of its kind with "
            "which there is a thrust line and no verdict on the supports fails; a dash: none does."
        )
    currency = plan.job.prices.currency
    return [
        title,
        blocks.words(voice, first),
        blocks.table(
            voice,
            [say("Way"), say("Size"), say("Push borne over push"), say("Greatest thrust"),
             say("Added"), say("Cost, {currency}", currency=currency)],
            [_way(a, voice) for a in studies.alternatives],
            align="lrrrlr",
            widths=[46, -1, -1, -1, FILL, -1],
        ),
        blocks.words(
            voice,
            say(
                "Push borne: design push at which a cracked support falls (EQU). Costs are of the "
                "material added, at the job's prices; a dash: the job states no price."
            ),
            small=True,
        ),
    ]  # fmt: skip


def _way(way: Alternative, voice: Voice) -> tuple[Message | str, ...]:
    size = "–"
    if way.size is not None and way.key not in ("stated", "fill"):
        size = voice.length(way.size)
    reserve = "–" if way.reserve is None else _factor(way.reserve, voice)
    thrust = "–" if way.thrust is None else voice.quantity(way.thrust, "line_load")
    cost = "–" if way.cost is None else voice.number(way.cost, 0)
    return way.title, size, reserve, thrust, way.material, cost


def _factor(value: float, voice: Voice) -> str:
    return voice(say("no push left")) if math.isinf(value) else voice.quantity(value, "ratio")


def tenths(studies: Studies, voice: Voice) -> list[Block]:
    """Every input by a tenth either way."""
    if not studies.swings:
        return []

    def three(values: Three, kind: str) -> str:
        if all(v is None for v in values):
            return "–"
        return " / ".join("–" if v is None else _bare(v, kind, voice) for v in values)

    return [
        blocks.heading(voice, say("A tenth less, as stated, a tenth more")),
        blocks.table(
            voice,
            [say("Input"), say("Thickness over least"), say("Thrust, kN/m"),
             say("Push borne over push")],
            [
                (s.title, three(s.reserve, "ratio"), three(s.thrust, "kn"), three(s.walls, "ratio"))
                for s in studies.swings
            ],
            align="lrrr",
            widths=[FILL, -1, -1, -1],
        ),
        blocks.words(
            voice,
            say(
                "One input at a time, each under the combination that governs as stated; under 1 "
                "the vault or the support would fall."
            ),
            small=True,
        ),
    ]  # fmt: skip


def _bare(value: float, kind: str, voice: Voice) -> str:
    if kind == "ratio":
        return "∞" if math.isinf(value) else voice.number(value, 2)
    return voice.number(value * 1e-3, 2)


def sureness(studies: Studies, voice: Voice) -> list[Block]:
    """Share of the samples that fail, spread of the reserve, what matters most."""
    found = studies.uncertain
    if found is None:
        return []
    reserve = np.sort(found.reserve)
    rows: list[tuple[Message | str, str]] = [
        (say("Samples drawn (Latin hypercube), seed"), f"{len(reserve)}, {found.seed}"),
        (say("Share in which vault or wall fails"), _share(found, voice)),
        (
            say("Thickness over least: least, 5 %, half, 95 %, greatest"),
            " / ".join(voice.number(float(np.quantile(reserve, s)), 2) for s in SHARES),
        ),
    ]
    if not np.isnan(found.walls).all():
        walls = found.walls[np.isfinite(found.walls)]
        if len(walls):
            rows.append(
                (
                    say("Push borne over push, unfactored: least, half"),
                    f"{voice.number(float(walls.min()), 2)} / "
                    f"{voice.number(float(np.median(walls)), 2)}",
                )
            )
    return [
        blocks.heading(voice, say("How sure, if things are not quite as stated")),
        blocks.table(voice, [say("What"), say("Value")], rows, align="lr", widths=[FILL, 60]),
        blocks.table(
            voice,
            [say("Input"), say("Rank correlation with the reserve")],
            [(i.title, voice.number(i.correlation, 2)) for i in found.influences],
            align="lr",
            widths=[FILL, -1],
        ),
        blocks.words(
            voice,
            say(
                "Standard deviations are the job's (uncertainty). Loads are unfactored. The same "
                "seed gives the same answer."
            ),
            small=True,
        ),
    ]


def _share(found: Uncertain, voice: Voice) -> str:
    """None of n failing is not a share of nothing: the rule of three bounds it (95 %)."""
    if found.failing == 0:
        most = voice.number(300 / len(found.reserve), 2)
        return voice(say("none; under {most} % with 95 % confidence", most=most))
    return (
        f"{voice.number(found.failing * 100, 2)} ± {voice.number(found.standard_error * 100, 2)} %"
    )
