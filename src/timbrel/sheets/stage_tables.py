"""The building in figures, and the method statement with its hold points to be signed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.order_pages import step_line
from timbrel.verdict import Verdict
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan, Plan
    from timbrel.statics.building.lifts import Lifts
    from timbrel.statics.building.orders import Order
    from timbrel.statics.building.stages import Building
    from timbrel.statics.building.state import StateAnswer


LONG = 3 * 3600.0
"""Waits of so long and longer are told in hours (s)."""


def stage_blocks(plan: Plan, voice: Voice) -> list[Block]:
    """Governing states, waits, orders of work compared, fill, settling."""
    building = plan.building
    if building is None:
        return [blocks.words(voice, say("The stages of building were not followed."))]
    return [
        blocks.heading(voice, say("The governing state of each operation")),
        blocks.table(
            voice,
            [say("State"), say("Tension"), say("Bond"), say("Ratio"), say("Youngest joint waits"),
             say("Buckling"), say("Verdict")],
            [_state_row(a, voice) for a in building.worst],
            align="lrrrrrl",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
        blocks.heading(voice, say("Waits")),
        _waits(building, voice),
        *_orders(building, voice),
        *lift_blocks(building.lifts, voice),
        *_settling(building, voice),
    ]  # fmt: skip


def _settling(building: Building, voice: Voice) -> list[Block]:
    """Nothing where the shell that stands by itself does not part at three hinges."""
    if not building.settling:
        return []
    return [
        blocks.heading(voice, say("Crown drop when the springings spread")),
        blocks.table(
            voice,
            [say("Spread"), say("Settlement"), say("Drop of the crown")],
            [
                (voice.length(s.spread), voice.length(s.settlement), voice.length(s.drop, 1))
                for s in building.settling
            ],
            align="rrr",
        ),
    ]


def _or_dash(voice: Voice, value: float | None, kind: str) -> str:
    if value is None:
        return "–"
    return voice.quantity(value, kind) if math.isfinite(value) else voice(say("never"))


def _state_row(answer: StateAnswer, voice: Voice) -> tuple[Message | str, ...]:
    return (
        answer.state.title,
        voice.quantity(answer.tension, "stress"),
        _or_dash(voice, answer.strength, "stress"),
        _or_dash(voice, answer.ratio, "percent"),
        _or_dash(voice, answer.wait, "minutes" if (answer.wait or 0.0) < LONG else "hours"),
        voice.quantity(answer.buckling, "ratio"),
        _word(answer, voice),
    )


def _word(answer: StateAnswer, voice: Voice) -> str:
    """May it be, in a word: loads that somebody sets down are allowed or forbidden."""
    if answer.state.resting and answer.verdict is Verdict.FAILS:
        return voice(say("must not be done"))
    if answer.state.resting and answer.verdict is Verdict.HOLDS:
        return voice(say("may be done"))
    return blocks.verdict_word(voice, answer.verdict)


def _waits(building: Building, voice: Voice) -> Block:
    holding = building.holding
    rows = [
        (say("A tile at the crown is held by hand"), _or_dash(voice, holding.known, "minutes")),
        (say("The centring may move on, after the key"),
         _or_dash(voice, building.move_after, "minutes")),
        (say("The second layer may start, after the first"),
         _or_dash(voice, building.next_after, "hours")),
        (say("A person may kneel on the whole shell, after the last tile"),
         _or_dash(voice, building.walk_after, "hours")),
        (say("Tiles that may hang from the springing with no rib"),
         "–" if holding.row is None else f"{holding.row}"),
    ]  # fmt: skip
    return blocks.table(voice, [say("Wait"), say("How long")], rows, align="lr", widths=[FILL, 40])


def _orders(building: Building, voice: Voice) -> list[Block]:
    if not building.orders:
        return []
    return [
        blocks.heading(voice, say("Orders of work compared, the proposed first")),
        blocks.table(
            voice,
            [
                say("Order of work"),
                say("Tension"),
                say("Ratio"),
                say("Centring in use"),
                say("In all"),
            ],
            [_order_row(order, voice) for order in building.orders],
            align="lrrrr",
            widths=[FILL, -1, -1, -1, -1],
        ),
        blocks.words(voice, building.way_note),
    ]


def _order_row(order: Order, voice: Voice) -> tuple[Message | str, ...]:
    return (
        order.title,
        voice.quantity(order.tension, "stress"),
        _or_dash(voice, order.ratio, "percent"),
        _or_dash(voice, order.centring, "hours"),
        _or_dash(voice, order.hours, "hours"),
    )


def lift_blocks(lifts: Lifts | None, voice: Voice) -> list[Block]:
    """How far one side of the fill may run ahead of the other."""
    if lifts is None:
        return []
    safe = lifts.safe
    if safe is None:
        words = say("Filling: even both sides alike do not stand; do not fill.")
    elif math.isinf(safe):
        words = say("Filling: one side may be filled alone; keep both within a lift all the same.")
    else:
        words = say("Filling: the two sides never more than {safe:length} apart.", safe=safe)
    return [blocks.heading(voice, say("Filling")), blocks.words(voice, words)]


def method_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """Method statement: the steps, and the hold points with lines to sign."""
    order = plan.site.order
    holds = [step for step in order if step.hold]
    return [
        blocks.caution(voice, plan.site.cautions),
        blocks.heading(voice, say("Order of work")),
        blocks.steps(voice, [step_line(step, voice) for step in order]),
        blocks.column_break(),
        blocks.heading(voice, say("Hold points: nobody goes on before somebody has signed")),
        blocks.table(
            voice,
            [say("Step"), say("Looked at"), say("Name"), say("Date and hour")],
            [(f"{step.number}", step.what, "", "") for step in holds],
            align="rlll",
            widths=[-1, FILL, 34, 28],
        ),
        blocks.signatures(
            voice, [say("Master mason"), say("Engineer"), say("Inspector"), say("Place and date")]
        ),
    ]
