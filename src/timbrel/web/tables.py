"""The pages of figures, made of the same blocks as the printed pack, so that both say the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan, Plan, SurfacePlan

CARD_MM = 180.0
"""Width of the section on the site card, in mm of paper."""


@dataclass(frozen=True)
class Leaf:
    """A page of figures: its name in the address, its title and the blocks it is made of.

    samples, seed: of the uncertain vault, where they may be drawn from here, as the job asks.
    """

    name: str
    title: Message
    blocks: list[dict[str, Any]]
    samples: int = 0
    seed: int = 0


def leaves(plan: Plan, voice: Voice) -> tuple[Leaf, ...]:
    """All pages of figures, in the order of the pack."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        return _surface_leaves(plan, voice)
    from timbrel.sheets.book import centring_blocks
    from timbrel.sheets.notes import calculation_notes
    from timbrel.sheets.order_pages import order_blocks, quote_blocks
    from timbrel.sheets.setting_tables import setting_tables
    from timbrel.sheets.summary import summary

    return (
        Leaf("summary", say("Summary"), summary(plan, voice, CARD_MM)),
        Leaf("setting-out", say("Setting-out in figures"), setting_tables(plan, voice)),
        *_openings(plan, voice),
        Leaf("centring", say("Centring in figures"), centring_blocks(plan, voice)),
        _programme(plan, voice),
        *_stages(plan, voice),
        Leaf("order", say("Order list and cut list"), order_blocks(plan, voice)),
        Leaf("quote", say("Quote"), quote_blocks(plan, voice)),
        card(plan, voice),
        load_path(plan, voice),
        Leaf("calculation", say("Calculation notes"), calculation_notes(plan, voice)),
    )


def _openings(plan: AnyPlan, voice: Voice) -> tuple[Leaf, ...]:
    """Openings, hooks and ends, where there are any."""
    from timbrel.sheets.opening_tables import has_edges, opening_blocks

    if not has_edges(plan):
        return ()
    title = say("Openings, hooks and ends in figures")
    return (Leaf("openings", title, opening_blocks(plan, voice)),)


def _programme(plan: AnyPlan, voice: Voice) -> Leaf:
    """The order of work, the programme and the batch cards of every operation."""
    from timbrel.sheets.batch_pages import batch_card_blocks
    from timbrel.sheets.order_pages import programme_blocks

    made = [*programme_blocks(plan, voice), *batch_card_blocks(plan, voice)]
    return Leaf("programme", say("Order of work and programme"), made)


def _stages(plan: AnyPlan, voice: Voice) -> tuple[Leaf, ...]:
    """The stages of building, once they have been followed."""
    from timbrel.plan import SurfacePlan
    from timbrel.sheets.stage_tables import stage_blocks
    from timbrel.sheets.surface_stages import surface_stage_blocks

    if isinstance(plan, SurfacePlan):
        made = surface_stage_blocks(plan, voice) if plan.stages else []
    else:
        made = stage_blocks(plan, voice) if plan.building else []
    return (Leaf("stages", say("Stages of building"), made),) if made else ()


def load_path(plan: Plan, voice: Voice) -> Leaf:
    """From the load to the ground, what would help, and a way to draw samples."""
    from timbrel.sheets.loads import interaction_picture, load_path_blocks

    picture = interaction_picture(plan, voice, (CARD_MM, 120.0))
    made = load_path_blocks(plan, voice, picture)
    stated = plan.job.uncertainty
    return Leaf("load-path", say("Load path"), made, stated.samples, stated.seed)


def _surface_leaves(plan: SurfacePlan, voice: Voice) -> tuple[Leaf, ...]:
    """The same of a vault on a plan: guides stand for the centring, the net for the thrust line."""
    from timbrel.sheets import surface_book as book
    from timbrel.sheets.net_tables import net_blocks
    from timbrel.sheets.order_pages import order_blocks, quote_blocks
    from timbrel.sheets.stop_line_sheet import stop_line_blocks

    found = [
        Leaf("summary", say("Summary"), book.summary_blocks(plan, voice)),
        Leaf("setting-out", say("Guides and rods in figures"), book.guide_blocks(plan, voice)),
        *_openings(plan, voice),
        _programme(plan, voice),
        *_stages(plan, voice),
        Leaf("order", say("Order list and cut list"), order_blocks(plan, voice)),
        Leaf("quote", say("Quote"), quote_blocks(plan, voice)),
        card(plan, voice),
        Leaf("tonight", say("Stop line"), stop_line_blocks(plan, voice)),
        Leaf("calculation", say("Calculation notes"), book.note_blocks(plan, voice)),
    ]
    if plan.net is not None:
        found.append(
            Leaf("net", say("Strut net"), net_blocks(plan.net, plan.statics.supports, voice))
        )
    from timbrel.sheets.studies import study_blocks
    from timbrel.sheets.surface_carried import carried_blocks

    carried = plan.statics.carried
    if carried is not None and carried.pushed:
        title = say("Load path of the supports")
        told = [*carried_blocks(carried, voice), *study_blocks(plan, voice)]
        stated = plan.job.uncertainty
        found.append(Leaf("load-path", title, told, stated.samples, stated.seed))
    return tuple(found)


def card(plan: Plan, voice: Voice) -> Leaf:
    """The site card alone."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        from timbrel.sheets.surface_card import card_blocks

        return Leaf("card", say("Site card"), card_blocks(plan, voice, CARD_MM, wide=False))
    from timbrel.sheets.card import site_card

    return Leaf("card", say("Site card"), site_card(plan, voice, CARD_MM, wide=False))
