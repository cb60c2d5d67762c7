"""What is decided before the first tile, leaf by leaf: for the pack and for the page alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from timbrel.sheets import blocks
from timbrel.sheets.blocks import Block
from timbrel.sheets.board import unit_note
from timbrel.sheets.changes_sheet import changes_blocks
from timbrel.sheets.choice_sheet import choice_blocks
from timbrel.sheets.corner_drawing import corner_pictures
from timbrel.sheets.fill_sheet import fill_blocks, fill_picture
from timbrel.sheets.hand_plan_drawing import plan_hand_picture
from timbrel.sheets.hand_plan_sheet import plan_hand_blocks
from timbrel.sheets.hand_sheet import hand_check_blocks, hand_picture
from timbrel.sheets.load_test_sheet import load_test_blocks
from timbrel.sheets.logistics_sheet import logistics_blocks
from timbrel.sheets.paper import PAPERS
from timbrel.sheets.practice_sheet import practice_blocks, practice_picture
from timbrel.sheets.seat_bays import bays_picture
from timbrel.sheets.seat_section import seat_pictures
from timbrel.sheets.seat_sheet import seat_blocks
from timbrel.sheets.sheet import all_titles, scale_name, words_sheet
from timbrel.sheets.stop_line_sheet import stop_line_blocks
from timbrel.sheets.tiles_sheet import real_tile_blocks
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.sheets.board import Picture


TOGETHER = (("tiles", "practice"), ("logistics", "tonight"))
"""Subjects that are too short for sheets of their own, as the crew takes them in hand: the tiles as
they came and the arch that is tried with them; what must be on site, and where the day stops."""


@dataclass(frozen=True)
class BeforeLeaf:
    """One subject. name: in addresses; title; kind: of its sheet; blocks; one_page: it must stand
    on one sheet; wide: its drawing takes the whole width."""

    name: str
    title: Message
    kind: Message
    blocks: list[Block]
    one_page: bool = False
    wide: bool = False

    @property
    def only_a_reason(self) -> bool:
        """Nothing is drawn and nothing is told but why not."""
        return all(block["kind"] in ("heading", "words") for block in self.blocks)


def column_mm(size: str) -> float:
    """Room across for a drawing in the run of a page."""
    return (PAPERS[size].room_mm[0] - 10.0) / (1 if size == "A4" else 2) - 6.0


def before_pictures(plan: AnyPlan, voice: Voice) -> list[Picture]:
    """Every drawing of these sheets, as wide as a column."""
    from timbrel.plan import SurfacePlan

    wide = column_mm(plan.job.site.sheet)
    made: list[Picture | None] = []
    made += seat_pictures(plan, voice, (wide, 92.0))
    made.append(bays_picture(plan, voice, (wide, 160.0)))
    if isinstance(plan, SurfacePlan):
        made += corner_pictures(plan, voice, (wide, 117.0))
        made.append(plan_hand_picture(plan, voice, (wide, 62.0)))
    else:
        made.append(hand_picture(plan, voice, (wide, 75.0)))
    made += [
        fill_picture(plan, voice, (PAPERS[plan.job.site.sheet].room_mm[0] - 12.0, 110.0)),
        practice_picture(plan, voice, (wide, 100.0)),
    ]
    return [picture for picture in made if picture is not None]


def before_leaves(
    plan: AnyPlan, voice: Voice, pictures: dict[str, Picture]
) -> Iterator[BeforeLeaf]:
    """All subjects in the order in which they are decided."""

    def drawn(*names: str) -> list[Block]:
        found: list[Block] = []
        for picture in (pictures[name] for name in names if name in pictures):
            caption = f"{voice(picture.title)}  {scale_name(picture.scale)}"
            found.append(
                blocks.keep(
                    blocks.picture(voice, picture), blocks.words(voice, caption, small=True)
                )
            )
        if found:
            found.append(blocks.words(voice, unit_note(voice), small=True))
        return found

    yield BeforeLeaf(
        "choice", say("Choosing"), say("Choice"), choice_blocks(plan, voice), wide=True
    )  # fmt: skip
    yield BeforeLeaf(
        "seat",
        say("Springing seats"),
        say("Drawing"),
        [*drawn(*(n for n in pictures if n.startswith("seat-"))), *seat_blocks(plan, voice)],
    )
    yield BeforeLeaf("tiles", say("Real tiles"), say("Form"), real_tile_blocks(plan, voice))
    yield BeforeLeaf(
        "fill",
        say("Haunches, fill and floor"),
        say("Drawing"),
        [*drawn("fill-lifts"), *fill_blocks(plan, voice)],
        wide=True,
    )
    yield BeforeLeaf("logistics", say("Logistics"), say("Method"), logistics_blocks(plan, voice))
    yield BeforeLeaf(
        "practice",
        say("Practice arch"),
        say("Drawing"),
        [*drawn("practice-arch"), *practice_blocks(plan, voice)],
    )
    yield BeforeLeaf("tonight", say("Stop line"), say("Form"), stop_line_blocks(plan, voice))
    yield BeforeLeaf("load-test", say("Load test"), say("Form"), load_test_blocks(plan, voice))
    yield BeforeLeaf(
        "hand-check",
        say("Hand check"),
        say("Calculation"),
        [*drawn("hand-check"), *_hand(plan, voice)],
        one_page=True,
    )
    yield BeforeLeaf(
        "changes", say("What changed"), say("Revision"), changes_blocks(plan, voice)
    )  # fmt: skip


def before_sheets(
    plan: AnyPlan, voice: Voice, pictures: dict[str, Picture], columns: int
) -> Iterator[dict[str, Any]]:
    """A sheet a subject, short ones of one reader together; those of which there is only a reason
    to tell share the last one."""
    left_out: list[Block] = []
    leaves: dict[str, BeforeLeaf] = {}
    for leaf in before_leaves(plan, voice, pictures):
        if leaf.only_a_reason:
            reasons = [block for block in leaf.blocks if block["kind"] == "words"]
            left_out += [blocks.heading(voice, leaf.title), *reasons]
        else:
            leaves[leaf.name] = leaf
    for name, leaf in leaves.items():
        run = next((names for names in TOGETHER if name in names), (name,))
        found = [leaves[other] for other in run if other in leaves]
        if leaf is not found[0]:
            continue
        across = 1 if leaf.one_page or leaf.wide else columns
        yield words_sheet(
            voice,
            all_titles([other.title for other in found]),
            leaf.kind,
            [block for other in found for block in other.blocks],
            columns=across,
            one_page=leaf.one_page,
        )
    if left_out:
        yield words_sheet(voice, say("Left out, and why"), say("Notes"), left_out, columns=columns)


def _hand(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The hand check of a strip, or of a vault on a plan."""
    from timbrel.plan import SurfacePlan

    if not isinstance(plan, SurfacePlan):
        return hand_check_blocks(plan, voice)
    return plan_hand_blocks(plan, voice)
