"""The building of a groin, cloister, sail or dome on paper: governing stages from above, tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block, verdict_word
from timbrel.sheets.board import Board, Picture, fitted, moved
from timbrel.sheets.stage_tables import LONG, lift_blocks
from timbrel.statics.building.laying import advance, middles_of
from timbrel.statics.building.sequence import Way
from timbrel.verdict import Verdict
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.statics.building.surface_building import SurfaceBuilding
    from timbrel.statics.building.surface_orders import SurfaceOrder
    from timbrel.statics.building.surface_stage import Stage, StageAnswer, StageStruts

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
ASKED = ((0.66, 0.7), (0.33, 1.6))
"""Least share of the greatest tension, and how close its hatch stands (mm)."""
STRUTS = ((0.40, "STRUT HEAVY"), (0.20, "STRUT"), (0.08, "STRUT LIGHT"))
ORDERS_SHOWN = 8
DRAWN_MOST = 6
"""Stages on one sheet, each with a line under it."""


def surface_stage_pictures(
    plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """The governing stage of each operation from above; none where they were not followed."""
    building = plan.stages
    if building is None:
        return ()
    size = np.ptp(np.asarray(plan.room.corners)[:, :2], axis=0)
    drawn = stages_drawn(building)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(
            _stage(plan, building, answer, struts, i, voice, scale)
            for i, (answer, struts) in enumerate(drawn, start=1)
        )

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)


def stages_drawn(building: SurfaceBuilding) -> list[tuple[StageAnswer, StageStruts | None]]:
    """The governing stages that are drawn: of all that may be set down on one layer the worst alone;
    what looks like another (the shell spread, without its boxes, the whole shell walked on) stands in
    the table."""
    both = list(zip(building.worst, building.struts, strict=True))
    found: dict[tuple[str, int, float], tuple[StageAnswer, StageStruts | None]] = {}
    for answer, struts in both:
        stage = answer.stage
        if stage.operation in ("spread", "struck") or (
            stage.operation == "use" and stage.layer > 1
        ):
            continue
        key = (stage.operation, stage.layer, 0.0 if stage.operation == "use" else stage.progress)
        before = found.get(key)
        heavier = before is None or (answer.tension, stage.force) > (
            before[0].tension,
            before[0].stage.force,
        )
        if heavier:
            found[key] = (answer, struts)
    return list(found.values())[:DRAWN_MOST]


def _stage(
    plan: SurfacePlan,
    building: SurfaceBuilding,
    answer: StageAnswer,
    struts: StageStruts | None,
    number: int,
    voice: Voice,
    scale: int,
) -> Picture:
    stage = answer.stage
    asked = (
        say("a net of struts") if answer.net else say("{tension:stress}", tension=answer.tension)
    )
    title = say("{number:count}: {asked}", number=number, asked=asked)
    board = Board(f"stage-{number}", title, voice, scale)
    room = np.asarray(plan.room.corners)[:, :2]
    board.line(room, "ROOM", closed=True)
    _asked(board, building, answer)
    laid, hanging = laid_tiles(plan, building, stage)
    layer = plan.bond.layers[stage.layer - 1]
    for tile in laid:
        board.line(layer.solid_corners(int(tile))[:, :2], "TILE", closed=True)
    for tile in hanging:
        board.line(layer.solid_corners(int(tile))[:, :2], "HINGE", closed=True)
    if stage.guides:
        for point in building.guides:
            board.dot(point[:2], "AXIS", 0.9)
    if struts is not None:
        _draw_struts(board, struts)
    if stage.place is not None:
        board.arrow(stage.place, moved(stage.place, board.paper(7.0), board.paper(7.0)), "LOAD")
    return board.finish(margin_mm=1.0)


def _asked(board: Board, building: SurfaceBuilding, answer: StageAnswer) -> None:
    """Cells by the tension that they ask: the closer the hatch, the more."""
    most = float(answer.along.max(initial=0.0))
    if most <= 0:
        return
    upper = np.inf
    for least, gap in ASKED:
        chosen = (answer.along >= least * most) & (answer.along < upper * most)
        rings = [building.corners[k][:, :2] for k in np.flatnonzero(chosen)]
        if rings:
            for ring in rings:
                board.hatch([ring], "HALF HATCH", gap_mm=gap)
        upper = least


def _draw_struts(board: Board, struts: StageStruts) -> None:
    most = float(struts.force.max(initial=0.0))
    upper = np.inf
    for least, layer in STRUTS:
        chosen = (struts.force >= least * most) & (struts.force < upper * most)
        board.lines(zip(struts.start[chosen, :2], struts.end[chosen, :2], strict=True), layer)
        upper = least


def laid_tiles(plan: SurfacePlan, building: SurfaceBuilding, stage: Stage) -> tuple[Ints, Ints]:
    """Tiles of the stage's own layer that lie there, and those of them that hang."""
    layer = plan.bond.layers[stage.layer - 1]
    if stage.laying:
        order = next(o for o in building.layings if o.key == stage.laying)
        done = int(stage.key.split(".")[2])
        return np.flatnonzero(order.unit <= done), np.asarray(stage.hanging, np.intp)
    if stage.operation == "layer":
        way = Way[stage.key.split(".")[2].upper()]
        ranked = np.argsort(advance(way, middles_of(layer)), kind="stable")
        return ranked[: stage.tiles], np.zeros(0, np.intp)
    return np.arange(layer.count), np.zeros(0, np.intp)


