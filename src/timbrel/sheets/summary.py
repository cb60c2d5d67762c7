"""The first page: what is planned, whether it stands, what can hurt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.bond.layout import Piece
from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.card import card_section
from timbrel.verdict import Verdict, governing_first
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan, Plan


def summary(plan: Plan, voice: Voice, width_mm: float) -> list[Block]:
    """Title, verdict, key figures, cautions; then every check in the order in which it governs."""
    job = plan.job
    place = ", ".join(text for text in (job.job.place, job.job.client) if text)
    return [
        blocks.large(voice, job.job.title),
        *([blocks.words(voice, place)] if place else []),
        blocks.verdict_line(voice, plan.verdict, tally(plan)),
        blocks.picture(voice, card_section(plan, voice, (width_mm, 55.0))),
        blocks.heading(voice, say("What is planned")),
        blocks.table(
            voice,
            [say("Measure"), say("Value")],
            key_figures(plan, voice),
            align="lr",
            widths=[FILL, 62],
        ),
        blocks.caution(voice, plan.site.cautions),
        *checks_blocks(plan, voice),
    ]


def checks_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """What does not hold with its reason; what holds in short (reasons stand in the notes)."""
    bad = [c for c in plan.checks if c.verdict is not Verdict.HOLDS]
    good = governing_first(c for c in plan.checks if c.verdict is Verdict.HOLDS)
    found: list[Block] = []
    if bad:
        found += [
            blocks.heading(voice, say("What does not hold, or cannot be judged")),
            blocks.checks_table(voice, bad),
        ]
    found += [
        blocks.heading(voice, say("What holds, the closest first")),
        blocks.table(
            voice,
            [say("Check"), say("Value"), say("Limit"), say("Verdict")],
            [
                (
                    c.title,
                    blocks.value_of(voice, c),
                    blocks.limit_of(voice, c),
                    f"✓ {blocks.verdict_word(voice, c.verdict)}",
                )
                for c in good
            ],
            align="lrrl",
            widths=[FILL, -1, -1, -1],
            dense=True,
            rest=say(
                "Those that hold with more to spare stand in the calculation, each with its source."
            ),
        ),
    ]
    return found


def tally(plan: AnyPlan) -> Message:
    """How many checks hold, fail and are not judged."""
    count = {v: sum(c.verdict == v for c in plan.checks) for v in Verdict}
    return say(
        "{fails:count} checks fail, {unjudged:count} are not judged, {holds:count} hold.",
        fails=count[Verdict.FAILS],
        unjudged=count[Verdict.NOT_JUDGED],
        holds=count[Verdict.HOLDS],
    )


def key_figures(plan: Plan, voice: Voice) -> list[tuple[Message | str, str]]:
    """The figures by which people know the job."""
    vault, bond = plan.vault, plan.bond
    near, far = vault.near, vault.far
    centring, programme = plan.site.centring, plan.site.programme
    pieces = {kind: sum(layer.number_of(kind) for layer in bond.layers) for kind in Piece}
    rows: list[tuple[Message | str, str]] = [
        (say("Curve"), voice(curve_name(near.kind))),
        (say("Span, near and far"), _two(voice, near.span, far.span)),
        (say("Rise, near and far"), _two(voice, near.rise, far.rise)),
        (say("Length along the axis, mean"), voice.length(vault.axis_length)),
        (say("Shell, all layers and beds"), voice.length(vault.thickness)),
        (say("Seen area"), voice.quantity(vault.area(0.0), "area")),
        (say("Misclosure of the room"), voice.length(plan.room.misclosure, 1)),
        (
            say("Tiles laid whole, halves, cut"),
            f"{pieces[Piece.WHOLE]}, {pieces[Piece.HALF]}, {pieces[Piece.CUT]}",
        ),
        (say("Tiles to buy"), f"{sum(nest.bought for nest in bond.cuts.nests)}"),
        (say("Moves of the centring"), f"{centring.moves}"),
        (say("Weight to lift"), voice.quantity(plan.takeoff.mass, "mass")),
        (say("Working days of the crew"), voice.quantity(programme.days, "ratio")),
        (say("Calendar days with waits"), f"{programme.calendar}"),
    ]
    for side in plan.statics.thrusts:
        title = say("Thrust on the left wall") if side.side == "left" else say(
            "Thrust on the right wall"
        )  # fmt: skip
        if side.least is None or side.greatest is None:
            rows.append((title, voice(say("not judged: no thrust line"))))
        else:
            rows.append(
                (
                    title,
                    voice(
                        say(
                            "{least:line_load} to {greatest:line_load}",
                            least=side.least,
                            greatest=side.greatest,
                        )
                    ),
                )
            )
    return rows


def _two(voice: Voice, near: float, far: float) -> str:
    return f"{voice.length(near)}, {voice.length(far)}"


def curve_name(kind: str) -> Message:
    """The directrix in words."""
    return {
        "segment": say("segment"),
        "semicircle": say("semicircle"),
        "catenary": say("catenary"),
        "parabola": say("parabola"),
        "three-centre": say("three-centre"),
        "pointed": say("pointed, two-centre"),
    }[kind]
