"""The printed pack: which sheets, in which order, with what on each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from timbrel.sheets import blocks
from timbrel.sheets.batch_pages import batch_card_blocks
from timbrel.sheets.before_book import before_sheets
from timbrel.sheets.board import bare_length
from timbrel.sheets.bond_sheets import bond_notes
from timbrel.sheets.card import card_section, site_card
from timbrel.sheets.drawings import MEASURES_MM
from timbrel.sheets.face import unknown_to_face
from timbrel.sheets.loads import load_path_blocks
from timbrel.sheets.long_section import level_notes
from timbrel.sheets.notes import calculation_notes
from timbrel.sheets.opening_tables import has_edges, opening_blocks
from timbrel.sheets.order_pages import order_blocks, programme_blocks, quote_blocks
from timbrel.sheets.paper import PAPERS, typeset
from timbrel.sheets.sections import layer_lines
from timbrel.sheets.setting_tables import setting_tables
from timbrel.sheets.sheet import all_titles, drawing_sheets, title_head, words_sheet
from timbrel.sheets.stage_tables import method_blocks, stage_blocks
from timbrel.sheets.stages import worst_lines
from timbrel.sheets.summary import key_figures, summary
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.sheets.board import Picture

Sheet = dict[str, Any]


def pack_pdf(plan: Plan, voice: Voice, pictures: dict[str, Picture]) -> bytes:
    """The whole pack as PDF."""
    sheets = list(pack_sheets(plan, voice, pictures))
    sheets[0]["blocks"][1:1] = letters_note(plan, voice)
    head = title_head(voice, plan.job.job)
    return typeset("pack.typ", {"paper": plan.job.site.sheet, "head": head, "sheets": sheets})


def letters_note(plan: Plan, voice: Voice) -> list[blocks.Block]:
    """What is said of characters of the job that print as empty boxes; nothing if there are none."""
    unknown = unknown_to_face(plan.job.model_dump_json())
    if not unknown:
        return []
    codes = ", ".join(f"U+{ord(character):04X}" for character in unknown)
    note = say(
        "The typeface of these sheets does not have some characters of the job; they print as "
        "empty boxes: {codes}.",
        codes=codes,
    )
    return [blocks.bullets(voice, [note])]


def pack_sheets(plan: Plan, voice: Voice, pictures: dict[str, Picture]) -> Iterator[Sheet]:
    """The sheets in the order in which they are read."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        from timbrel.sheets.surface_book import surface_sheets

        yield from surface_sheets(plan, voice, pictures)
        return
    size = plan.job.site.sheet
    columns = 1 if size == "A4" else 2
    column_mm = (PAPERS[size].room_mm[0] - 10.0) / columns - 6.0
    yield words_sheet(
        voice, say("Summary"), say("Summary"), summary(plan, voice, column_mm), columns=columns,
        cut_rows=True,
    )  # fmt: skip
    yield from _drawn(plan, voice, pictures)
    yield words_sheet(
        voice,
        all_titles([say("Setting-out in figures"), say("Centring in figures")]),
        say("Tables"),
        [*setting_tables(plan, voice), *centring_blocks(plan, voice)],
        columns=columns,
    )
    staged = plan.building is not None
    titles = [say("Programme"), *([say("Stages of building in figures")] if staged else [])]
    yield words_sheet(
        voice,
        all_titles(titles),
        say("Method"),
        [
            *programme_blocks(plan, voice),
            *batch_card_blocks(plan, voice),
            blocks.picture(voice, pictures["programme"]),
            blocks.caution(voice, plan.site.cautions),
            *(stage_blocks(plan, voice) if staged else []),
        ],
        columns=columns,
    )
    yield from before_sheets(plan, voice, pictures, columns)
    yield words_sheet(
        voice,
        say("Method statement"),
        say("Method"),
        method_blocks(plan, voice),
        columns=columns,
    )
    yield words_sheet(
        voice, say("Order list and cut list"), say("Order"), order_blocks(plan, voice),
        columns=columns,
    )  # fmt: skip
    yield words_sheet(
        voice, say("Quote"), say("Quote"), client_blocks(plan, voice, column_mm), columns=columns
    )
    yield words_sheet(
        voice,
        say("Site card"),
        say("Site card"),
        site_card(plan, voice, column_mm - 6.0, wide=columns > 1),
        columns=1,
        one_page=True,
    )
    carried = plan.carrying is not None
    yield words_sheet(
        voice,
        all_titles([*([say("Load path")] if carried else []), say("Calculation notes")]),
        say("Calculation"),
        [
            *(load_path_blocks(plan, voice, pictures.get("interaction")) if carried else []),
            *calculation_notes(plan, voice),
        ],
        columns=columns,
    )


