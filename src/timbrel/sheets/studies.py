"""What would help, what a tenth more or less does, and how sure: tables for paper, page, terminal."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.alternative import Alternative
    from timbrel.statics.sampled import Fitted, Influence, Uncertain
    from timbrel.statics.sensitivity import Three
    from timbrel.statics.studies import Studies

Floats = NDArray[np.float64]
SHARES = (0.0, 0.05, 0.5, 0.95, 1.0)
"""Shares of the samples below which the reserves that are told lie."""


def study_blocks(plan: Plan, voice: Voice) -> list[Block]:
    """All that was studied; nothing where nothing was."""
    if plan.studies is None:
        return []
    return [*helping(plan, voice), *tenths(plan, voice), *sureness(plan.studies, voice)]


def _on_net(plan: Plan) -> bool:
    """Is the vault one on a plan, proved by a net."""
    from timbrel.plan import SurfacePlan

    return isinstance(plan, SurfacePlan)


def _thrust_kind(plan: Plan) -> Literal["line_load", "force"]:
    """On piers the thrust is a force; the others push on a metre of wall."""
    return "force" if plan.vault.on_corners else "line_load"


def helping(plan: Plan, voice: Voice) -> list[Block]:
    """Alternatives side by side."""
    studies = plan.studies
    on_net = _on_net(plan)
    title = blocks.heading(
        voice, say("What would help the supports") if on_net else say("What would help the walls")
    )
    if studies is None or not studies.alternatives:
        why = (
            say("Not told: the job does not state the sizes of all walls or piers that are pushed.")
            if on_net
            else say("Not told: the job does not state both walls' sizes.")
        )
        return [title, blocks.words(voice, why)]
    stated = studies.alternatives[0]
    if stated.serves:
        first = (
            say(
                "All supports do as stated. Each row is one plain step more, to see what it brings."
            )
            if on_net
            else say(
                "Both supports do as stated. Each row is one plain step more, to see what it brings."
            )
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
            [_way(a, voice, _thrust_kind(plan)) for a in studies.alternatives],
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
        *([blocks.words(voice, _redrawn(), small=True)] if on_net else []),
    ]  # fmt: skip


def _redrawn() -> Message:
    return say(
        "Walls, piers and ties are asked under the thrusts of the proof; more rise and lighter fill "
        "under those of a net of the changed vault that is as fine."
    )


def _way(
    way: Alternative, voice: Voice, kind: Literal["line_load", "force"]
) -> tuple[Message | str, ...]:
    size = "–"
    if way.size is not None and way.key not in ("stated", "fill"):
        size = voice.length(way.size)
    reserve = "–" if way.reserve is None else _factor(way.reserve, voice)
    thrust = "–" if way.thrust is None else voice.quantity(way.thrust, kind)
    cost = "–" if way.cost is None else voice.number(way.cost, 0)
    return way.title, size, reserve, thrust, way.material, cost


def _factor(value: float, voice: Voice) -> str:
    return voice(say("no push left")) if math.isinf(value) else voice.quantity(value, "ratio")


def tenths(plan: Plan, voice: Voice) -> list[Block]:
    """Every input by a tenth either way."""
    studies = plan.studies
    if studies is None or not studies.swings:
        return []
    thrust = say("Thrust, kN") if _thrust_kind(plan) == "force" else say("Thrust, kN/m")

    def three(values: Three, kind: str) -> str:
        if all(v is None for v in values):
            return "–"
        return " / ".join("–" if v is None else _bare(v, kind, voice) for v in values)

    return [
        blocks.heading(voice, say("A tenth less, as stated, a tenth more")),
        blocks.table(
            voice,
            [say("Input"), say("Thickness over least"), thrust, say("Push borne over push")],
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
        *([blocks.words(voice, _asked_of_nets(), small=True)] if _on_net(plan) else []),
    ]


def _asked_of_nets() -> Message:
    return say(
        "The vault: by its coarsest net, drawn again each time, under its dead load and the imposed "
        "load that governs, unfactored. Its figures stand a little off those of the proof: read how "
        "far they change. Spread of the springings is left out: a net has no hinges that would follow "
        "it."
    )


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
    if found.strength is not None:
        rows.append((say("All loads that the strength bears, over the loads: least, half"),
                     _capped(found.strength, voice)))  # fmt: skip
    return [
        blocks.heading(voice, say("How sure, if things are not quite as stated")),
        blocks.table(voice, [say("What"), say("Value")], rows, align="lr", widths=[FILL, 60]),
        _influences(found.influences, say("Rank correlation with the reserve"), voice),
        *(
            [_influences(found.supports, say("Rank correlation with the push borne"), voice)]
            if found.supports
            else []
        ),
        *([] if found.fitted is None else [_foretold(found.fitted, voice)]),
        blocks.words(
            voice,
            say(
                "Standard deviations are the job's (uncertainty). Loads are unfactored. The same "
                "seed gives the same answer."
            ),
            small=True,
        ),
    ]


def _influences(found: tuple[Influence, ...], title: Message, voice: Voice) -> Block:
    return blocks.table(
        voice,
        [say("Input"), title],
        [(i.title, voice.number(i.correlation, 2)) for i in found],
        align="lr",
        widths=[FILL, -1],
    )


def _capped(values: Floats, voice: Voice) -> str:
    """Least and middle; nets are followed no further than a multiple of their loads."""
    middle = float(np.median(values))
    told = voice.number(middle, 2)
    return f"{voice.number(float(values.min()), 2)} / {told}"


def _foretold(fitted: Fitted, voice: Voice) -> Block:
    """How the samples of a vault on a plan were come by, and how far that may be out."""
    lines = [
        say(
            "{nets:count} nets were solved; the samples between them are foretold. Each net left out "
            "in turn, the reserve was missed by {error:percent} (root mean square).",
            nets=fitted.nets,
            error=fitted.reserve_error,
        )
    ]
    if fitted.thrust_error is not None:
        lines.append(
            say(
                "Thrust on the supports was missed by {error:percent}; walls, piers and ties that stay "
                "were followed for every sample, at the least thrust of the whole vault, piers at the "
                "greatest too.",
                error=fitted.thrust_error,
            )
        )
    if fitted.pattern is not None:
        lines.append(say("Beside the dead load: {load}.", load=fitted.pattern))
    lines.append(
        say(
            "{checked:count} samples near the limit were asked of nets of their own; {turned:count} "
            "of them came out otherwise than foretold.",
            checked=fitted.checked,
            turned=fitted.turned,
        )
    )
    lines += [say("Left out: {what}.", what=what) for what in fitted.left_out]
    return blocks.bullets(voice, lines)


def _share(found: Uncertain, voice: Voice) -> str:
    """None of n failing is not a share of nothing: the rule of three bounds it (95 %)."""
    if found.failing == 0:
        most = voice.number(300 / len(found.reserve), 2)
        return voice(say("none; under {most} % with 95 % confidence", most=most))
    return (
        f"{voice.number(found.failing * 100, 2)} ± {voice.number(found.standard_error * 100, 2)} %"
    )
