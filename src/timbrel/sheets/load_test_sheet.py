"""The load test as a sheet to fill in: steps, bags, waiting, readings, criteria, when to stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.site.load_test import LoadTestPlan
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan


def load_test_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The whole sheet; one sentence where there is nothing to test."""
    test = plan.site.load_test
    if test is None:
        return [
            blocks.words(
                voice, say("No load test: the vault carries no imposed load (loads.imposed).")
            )
        ]
    checks = [c for c in plan.checks if c.name.startswith("site.load-test.")]
    judged = (
        [blocks.checks_table(voice, checks)]
        if checks
        else [
            blocks.words(
                voice,
                say(
                    "Whether the vault may be tested is for the engineer to say, from the load "
                    "factors of the strut net."
                ),
            )
        ]
    )
    return [
        blocks.heading(voice, say("Load test with bags")),
        blocks.table(voice, [say("Measure"), say("Value")], _figures(test, voice), align="lr",
                     widths=[FILL, 50]),
        *judged,
        blocks.heading(voice, say("When to stop, when it is passed")),
        blocks.table(
            voice,
            [say("Criterion"), say("Origin")],
            [(("■ " if c.stop else "") + voice(c.what), voice.text(c.origin)) for c in test.criteria],
            align="ll",
            widths=[FILL, 50],
        ),
        blocks.caution(voice, test.cautions),
        blocks.heading(voice, say("Steps, to be filled in")),
        blocks.table(
            voice,
            [say("Step"), say("What is loaded"), say("Bags on it"), say("Load there"),
             say("Wait"), say("Begun"), say("Ended")],
            [(f"{s.number}", s.what, f"{s.bags}", voice.quantity(s.pressure, "pressure"),
              _wait(s.wait, voice), "", "") for s in test.steps],
            align="rlrrrll",
            widths=[-1, FILL, -1, -1, -1, 18, 18],
            to_fill=True,
        ),
        blocks.column_break(),
        blocks.heading(voice, say("Readings, to be filled in")),
        blocks.table(
            voice,
            [say("Step"), *test.readings],
            [("0", *[""] * len(test.readings)),
             *((f"{s.number}", *[""] * len(test.readings)) for s in test.steps)],
            align="r" + "l" * len(test.readings),
            widths=[-1] + [FILL] * len(test.readings),
            to_fill=True,
        ),
        blocks.words(
            voice,
            say(
                "Share that has come back = 1 - (reading without load - first reading) / (greatest "
                "reading - first reading), gauge by gauge. Enter the readings in the site record: "
                "it works it out and judges."
            ),
        ),
        blocks.signatures(voice, [say("Engineer"), say("Master mason"), say("Place and date")]),
    ]  # fmt: skip


def _wait(seconds: float, voice: Voice) -> str:
    return voice.quantity(seconds, "hours")


def _figures(test: LoadTestPlan, voice: Voice) -> list[tuple[Message | str, str]]:
    return [
        (say("Plan area loaded"), voice.quantity(test.area, "area")),
        (say("Full test load"), voice.quantity(test.load, "pressure")),
        (say("Bags, their mass in all"), f"{test.bags}, {voice.quantity(test.mass, 'mass')}"),
        (say("Not before, after the last tile"), voice.quantity(test.earliest, "days")),
    ]