def _drawn(plan: Plan, voice: Voice, pictures: dict[str, Picture]) -> Iterator[Sheet]:
    size = plan.job.site.sheet
    narrow = size == "A4"

    def sheets(title: Message, names: list[str], *notes: Message) -> Iterator[Sheet]:
        found = [pictures[name] for name in names if name in pictures]
        return drawing_sheets(voice, size, title, found, notes=notes)

    layers = [layer.layer for layer in plan.bond.layers]
    yield from _general(plan, voice, pictures)
    yield from sheets(
        say("Cross sections"),
        ["section-near", "section-far"],
        *(in_one_line(layer_lines(plan, voice)) if narrow else ()),
    )
    yield from sheets(
        say("Long section and levels"),
        ["section-long"],
        plan.levels.summary,
        *(in_one_line(level_notes(plan)) if narrow else ()),
    )
    for layer in plan.bond.layers:
        title = say("Bond, layer {number:count}", number=layer.layer)
        yield from sheets(title, [f"bond-layer-{layer.layer}"], *bond_notes(plan, layer))
    yield from sheets(
        say("How each layer starts at corner A"),
        [f"corner-layer-{number}" for number in layers],
        say("Dashed: joints of the layer below. Wide hatch: halves. Close hatch: cut."),
    )
    openings = [name for name in pictures if name.startswith("opening-")]
    if openings:
        yield from sheets(say("Openings"), openings)
    if has_edges(plan):
        yield words_sheet(
            voice,
            say("Openings, hooks and ends in figures"),
            say("Tables"),
            opening_blocks(plan, voice),
            columns=1 if narrow else 2,
        )
    yield from sheets(say("Lines on the end walls"), ["wall-line-near", "wall-line-far"])
    yield from sheets(say("Centring"), ["rib-near", "wedges", "rib-far"], *centring_lines(plan))
    stages = [name for name in pictures if name.startswith("stage-")]
    if stages:
        yield from sheets(say("Stages of building"), stages, *worst_lines())
    yield from sheets(
        say("Thrust lines"),
        ["thrust-dead", "thrust-full", "thrust-half", "thrust-line", "thrust-unrolled"],
        say(
            "Worst station, {share:percent} from the near end; a strip one metre wide.",
            share=plan.statics.worst.v,
        ),
        say("Dots: middle third. Lettered rings: hinges of the mechanism that would form."),
    )
    yield from sheets(
        say("Loads, and the walls under the thrust"),
        ["loads", "wall-left", "wall-right"],
        say(
            "Walls: resultant at each bed; full line under the least thrust, dashed under the "
            "greatest; dots bound the middle third."
        ),
    )


def in_one_line(lines: Sequence[Message]) -> Iterator[Message]:
    """Short lines, two to a line, for the notes of a narrow sheet."""
    for i in range(0, len(lines) - 1, 2):
        yield say("{first}; {second}", first=lines[i], second=lines[i + 1])
    if len(lines) % 2:
        yield lines[-1]


