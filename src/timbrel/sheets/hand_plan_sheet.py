"""The hand check of a vault on a plan, on one page: a sketch, then each sum with its figures put in."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.hand_plan_lines import lines_of
from timbrel.site.hand_plan import EXPLAINED_ON_PLAN, SAIL_ON_CORNERS, pencil_of
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.site.hand_plan import PlanHandCheck
    from timbrel.site.hand_states import HandPart, PlanHandCase


def plan_hand_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    """The load, every sum in numbered lines, the net beside them, and whether they agree."""
    check = plan.site.hand_check
    checks = [c for c in plan.checks if c.name.startswith("site.hand-check")]
    found = [blocks.heading(voice, _title(pencil_of(plan.vault)))]
    if check is None:
        return [*found, blocks.checks_table(voice, checks)]
    found += [blocks.words(voice, _how(check.family)), _weights(check, voice), _parts(check, voice)]
    shown = governing(check)
    worked = [_sums(check, case, voice) for case in shown]
    if plan.job.site.sheet == "A3" and len(worked) == 2:
        found.append(blocks.side_by_side(*worked))
    else:
        found += [block for sums in worked for block in sums]
    others = [case for case in check.cases if case not in shown]
    if others:
        found.append(_beside(others, voice))
    return [
        *found,
        blocks.heading(voice, say("Do they agree?")),
        blocks.words(
            voice,
            say(
                "The net's least thrust stands between what the pieces ask for and what the "
                "pencil's own way to carry needs; lumping the loads at the nodes explains "
                "{share:percent} and no more.",
                share=EXPLAINED_ON_PLAN,
            ),
        ),
        blocks.checks_table(voice, checks),
        blocks.signatures(voice, [say("Checked by hand"), say("Engineer"), say("Place and date")]),
    ]


def governing(check: PlanHandCheck) -> list[PlanHandCase]:
    """Of each load the case that stands nearest to what the hand allows: those worked out."""
    worst: dict[str, PlanHandCase] = {}
    for case in check.cases:
        known = worst.get(case.load)
        if known is None or _room(case) < _room(known):
            worst[case.load] = case
    return list(worst.values())


def _room(case: PlanHandCase) -> float:
    """Room that the net leaves to the nearer end of the hand's range, a share; negative outside."""
    room = min((case.least - case.low) / case.low, (case.way - case.least) / case.way)
    if case.high is not None and case.greatest is not None:
        room = min(room, (case.high - case.greatest) / case.high)
    return room


UNSLOPED = ("groin", "sail", SAIL_ON_CORNERS)
"""Those whose pencil does not ask for the slope at the springing."""


def _title(family: str) -> Message:
    return {
        "groin": say("Hand check: half of the groin as an arch with three pins"),
        "cloister": say("Hand check: strips down the webs onto the walls"),
        "sail": say("Hand check: strips both ways, half of the load each"),
        SAIL_ON_CORNERS: say("Hand check: half of the sail as an arch with three pins"),
        "dome": say("Hand check: the dome as a membrane, and its lunes"),
    }[family]


def _how(family: str) -> Message:
    return {
        "groin": say(
            "Each strip of a web is an arch from groin to groin: w L²/(8 f) on every strip of a "
            "parabola, and all of them come down on the corners. Together that is the moment of "
            "half the vault about two corners over its rise; the line may stand from f + t to f - t'. "
            "In kN and m."
        ),
        "cloister": say(
            "A strip down a web follows the shell and pushes by its load over the slope: w L²/(8 f) "
            "at the middle of the wall on a parabola, straight to nothing at the corner. Cut along "
            "the valleys, each web turns about its wall and asks for at least M/(f + t). In kN and m."
        ),
        "sail": say(
            "Strips from wall to wall both ways take half of the load each: w L²/(16 f) on a "
            "paraboloid. Cut along the diagonals, each piece asks its wall for at least M/(f + t) "
            "over the lowest corner. In kN and m."
        ),
        SAIL_ON_CORNERS: say(
            "Cut in two across the middle, each half turns about its two corners: the moment of its "
            "load over the height at which the halves lean on each other, which is somewhere between "
            "the intrados of the edge arch (f - t') and the extrados of the crown (f + t). "
            "In kN and m."
        ),
        "dome": say(
            "The membrane follows the shell: H = V cot a round the springing. Its rings are pressed "
            "down to 51.83° from the crown under the weight of a sphere. Cut into lunes, the dome "
            "asks its ring for at least M/(f + t). In kN and m."
        ),
    }[family]


def _weights(check: PlanHandCheck, voice: Voice) -> Block:
    rows: list[tuple[Message | str, str, str]] = []
    for weight in check.weights:
        sum_of = (
            voice(say("as the plan has it"))
            if weight.quantity is None or weight.unit is None
            else f"{voice.number(weight.quantity, 2)} · {voice.number(weight.unit * 1e-3, 3)} = "
            f"{voice.number(weight.by_hand * 1e-3, 2)}"
        )
        rows.append((weight.title, sum_of, voice.number(weight.program * 1e-3, 2)))
    return blocks.table(
        voice,
        [say("Dead load (kN)"), say("By hand"), say("On the net")],
        rows,
        align="lrr",
        widths=[FILL, 60, 26],
    )


def _parts(check: PlanHandCheck, voice: Voice) -> Block:
    """The measures of each springing."""

    def m(value: float) -> str:
        return voice.number(value, 3)

    def row(part: HandPart) -> tuple[str, ...]:
        return (
            part.name or "–",
            m(part.length),
            m(part.reach),
            m(part.rise),
            m(part.most),
            "–" if part.least is None else m(part.least),
            "–" if check.family in UNSLOPED else voice.quantity(part.slope, "angle"),
        )

    seen = dict.fromkeys(row(part) for case in check.cases for part in case.parts)
    return blocks.table(
        voice,
        [say("Springing"), say("Length"), say("To the middle"), "f", "f + t", "f - t'", "a"],
        list(seen),
        align="lrrrrrr",
        widths=[FILL, *[-1] * 6],
    )


def _sums(check: PlanHandCheck, case: PlanHandCase, voice: Voice) -> list[Block]:
    rows = [
        (f"{k}", voice(line.step), line.formula, line.figures)
        for k, line in enumerate(lines_of(check, case, voice), 1)
    ]
    said = (
        say("Within what the hand allows.")
        if case.apart == 0.0
        else say("{apart:percent} outside what the hand allows.", apart=case.apart)
    )
    title = say("Load: {load}; {where}", load=case.title, where=case.where)
    return [
        blocks.keep(
            blocks.heading(voice, title),
            blocks.table(
                voice,
                ["", say("Step"), say("Formula"), say("Figures put in")],
                rows,
                align="rlll",
                widths=[-1, 50, 30, FILL],
            ),
            blocks.words(voice, said),
        )
    ]


def _beside(cases: list[PlanHandCase], voice: Voice) -> Block:
    """The cases that are not worked out line by line."""

    def kn(value: float | None) -> str:
        return "–" if value is None or math.isinf(value) else voice.number(value * 1e-3, 2)

    rows = [
        (case.title, case.where, kn(case.low), kn(case.least), kn(case.greatest), kn(case.high))
        for case in cases
    ]
    return blocks.table(
        voice,
        [say("The other way (kN)"), say("Where"), say("Least by hand"), say("Net, least"),
         say("Net, greatest"), say("Greatest by hand")],
        rows,
        align="llrrrr",
        widths=[FILL, FILL, *[-1] * 4],
    )  # fmt: skip
