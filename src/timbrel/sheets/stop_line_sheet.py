"""The stop line for tonight: what is closed before leaving, what is never left, who stands where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.verdict import Verdict
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

DAYS_SHOWN = 14
"""Evenings listed one by one; a longer first layer goes on at the same pace."""

USED = {
    "hand": say("a hand"),
    "kneeling": say("a person who kneels"),
    "stack": say("a stack of tiles"),
    "bucket": say("a full bucket"),
}
"""What is set down in the stages of building, by its key."""


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
        blocks.bullets(voice, [*line.tomorrow, *standing_lines(plan)]),
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


def standing_lines(plan: AnyPlan) -> list[Message]:
    """That nothing is set on the first layer, and what would break it, by the stages of building."""
    from timbrel.plan import SurfacePlan

    building = plan.stages if isinstance(plan, SurfacePlan) else plan.building
    if building is None:
        return [
            say(
                "Nothing is set down on a single layer, and nobody leans or kneels on it. What it "
                "would bear is told once the stages of building have been followed (the verdicts of "
                "the job, the pack)."
            )
        ]
    told = [say("Nothing is set down on a single layer, and nobody leans or kneels on it.")]
    for answer in building.worst:
        state = answer.stage if hasattr(answer, "stage") else answer.state
        if state.operation != "use" or not state.key.startswith("layers.1."):
            continue
        what = USED[state.key.split(".")[2]]
        if answer.verdict is Verdict.HOLDS and answer.wait:
            told.append(
                say(
                    "By mishap, on the first layer: {what} would be borne once its last joint is "
                    "{wait:hours} old.",
                    what=what,
                    wait=answer.wait,
                )
            )
        elif answer.verdict is Verdict.HOLDS:
            told.append(say("By mishap, on the first layer: {what} would be borne.", what=what))
        elif answer.verdict is Verdict.FAILS:
            told.append(say("By mishap, on the first layer: {what} would break it.", what=what))
        else:
            told.append(say("By mishap, on the first layer: {what} is not judged.", what=what))
    return told