def _general(plan: Plan, voice: Voice, pictures: dict[str, Picture]) -> Iterator[Sheet]:
    """The plan with the table of its measures beside it, or under it on narrow paper."""
    size = plan.job.site.sheet
    notes = [
        say("Figures are as measured; the drawing is the figure fitted to them by least squares."),
        say("Worst misclosure {worst}.", worst=voice.length(plan.room.misclosure, 1)),
    ]
    table = blocks.table(
        voice,
        [say("Measure"), say("Given"), say("Fitted"), say("Off")],
        [
            (
                m.name,
                bare_length(voice, m.given),
                bare_length(voice, m.fitted, 1),
                bare_length(voice, m.misclosure, 1),
            )
            for m in plan.room.measures
        ],
        align="lrrr",
    )
    wide = size != "A4"
    yield from drawing_sheets(
        voice,
        size,
        say("General plan"),
        [pictures["general-plan"]],
        notes=notes,
        beside=[blocks.heading(voice, say("Measures")), table] if wide else (),
        beside_mm=MEASURES_MM if wide else 0.0,
    )


def centring_lines(plan: Plan) -> tuple[Message, ...]:
    """What is said beside the centring."""
    centring = plan.site.centring
    return (
        say(
            "Heights are of the template (intrados less {lagging:length} of lagging) over the "
            "springing chord.",
            lagging=plan.job.site.lagging,
        ),
        say(
            "Two ribs {spacing:length} apart, {boards:count} boards a ply; {moves:count} moves of "
            "{step:length}.",
            spacing=plan.job.site.rib_spacing,
            boards=centring.near.boards,
            moves=centring.moves,
            step=centring.step,
        ),
    )


def centring_blocks(plan: Plan, voice: Voice) -> list[blocks.Block]:
    """The centring in figures, and how it is set, eased and taken out."""
    centring = plan.site.centring
    wedges = centring.wedges
    seats = zip(
        (say("near, left"), say("near, right"), say("far, left"), say("far, right")),
        centring.seat_levels,
        strict=True,
    )
    rows: list[tuple[Message | str, str]] = [
        (say("Advance, one tile and its joint"), voice.length(centring.step)),
        (say("Settings, moves"), f"{centring.settings}, {centring.moves}"),
        (say("Camber at the crown"), voice.length(centring.camber)),
        (say("Boards a ply, near and far"), f"{centring.near.boards}, {centring.far.boards}"),
        (say("Longest board"), voice.length(centring.near.board_length)),
        (say("Rib, near and far"), f"{voice.quantity(centring.near.mass, 'mass')}, "
                                   f"{voice.quantity(centring.far.mass, 'mass')}"),
        (say("Frame with lagging"), voice.quantity(centring.frame_mass, "mass")),
        (say("People to carry it"), f"{centring.people}"),
        (say("Lagging boards, each"), f"{centring.lagging_boards}, "
                                      f"{voice.length(centring.lagging_length)}"),
        (say("Timber, net"), voice.quantity(centring.timber, "volume")),
        (say("Pairs of wedges"), f"{centring.pairs}"),
        (say("Wedge: length, thin and thick end"),
         f"{voice.length(wedges.length)}, {voice.length(wedges.thin)}, "
         f"{voice.length(wedges.thick)}"),
        (say("Drop, slide, steps"), f"{voice.length(wedges.drop)}, "
                                    f"{voice.length(wedges.slide)}, {wedges.steps}"),
    ]  # fmt: skip
    rows += [
        (say("Top of seat, {where}", where=where), voice.quantity(level, "metres"))
        for where, level in seats
    ]
    return [
        blocks.heading(voice, say("Centring")),
        blocks.table(
            voice, [say("Measure"), say("Value")], rows, align="lr", widths=[blocks.FILL, 60]
        ),
        blocks.heading(voice, say("How it is set and eased")),
        blocks.bullets(voice, [*centring.notes, centring.taper.advice]),
    ]


def client_blocks(plan: Plan, voice: Voice, width_mm: float) -> list[blocks.Block]:
    """What the client wants: a picture, the price, the days, what is left out."""
    job = plan.job
    return [
        blocks.large(voice, job.job.title),
        blocks.picture(voice, card_section(plan, voice, (width_mm, 70.0))),
        blocks.table(
            voice,
            [say("Measure"), say("Value")],
            key_figures(plan, voice)[:6],
            align="lr",
            widths=[blocks.FILL, 60],
        ),
        blocks.column_break(),
        *quote_blocks(plan, voice),
        blocks.signatures(voice, [say("Master mason"), say("Client"), say("Place and date")]),
    ]
