"""How the vault was chosen: what was compared on that day, and what was taken."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.options_sheet import care_name, factor_said
from timbrel.verdict import Verdict
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.job.choice import Choice, Considered
    from timbrel.plan import AnyPlan


def choice_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The options side by side as they were compared; why there is none to show otherwise."""
    choice = plan.job.choice
    if choice is None or not choice.options:
        none = say(
            "No options were compared for this job. The page (Choose among options) or "
            "`timbrel options` plans them; taking or keeping one writes the comparison here."
        )
        return [blocks.words(voice, none)]
    found: list[Block] = [
        blocks.heading(voice, say("Options for this room")),
        blocks.words(voice, _when(choice)),
    ]
    if choice.why:
        found.append(blocks.words(voice, say("Why: {why}", why=choice.why)))
    head: list[Message | str] = ["", *(option.title for option in choice.options)]
    body: list[tuple[Message | str, ...]] = [
        (label, *cells) for label, cells in _rows(choice, voice)
    ]
    widths = [48, *([FILL] * len(choice.options))]
    found.append(
        blocks.table(voice, head, body, align="l" * (1 + len(choice.options)), widths=widths)
    )
    found.append(
        blocks.words(
            voice,
            say(
                "These figures are those of the day of the choice. What has been edited since shows "
                "on the other sheets, not here."
            ),
            small=True,
        )
    )
    return found


def _when(choice: Choice) -> Message:
    if choice.day is None:
        return say("Each was really planned; sorted by {care}.", care=care_name(choice.care))
    return say(
        "Each was really planned on {day}; sorted by {care}.",
        day=choice.day.isoformat(),
        care=care_name(choice.care),
    )


def _rows(choice: Choice, voice: Voice) -> list[tuple[Message, tuple[str, ...]]]:
    said: tuple[tuple[Message, Callable[[Considered], str]], ...] = (
        (say("Choice"), lambda o: voice(say("taken")) if o.taken else "–"),
        (say("Verdict"), lambda o: blocks.verdict_word(voice, Verdict(o.verdict))),
        (say("Load factor"), lambda o: factor_said(o.load_factor, more=o.more, voice=voice)),
        (say("Thrust on a metre of wall, least"),
         lambda o: voice.quantity(o.wall_least, "line_load")),
        (say("Thrust on a metre of wall, greatest"),
         lambda o: voice.quantity(o.wall_greatest, "line_load")),
        (say("Thrust on a corner, least to greatest"), lambda o: _corner(o, voice)),
        (say("What the walls need"), lambda o: o.walls or "–"),
        (say("Headroom at the crown"), lambda o: voice.length(o.headroom)),
        (say("Rise, thickness"), lambda o: f"{voice.length(o.rise)}, {voice.length(o.thickness)}"),
        (say("Layers"), lambda o: f"{o.layers}"),
        (say("Tiles to order, pieces to cut"), lambda o: f"{o.tiles}, {o.cuts}"),
        (say("Days of the crew, on the calendar"),
         lambda o: f"{voice.quantity(o.days, 'ratio')}, {o.calendar}"),
        (say("Price, likely, in {currency}", currency=choice.currency),
         lambda o: voice.number(o.price, 0)),
    )  # fmt: skip
    rows = [(label, tuple(tell(option) for option in choice.options)) for label, tell in said]
    return [row for row in rows if any(cell != "–" for cell in row[1])]


def _corner(option: Considered, voice: Voice) -> str:
    if option.corner_least is None:
        return "–"
    least = voice.quantity(option.corner_least, "force")
    if option.corner_greatest is None:
        return least
    return f"{least} – {voice.quantity(option.corner_greatest, 'force')}"
