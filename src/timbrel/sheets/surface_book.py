"""The pack of a groin, cloister, sail or dome: its sheets, templates, figures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from timbrel.sheets import blocks
from timbrel.sheets.batch_pages import batch_card_blocks
from timbrel.sheets.before_book import before_sheets
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import Picture, bare_length, signed_level
from timbrel.sheets.national import national_blocks
from timbrel.sheets.net_tables import net_blocks
from timbrel.sheets.notes import defaults_table, sources_table
from timbrel.sheets.opening_tables import has_edges, opening_blocks
from timbrel.sheets.order_pages import order_blocks, programme_blocks
from timbrel.sheets.paper import PAPERS
from timbrel.sheets.setting_tables import rod_blocks
from timbrel.sheets.sheet import all_titles, drawing_sheets, words_sheet
from timbrel.sheets.stage_tables import method_blocks
from timbrel.sheets.studies import study_blocks
from timbrel.sheets.summary import checks_blocks, tally
from timbrel.sheets.surface_card import card_blocks, client_blocks, key_rows
from timbrel.sheets.surface_carried import carried_blocks
from timbrel.sheets.surface_stages import stage_lines, surface_stage_blocks
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.site.guides import Guide

Sheet = dict[str, Any]


def surface_sheets(
    plan: SurfacePlan, voice: Voice, pictures: dict[str, Picture]
) -> Iterator[Sheet]:
    """The sheets in the order in which they are read."""
    size = plan.job.site.sheet
    columns = 1 if size == "A4" else 2

    def words(title: Message, kind: Message, what: list[Block], one_page: bool = False) -> Sheet:
        wide = 1 if one_page else columns
        return words_sheet(voice, title, kind, what, columns=wide, one_page=one_page)

    yield words_sheet(
        voice, say("Summary"), say("Summary"), summary_blocks(plan, voice), columns=columns,
        cut_rows=True,
    )  # fmt: skip
    yield from _drawn(plan, voice, pictures)
    if has_edges(plan):
        title = say("Openings in figures")
        yield words(title, say("Tables"), opening_blocks(plan, voice))
    yield words(say("Guides and rods in figures"), say("Tables"), guide_blocks(plan, voice))
    programme = [
        *programme_blocks(plan, voice),
        *batch_card_blocks(plan, voice),
        blocks.picture(voice, pictures["programme"]),
        blocks.caution(voice, plan.site.cautions),
    ]
    titles = [say("Programme")]
    if plan.stages is not None:
        titles.append(say("Stages of building in figures"))
        programme += surface_stage_blocks(plan, voice)
    yield words(all_titles(titles), say("Method"), programme)
    yield from before_sheets(plan, voice, pictures, columns)
    yield words(say("Method statement"), say("Method"), method_blocks(plan, voice))
    yield words_sheet(
        voice, say("Order list and cut list"), say("Order"), order_blocks(plan, voice),
        columns=columns,
    )  # fmt: skip
    column_mm = (PAPERS[size].room_mm[0] - 10.0) / columns - 12.0
    yield words(say("Quote"), say("Quote"), client_blocks(plan, voice, column_mm))
    both = card_blocks(plan, voice, column_mm, wide=columns > 1)
    yield words(say("Site card"), say("Site card"), both, one_page=True)
    yield words(say("Calculation"), say("Calculation"), calculation_blocks(plan, voice))


def calculation_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    """What the engineer reads, in one run: the net, its supports, what would help, the notes."""
    net, carried = plan.net, plan.statics.carried
    return [
        *(net_blocks(net, plan.statics.supports, voice) if net is not None else []),
        *(carried_blocks(carried, voice) if carried is not None and carried.pushed else []),
        *study_blocks(plan, voice),
        *note_blocks(plan, voice),
    ]


def note_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    """Every check with its source, every default that was used."""
    return [
        blocks.heading(voice, say("Every check and its source")),
        sources_table(plan, voice),
        *national_blocks(plan, voice),
        blocks.heading(voice, say("Defaults that the job leaned on")),
        defaults_table(plan, voice),
    ]


def summary_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    place = ", ".join(text for text in (plan.job.job.place, plan.job.job.client) if text)
    return [
        blocks.large(voice, plan.job.job.title),
        *([blocks.words(voice, place)] if place else []),
        blocks.verdict_line(voice, plan.verdict, tally(plan)),
        blocks.heading(voice, say("What is planned")),
        blocks.table(
            voice,
            [say("Measure"), say("Value")],
            key_rows(plan, voice),
            align="lr",
            widths=[FILL, 62],
        ),
        blocks.caution(voice, plan.site.cautions),
        *checks_blocks(plan, voice),
    ]


def _drawn(plan: SurfacePlan, voice: Voice, pictures: dict[str, Picture]) -> Iterator[Sheet]:
    size = plan.job.site.sheet

    def sheets(title: Message, start: str, *notes: Message) -> Iterator[Sheet]:
        found = [p for name, p in pictures.items() if name.startswith(start)]
        return drawing_sheets(voice, size, title, found, notes=notes) if found else iter(())

    yield from sheets(
        say("General plan"),
        "general-plan",
        say("Figures are as measured; heavy lines are the creases and rings of the vault."),
    )
    yield from sheets(say("Sections"), "section-")
    for layer in plan.bond.layers:
        title = say("Bond, layer {number:count}, from above", number=layer.layer)
        yield from sheets(title, f"bond-plan-{layer.layer}", hatch_note())
        title = say("Bond, layer {number:count}, unrolled", number=layer.layer)
        yield from sheets(title, f"bond-web-{layer.layer}-", hatch_note())
    yield from sheets(say("Loads from above"), "loads")
    yield from sheets(say("Openings"), "opening-")
    nets = [note for name, p in pictures.items() if name.startswith("net-") for note in p.notes]
    yield from sheets(say("Strut net"), "net-", *net_lines(plan), *nets)
    yield from sheets(say("Thrust against eccentricity"), "foot-", foot_line())
    yield from sheets(say("Stages of building"), "stage-", *stage_lines(plan.stages, voice))
    yield from sheets(
        say("Guides in their true shape"),
        "guide-",
        say(
            "Upper line: the intrados. Boards: less {lagging:length} of lagging, measured along the "
            "surface's own normal.",
            lagging=plan.job.site.lagging,
        ),
    )


def foot_line() -> Message:
    """What is said beside the feet of the supports."""
    return say(
        "The foot of every wall or pier under every combination for strength: the normal force across, "
        "the distance of the resultant from the middle of the bed upward."
    )


def net_lines(plan: SurfacePlan) -> tuple[Message, ...]:
    """What is said beside the drawings of the net."""
    lines = [
        say(
            "Struts from above, the heavier the more force; those under a hundredth of the greatest "
            "are left out. Arrows at the edge: what the vault puts on its supports."
        )
    ]
    if plan.net is None:
        return (*lines, say("A coarse net, for the eye; the whole proof was not made."))
    return (*lines, plan.net.wording)


def hatch_note() -> Message:
    """What the hatches on tiles mean."""
    return say("Plain: whole. Wide hatch: halves. Close hatch and heavy outline: cut.")


def guide_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    found: list[Block] = []
    for guide in plan.site.guides:
        found += _guide_table(guide, voice)
    found += ring_blocks(plan, voice)
    for rods in plan.site.rods:
        found += rod_blocks(rods, voice)
    return found


def ring_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    """Rings of a dome for the radius rod; nothing for other vaults."""
    from timbrel.shape.dome import Dome
    from timbrel.site.rings import dome_rings, pin_of

    if not isinstance(plan.vault, Dome):
        return []
    rings = dome_rings(plan.vault, plan.bond)
    pin = signed_level(voice, float(pin_of(plan.vault)[2]))
    rows = [
        (
            f"{r.layer}-{r.ring}",
            bare_length(voice, r.radius),
            signed_level(voice, r.level),
            bare_length(voice, r.rod),
            f"{r.pieces}",
            f"{r.half}",
            f"{r.cut}",
            "–" if r.joint_below is None else bare_length(voice, r.joint_below),
            "–" if r.joint_above is None else bare_length(voice, r.joint_above),
        )
        for r in rings
    ]
    return [
        blocks.heading(voice, say("Rings, lower edge of the tiles")),
        blocks.words(
            voice,
            say(
                "The rod turns on a pin over the middle of the springing ring, at level {pin}. Where "
                "the meridian is one arc the rod keeps its length from ring to ring.",
                pin=pin,
            ),
        ),
        blocks.table(
            voice,
            [say("Layer and ring"), say("Radius"), say("Level"), say("Rod from the pin"),
             say("Pieces"), say("Halves"), say("Cut"), say("Joint below"), say("Joint above")],
            rows,
            align="lrrrrrrrr",
            dense=True,
        ),
    ]  # fmt: skip


def _guide_table(guide: Guide, voice: Voice) -> list[Block]:
    """Ordinates of a guide, some to a row."""
    many = 6 if voice.length_unit == "ft" else 10
    found: list[Block] = [blocks.heading(voice, guide.title)]
    for i in range(0, len(guide.x), many):
        x, level = guide.x[i : i + many], guide.level[i : i + many]
        found.append(
            blocks.table(
                voice,
                [say("Along"), *(bare_length(voice, float(v)) for v in x)],
                [[say("level"), *(signed_level(voice, float(v)) for v in level)]],
                align="l" + "r" * len(x),
            )
        )
    return found