def verdict_of(answer: StageAnswer, voice: Voice) -> str:
    """The verdict in a word: what somebody may set down, and when guides may be eased, is allowed or
    not."""
    stage = answer.stage
    if answer.verdict is not Verdict.NOT_JUDGED:
        holds = answer.verdict is Verdict.HOLDS
        if stage.place is not None:
            return voice(say("may be done") if holds else say("must not be done"))
        if stage.operation == "eased" and stage.progress < 1:
            return voice(say("may be eased") if holds else say("must not be eased"))
    return verdict_word(voice, answer.verdict)


def stage_lines(building: SurfaceBuilding | None, voice: Voice) -> tuple[Message, ...]:
    """What the stage drawings show, one by one."""
    if building is None:
        return ()
    told = tuple(
        say(
            "{number:count}: {state}: {verdict}; held by {holder}.",
            number=number,
            state=answer.stage.title,
            verdict=verdict_of(answer, voice),
            holder=answer.holds_by,
        )
        for number, (answer, _) in enumerate(stages_drawn(building), start=1)
    )
    return (
        *told,
        say("From above. Plain: tiles laid; heavy: tiles that hang on their glue; rings: guides."),
        say(
            "Lines: struts of a net in what has set. Hatched where there is none: what the bond "
            "must carry, the closer the more."
        ),
    )


def surface_stage_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    """Governing stages, waits, orders of work compared, courses held by hand, fill, settling."""
    building = plan.stages
    if building is None:
        return [blocks.words(voice, say("The stages of building were not followed."))]
    return [
        blocks.heading(voice, say("The governing state of each operation")),
        _stage_table(building.worst, voice),
        *_boxes(building, voice),
        blocks.heading(voice, say("Waits")),
        _waits(building, voice),
        *_orders(building, voice),
        *_first_layer(building, voice),
        *_holds(building, voice),
        *lift_blocks(building.lifts, voice),
        *_settling(building, voice),
    ]


def _boxes(building: SurfaceBuilding, voice: Voice) -> list[Block]:
    """What stays under openings whatever else is taken away."""
    if not building.props:
        return []
    stay = say(
        "Whatever these tables say of guides: the boxes of the openings stay, wedged tight on their "
        "props, until the rings have cured."
    )
    return [blocks.words(voice, stay)]


def _stage_table(answers: tuple[StageAnswer, ...], voice: Voice) -> Block:
    return blocks.table(
        voice,
        [say("State"), say("Tiles"), say("Tension"), say("Bond"), say("Ratio"),
         say("Youngest joint waits"), say("Verdict")],
        [_row(a, voice) for a in answers],
        align="lrrrrrl",
        widths=[FILL, -1, -1, -1, -1, 18, -1],
        dense=True,
    )  # fmt: skip


