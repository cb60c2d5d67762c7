"""The stop line for tonight: what is closed before leaving, what is never left, who stands where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

DAYS_SHOWN = 14
"""Evenings listed one by one; a longer first layer goes on at the same pace."""


def tonight_line(plan: AnyPlan) -> Message:
    """The stop line in one sentence, for the site card."""
    line = plan.site.stop_line
    if line.a_day == 0:
        return say(
            "Stop line: one arch or ring takes {time:hours}, longer than the day; begin none before "
            "the crew is larger or the day longer.",
            time=line.arch_time,
        )
    return say(
        "Stop line: {arches:count} whole arches or rings a day; begin none later than "
        "{start:hours} after the start; leave none open.",
        arches=line.a_day,
        start=line.last_start,
    )


def stop_line_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The whole of it, with a line to sign each evening."""
    line = plan.site.stop_line
    checks = [c for c in plan.checks if c.name == "site.stop-line"]
    found = [
        blocks.heading(voice, say("Stop line for tonight")),
        blocks.words(voice, tonight_line(plan)),
        blocks.table(
            voice,
            [say("Measure"), say("Value")],
            [
                (say("Tiles in the largest arch or ring"), f"{line.tiles}"),
                (say("Time to lay and close it, and to move on"),
                 voice.quantity(line.arch_time, "hours")),
                (say("Whole ones in a working day"), f"{line.a_day}"),
                (say("Last start, after the day began"), voice.quantity(line.last_start, "hours")),
            ],
            align="lr",
            widths=[FILL, 40],
        ),
        blocks.heading(voice, say("Before leaving")),
        blocks.bullets(voice, line.must),
        blocks.heading(voice, say("Never left")),
        blocks.bullets(voice, line.never),
        blocks.heading(voice, say("Tomorrow: who and what may stand where")),
        blocks.bullets(voice, line.tomorrow),
        blocks.checks_table(voice, checks),
    ]  # fmt: skip
    if line.close_by:
        found += [
            blocks.heading(voice, say("Closed when leaving, evening by evening")),
            blocks.table(
                voice,
                [say("Day of the first layer"), say("Arches or rings closed"),
                 say("Crown read"), say("Left closed and covered: name, hour")],
                [(f"{day}", f"{closed}", "", "")
                 for day, closed in enumerate(line.close_by[:DAYS_SHOWN], 1)],
                align="rrll",
                widths=[-1, -1, 30, FILL],
                to_fill=True,
            ),
        ]  # fmt: skip
        if line.days > DAYS_SHOWN:
            found.append(
                blocks.words(
                    voice,
                    say("And so on, {a_day:count} a day, to day {days:count}.",
                        a_day=line.a_day, days=line.days),
                )
            )  # fmt: skip
    return found
