"""The site card: one page that hangs at the scaffold. What it holds: trade practice, from memory."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.bond.layout import LayerBond, Piece
from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import Board, Picture, bare_length, fitted, signed_level
from timbrel.sheets.cut import cut_shell
from timbrel.sheets.order_pages import step_line
from timbrel.sheets.sections import direction_name, draw_shell
from timbrel.sheets.stop_line_sheet import tonight_line
from timbrel.site.batches import Batch
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan, Plan
    from timbrel.site.batches import NoBatch

OFFSETS_SHOWN = 11


def site_card(plan: Plan, voice: Voice, width_mm: float, *, wide: bool) -> list[Block]:
    """Section, offsets, rods, tiles, batch, order with stops, quantities, cautions, who to call.

    wide: in two runs side by side (A3), else one under the other.
    """
    first, second = _figures(plan, voice, width_mm), work_blocks(plan, voice)
    return [blocks.side_by_side(first, second)] if wide else [*first, *second]


def _figures(plan: Plan, voice: Voice, width_mm: float) -> list[Block]:
    """What is measured and mixed."""
    x, y = _offsets(plan, OFFSETS_SHOWN if voice.length_unit != "ft" else OFFSETS_SHOWN // 2)
    return [
        blocks.picture(voice, card_section(plan, voice, (width_mm, 62.0))),
        blocks.table(
            voice,
            [say("From A"), *(bare_length(voice, v) for v in x)],
            [[say("height"), *(bare_length(voice, v) for v in y)]],
            align="l" + "r" * len(x),
        ),
        blocks.heading(voice, say("Tiles and rods")),
        blocks.table(
            voice,
            [say("Layer"), say("Tile"), say("Lies"), say("Courses"), say("Step on the rod"),
             say("Row starts"), say("Row ends")],
            [_layer_row(plan, layer, voice) for layer in plan.bond.layers],
            align="lllrrll",
        ),
        blocks.heading(voice, say("Today's batch at {day:degc}", day=plan.job.site.temperature_c)),
        batches_table(plan, voice),
        blocks.words(voice, _wedge_line(plan)),
    ]  # fmt: skip


def work_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """What is done, with what, and what can hurt."""
    return [
        blocks.heading(voice, say("Order of work")),
        blocks.steps(voice, [step_line(step, voice) for step in plan.site.order]),
        blocks.words(voice, tonight_line(plan)),
        blocks.heading(voice, say("At the foot of the scaffold")),
        blocks.table(
            voice,
            [say("Item"), say("Order"), say("Weight")],
            [
                (line.title, voice.quantity(line.order, line.kind),
                 voice.quantity(line.mass, "mass"))
                for line in plan.takeoff.lines
            ],
            align="lrr",
            widths=[FILL, -1, -1],
        ),
        blocks.caution(voice, plan.site.cautions),
        blocks.words(voice, _call(plan)),
    ]  # fmt: skip


def _call(plan: AnyPlan) -> Message:
    title = plan.job.job
    if title.call:
        return say("When something moves, call: {who}", who=title.call)
    return say("When something moves, call: ______________________ (the job names nobody)")


def _offsets(plan: Plan, shown: int) -> tuple[list[float], list[float]]:
    """A few offsets of the near line, from A to the crown: the other half is its mirror."""
    wall = plan.site.setting_out.walls[0]
    half = wall.x <= wall.span / 2 + 1e-6
    x, y = wall.x[half], wall.y[half]
    pick = np.unique(np.linspace(0, len(x) - 1, min(len(x), shown)).round().astype(int))
    return [float(v) for v in x[pick]], [float(v) for v in y[pick]]


def _layer_row(plan: Plan, layer: LayerBond, voice: Voice) -> tuple[Message | str, ...]:
    tile = plan.job.tiles[layer.tile]
    size = tile.width if layer.direction == "along axis" else tile.length
    starts, ends = row_pattern(layer)
    return (
        f"{layer.layer}",
        f"{layer.tile} {bare_length(voice, tile.length)} x {bare_length(voice, tile.width)} x "
        f"{bare_length(voice, tile.thickness)}",
        direction_name(layer.direction),
        f"{layer.courses}",
        voice.length(size + layer.bed_joint, 1),
        starts,
        ends,
    )


def row_pattern(layer: LayerBond) -> tuple[Message, Message]:
    """How rows start at the near end and end at the far one, odd and even courses."""
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    for i in np.argsort(layer.number, kind="stable"):
        course = int(layer.course[i])
        first.setdefault(course, int(layer.kind[i]))
        last[course] = int(layer.kind[i])
    return _pattern(first), _pattern(last)


def _pattern(by_course: dict[int, int]) -> Message:
    odd = {kind for course, kind in by_course.items() if course % 2}
    even = {kind for course, kind in by_course.items() if course % 2 == 0}
    if len(odd) > 1 or len(even) > 1 or not even:
        return say("see the bond sheet")
    return say("odd {odd}, even {even}", odd=_kind(odd.pop()), even=_kind(even.pop()))


def _kind(kind: int) -> Message:
    return {
        Piece.WHOLE: say("whole"),
        Piece.HALF: say("half"),
        Piece.CUT: say("cut"),
    }[Piece(kind)]


def batches_table(plan: AnyPlan, voice: Voice) -> Block:
    rows = [_batch_row(batch, voice) for batch in plan.site.batches]
    return blocks.table(
        voice,
        [say("Layer"), say("Binder"), say("Tiles"), say("Powder"), say("Water"), say("Retarder"),
         say("Throw away after"), say("A day")],
        rows,
        align="llrrrrrr",
        widths=[-1, FILL, -1, -1, -1, -1, -1, -1],
    )  # fmt: skip


def _batch_row(batch: Batch | NoBatch, voice: Voice) -> tuple[Message | str, ...]:
    if not isinstance(batch, Batch):
        return (f"{batch.layer}", batch.reason, "0", "–", "–", "–", "–", "–")
    retarder = voice.quantity(batch.retarder, "grams") if batch.retarder else "–"
    return (
        f"{batch.layer}",
        batch.binder,
        f"{batch.tiles}",
        voice.quantity(batch.powder, "mass"),
        voice.quantity(batch.water, "litres"),
        retarder,
        voice.quantity(batch.throw_away, "minutes"),
        f"{batch.a_day}",
    )


def _wedge_line(plan: Plan) -> Message:
    centring = plan.site.centring
    wedges = centring.wedges
    return say(
        "Centring: {moves:count} moves of {step:length}. Ease by {drop:length}: drive one wedge of "
        "each pair out by {slide:length}, in {steps:count} steps, both sides alike. Camber "
        "{camber:length}.",
        moves=centring.moves,
        step=centring.step,
        drop=wedges.drop,
        slide=wedges.slide,
        steps=wedges.steps,
        camber=centring.camber,
    )


def card_section(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> Picture:
    """The near section, bare: span, rise, springing levels."""
    cut = cut_shell(plan, 0.0)
    size = (float(np.ptp(cut.outer[:, 0])), float(np.ptp(cut.outer[:, 1])))

    def draw(scale: int) -> tuple[Picture, ...]:
        board = Board("card-section", say("Section at the near end, AB"), voice, scale)
        draw_shell(board, plan, cut)
        left, right, inner = cut.left, cut.right, cut.inner
        board.lines([(left, right)], "CHORD")
        board.measure(left, right, away_mm=-9.0)
        chord = (right - left) / np.hypot(*(right - left))
        square = np.array([-chord[1], chord[0]])
        heights = (inner - left) @ square
        top = int(np.argmax(heights))
        board.measure(inner[top] - square * heights[top], inner[top], away_mm=0.0)
        for point, letter, anchor in ((left, "A", "right"), (right, "B", "left")):
            away = board.paper(3.0) * (-1 if anchor == "right" else 1)
            board.text(
                point + np.array([away, 0.0]),
                f"{letter} {signed_level(voice, float(point[1]))}",
                anchor=anchor,  # type: ignore[arg-type]
            )
        return (board.finish(margin_mm=0.5),)

    return fitted(draw, size, room_mm)[0]