def _row(answer: StageAnswer, voice: Voice) -> tuple[Message | str, ...]:
    stage = answer.stage
    return (
        say("{state}. Held by: {holder}.", state=stage.title, holder=answer.holds_by),
        f"{stage.tiles}",
        voice.quantity(answer.tension, "stress"),
        _or_dash(voice, answer.strength, "stress"),
        _or_dash(voice, answer.ratio, "percent"),
        _or_dash(voice, answer.wait, "minutes" if (answer.wait or 0.0) < LONG else "hours"),
        verdict_of(answer, voice),
    )


def _or_dash(voice: Voice, value: float | None, kind: str) -> str:
    if value is None:
        return "–"
    return voice.quantity(value, kind) if np.isfinite(value) else voice(say("never"))


def _waits(building: SurfaceBuilding, voice: Voice) -> Block:
    holding = building.holding
    rows = [
        (say("A tile at the flattest course is held by hand"),
         _or_dash(voice, holding.hand.known, "minutes")),
        (say("Courses that may hang unclosed"),
         "–" if holding.hanging is None else f"{holding.hanging}"),
        (say("Nothing need stand under the first layer, after its last tile"),
         _or_dash(voice, building.ease_after, "minutes")),
        (say("The wedges of the guides are dropped by"), voice.length(building.wedge_drop, 1)),
        (say("The second layer may start, beyond the wait that is stated"),
         _or_dash(voice, building.next_after, "hours")),
        (say("A person may kneel on the whole shell, after the last tile"),
         _or_dash(voice, building.walk_after, "hours")),
    ]  # fmt: skip
    return blocks.table(voice, [say("Wait"), say("How long")], rows, align="lr", widths=[FILL, 40])


def _orders(building: SurfaceBuilding, voice: Voice) -> list[Block]:
    return [
        blocks.heading(voice, say("Orders of work compared, the proposed first")),
        blocks.table(
            voice,
            [say("Order of work"), say("First layer asks"), say("Second asks"),
             say("Waits for courses"),
             say("Guides in use"), say("In all")],
            [_order_row(order, voice) for order in building.orders[:ORDERS_SHOWN]],
            align="lrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1],
        ),
        blocks.words(voice, building.order_note),
        blocks.words(voice, building.way_note),
    ]  # fmt: skip


def _order_row(order: SurfaceOrder, voice: Voice) -> tuple[Message | str, ...]:
    return (
        order.title,
        voice.quantity(order.first, "stress"),
        voice.quantity(order.later, "stress"),
        _or_dash(voice, order.wait_courses, "hours"),
        _or_dash(voice, order.guides, "hours"),
        _or_dash(voice, order.hours, "hours"),
    )


def _first_layer(building: SurfaceBuilding, voice: Voice) -> list[Block]:
    """The first layer in the proposed order, stage by stage."""
    mine = tuple(a for a in building.stages if a.stage.laying == building.proposed.key)
    free = building.free_from[building.layings.index(building.proposed)]
    said = (
        say("In this order it never stands by compression with nothing under it.")
        if free is None
        else say("By compression alone it stands from {share:percent} of the layer on.", share=free)
    )
    return [
        blocks.heading(voice, say("First layer, {order}", order=building.proposed.title)),
        blocks.words(voice, said),
        _stage_table(mine, voice),
    ]


def _holds(building: SurfaceBuilding, voice: Voice) -> list[Block]:
    """What a tile of each course asks of its glue."""
    return [
        blocks.heading(voice, say("A tile held by hand, course by course")),
        blocks.table(
            voice,
            [say("Course"), say("Angle to the level"), say("On bed and neighbour"),
             say("On its bed alone"),
             say("Held, by the bond tests alone")],
            [
                (
                    f"{c.course}",
                    voice.quantity(c.slope, "angle"),
                    voice.quantity(c.tension, "stress"),
                    voice.quantity(c.alone, "stress"),
                    _or_dash(voice, c.seconds, "minutes"),
                )
                for c in building.holding.courses
            ],
            align="rrrrr",
            dense=True,
        ),
    ]  # fmt: skip


def _settling(building: SurfaceBuilding, voice: Voice) -> list[Block]:
    if not building.settling:
        return []
    return [
        blocks.heading(voice, say("Crown drop when the springings spread")),
        blocks.table(
            voice,
            [say("Spread"), say("Drop of the crown")],
            [(voice.length(s.spread), voice.length(s.drop, 1)) for s in building.settling],
            align="rr",
        ),
    ]
