"""Openings, hooks and ends in figures: set-out, rings, forces, what is to be done."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import bare_length
from timbrel.statics.net_kerbs import kerb_loads
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.bond.layout import TrimmedOpening
    from timbrel.plan import Plan
    from timbrel.site.openings import SetOutOpening
    from timbrel.statics.opening_proof import OpeningProof


def has_edges(plan: Plan) -> bool:
    """Is there anything to say about openings, hooks or ends."""
    return plan.edge_site is not None and bool(
        plan.edge_site.openings or plan.edge_site.hooks or plan.edge_site.notes
    )


def opening_blocks(plan: Plan, voice: Voice) -> list[Block]:
    """All tables of openings, hooks and ends."""
    site, edges = plan.edge_site, plan.edges
    assert site is not None
    if edges is None:
        return plan_blocks(plan, voice)
    found: list[Block] = []
    if site.openings or site.hooks:
        heading = say("Openings and hooks struck on the centring")
        found += _set_out(voice, (*site.openings, *site.hooks), heading)
    for opening, proof in zip(plan.bond.openings, edges.openings, strict=True):
        found += _ring(plan, voice, opening)
        found += _forces(voice, proof)
    if edges.hooks:
        found += _hooks(plan, voice)
    found += _done_and_assumed(plan, voice, assumptions())
    checks = edges.checks
    if checks:
        found += [
            blocks.column_break(),
            blocks.heading(voice, say("Checks of openings, hooks and ends")),
            blocks.checks_table(voice, checks),
        ]
    return found


def _done_and_assumed(plan: Plan, voice: Voice, assumed: Sequence[Message]) -> list[Block]:
    """What is to be done, and what the proof takes for granted round an opening."""
    assert plan.edge_site is not None
    found = [
        blocks.heading(voice, say("What is to be done")),
        blocks.bullets(voice, plan.edge_site.notes),
    ]
    if plan.bond.openings:
        found += [
            blocks.heading(voice, say("What is assumed round an opening")),
            blocks.bullets(voice, assumed),
        ]
    return found


def plan_blocks(plan: Plan, voice: Voice) -> list[Block]:
    """The same for a vault on a plan, whose net goes round its openings."""
    from timbrel.plan import SurfacePlan

    assert plan.edge_site is not None
    site = plan.edge_site
    heading = say("Openings and hooks, as they are taped")
    found = _set_out(voice, (*site.openings, *site.hooks), heading)
    kerbs = kerb_loads(plan.job, plan.vault)
    for opening in plan.bond.openings:
        found += _ring(plan, voice, opening)
        kerb = kerbs[opening.number]
        stands = say(
            "Kerb, ring and cover press {load:line_load} on its edge, {whole:force} in all.",
            load=kerb.permanent,
            whole=kerb.permanent * kerb.girth,
        )
        found.append(blocks.words(voice, stands))
        stages = plan.stages if isinstance(plan, SurfacePlan) else None
        loads = stages.props if stages else ()
        if loads:
            props = say(
                "Props under its box: up to {force:force} in all while the vault is built, by an "
                "elastic shell on props that do not give.",
                force=loads[opening.number - 1],
            )
            found.append(blocks.words(voice, props))
    if plan.job.hooks:
        found += _plan_hooks(plan, voice)
    found += _done_and_assumed(plan, voice, plan_assumptions())
    checks = tuple(c for c in plan.checks if c.name.startswith(("bond.openings.", "hooks.")))
    return [
        *found,
        *([blocks.checks_table(voice, checks)] if checks else []),
    ]


def plan_assumptions() -> tuple[Message, ...]:
    """How the net of a vault on a plan goes round an opening, in words."""
    return (
        say(
            "No strut runs through the opening: each is tried against its outline, and again in the "
            "certificate, apart from the net."
        ),
        say(
            "Over each side struts lean on each other as a flat arch that rises a twelfth of the side; "
            "what lies between that arch and the edge is held by the ring."
        ),
        say("Ring and bars are not reckoned on beside the shell; they are a reserve."),
        say("No mechanism that knows the opening bounds the load factor from above."),
        say(
            "While the vault is built its edge rests on the box, wedged on props, which pushes up and "
            "never pulls; once the ring has cured a net must lie in the opened shell without it."
        ),
    )


def assumptions() -> tuple[Message, ...]:
    """The state of equilibrium that is shown, in words."""
    return (
        say(
            "The arches that the opening cuts stand from their springing to its edge and push on "
            "the trimmer there, within the middle third."
        ),
        say(
            "The trimmer is a flat arch in the width of the ring; it carries the cut arches to the "
            "strips at both ends of the opening, half to each."
        ),
        say(
            "A strip beside counts with the ring and half of the opening's size across (45 "
            "degrees), never more than there is up to the end or half-way to the next opening."
        ),
        say(
            "The push of the flat arch along the axis is taken by the bars of the ring, not by the "
            "bond of the tiles."
        ),
        say(
            "Cut arches do not stand before the ring has cured: a box that is braced across, or the "
            "centring, holds them (see the stages of building)."
        ),
    )


def _set_out(voice: Voice, found: tuple[SetOutOpening, ...], heading: Message) -> list[Block]:
    rows: list[tuple[Message | str, ...]] = []
    for one in found:
        for k, mark in enumerate(one.marks):
            rows.append(
                (
                    one.name if k == 0 else "",
                    one.corner,
                    mark.label,
                    bare_length(voice, mark.along),
                    bare_length(voice, mark.across),
                    bare_length(voice, mark.arc),
                    voice.quantity(mark.level, "metres"),
                )
            )
        if one.diagonals:
            both = ", ".join(bare_length(voice, d) for d in one.diagonals)
            rows.append((say("diagonals"), "", "", both, "", "", ""))
    return [
        blocks.heading(voice, heading),
        blocks.table(
            voice,
            [say("What"), say("From"), say("Mark"), say("Along the wall"), say("Off the wall"),
             say("On the curve"), say("Level")],
            rows,
            align="lllrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
    ]  # fmt: skip


def _ring(plan: Plan, voice: Voice, opening: TrimmedOpening) -> list[Block]:
    trimmer = plan.job.openings[opening.number - 1].trimmer
    rows: list[tuple[Message | str, str]] = [
        (say("Clear size, along the axis and on the curve"),
         f"{voice.length(opening.along)}, {voice.length(opening.across)}"),
        (say("Ring: width, layers, tile"),
         f"{voice.length(opening.ring_width)}, {len(opening.ring)}, {opening.ring[0].tile}"),
        (say("Ring tiles"), f"{opening.tiles}"),
        (say("Shell and ring together"), voice.length(opening.thickness)),
        (say("Kerb: height, thickness, length"),
         f"{voice.length(trimmer.kerb_height)}, {voice.length(trimmer.kerb_thickness)}, "
         f"{voice.length(opening.kerb_length)}"),
    ]  # fmt: skip
    if opening.bar is not None:
        rows.append(
            (say("Bars: number, diameter, length of each"),
             f"{opening.bars}, {voice.length(opening.bar)}, {voice.length(opening.bar_length)}")
        )  # fmt: skip
    return [
        blocks.heading(voice, say("Ring of {name}", name=opening.name)),
        blocks.table(voice, [say("Measure"), say("Value")], rows, align="lr", widths=[FILL, 70]),
    ]


def _forces(voice: Voice, proof: OpeningProof) -> list[Block]:
    rows: list[tuple[Message | str, ...]] = []
    for side in proof.sides:
        rows.append(
            (
                side.name,
                voice.length(side.width),
                _or_dash(voice, side.thrust, "line_load"),
                _or_dash(voice, side.thrust_arch, "line_load"),
                _or_dash(voice, side.load_factor, "ratio"),
                _or_dash(voice, side.kinematic, "ratio"),
                _or_dash(voice, side.geometric, "ratio"),
            )
        )
    found = [
        blocks.heading(voice, say("Strips beside {name}", name=proof.name)),
        blocks.table(
            voice,
            [say("Side"), say("Width"), say("Thrust beside"), say("Thrust of cut arches"),
             say("Load factor"), say("Mechanism"), say("Geometric factor")],
            rows,
            align="lrrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
    ]  # fmt: skip
    left, right = (voice.quantity(force, "force") for force in proof.props)
    found.append(
        blocks.words(
            voice,
            say(
                "Props until the ring has cured: {left} under the left trimmer, {right} under the "
                "right one, the layers alone.",
                left=left,
                right=right,
            ),
        )
    )
    if proof.trimmers is not None:
        names = (say("left trimmer"), say("right trimmer"))
        arches: list[tuple[Message | str, ...]] = [
            (
                name,
                voice.quantity(arch.load, "line_load"),
                voice.length(arch.arm),
                voice.quantity(arch.push, "force"),
                voice.quantity(arch.reaction, "force"),
            )
            for name, arch in zip(names, proof.trimmers, strict=True)
        ]
        found.append(
            blocks.table(
                voice,
                [say("Flat arch"), say("Load w"), say("Arm f"), say("Push w L²/(8 f)"),
                 say("Reaction w L/2")],
                arches,
                align="lrrrr",
                widths=[FILL, -1, -1, -1, -1],
            )
        )  # fmt: skip
    return found


def _hooks(plan: Plan, voice: Voice) -> list[Block]:
    assert plan.edges is not None
    rows: list[tuple[Message | str, ...]] = []
    for hook, stated in zip(plan.edges.hooks, plan.job.hooks, strict=True):
        rows.append(
            (
                hook.name,
                voice.quantity(hook.load, "force"),
                voice.length(stated.plate),
                voice.length(stated.rod),
                voice.length(hook.width),
                voice.quantity(hook.cone, "force"),
                voice.quantity(hook.rod, "force"),
            )
        )
    return [
        blocks.heading(voice, say("Hooks")),
        blocks.table(
            voice,
            [say("Hook"), say("Load"), say("Plate"), say("Threaded rod"), say("Strip"),
             say("Cone holds"), say("Rod holds")],
            rows,
            align="lrrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
    ]  # fmt: skip


def _plan_hooks(plan: Plan, voice: Voice) -> list[Block]:
    """Hooks of a vault on a plan; what holds them once the whole proof has been made."""
    proved = {hook.number: hook for hook in plan.statics.hooks}
    rows: list[tuple[Message | str, ...]] = []
    for number, stated in enumerate(plan.job.hooks, 1):
        hook = proved.get(number)
        rows.append(
            (
                stated.name,
                voice.quantity(stated.load, "force"),
                voice.length(stated.plate),
                voice.length(stated.rod),
                _or_dash(voice, hook.by_itself if hook else None, "ratio"),
                _or_dash(voice, hook.cone if hook else None, "force"),
                _or_dash(voice, hook.rod if hook else None, "force"),
            )
        )
    return [
        blocks.heading(voice, say("Hooks")),
        blocks.table(
            voice,
            [say("Hook"), say("Load"), say("Plate"), say("Threaded rod"), say("Load factor"),
             say("Cone holds"), say("Rod holds")],
            rows,
            align="lrrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
        blocks.words(
            voice,
            say(
                "The whole vault carries a hook: it bears on the net over its plate, spread by 45 "
                "degrees through the shell."
            ),
        ),
    ]  # fmt: skip


def _or_dash(voice: Voice, value: float | None, kind: str) -> str:
    if value is None or not math.isfinite(value):
        return "–"
    return voice.quantity(value, kind)
