"""The building of a vault on a plan in figures: one row a stage, for plan.json, sheets and page."""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.statics.building.settling import Settling
from timbrel.statics.building.surface_building import SurfaceBuilding
from timbrel.statics.building.surface_holding import CourseHold
from timbrel.statics.building.surface_stage import StageAnswer
from timbrel.verdict import Verdict
from timbrel.words import Message


@dataclass(frozen=True)
class StageRow:
    """One stage. laying: order of the first layer, empty where none is asked. progress: share of
    the operation. tiles: laid so far in this layer, last: names of the first and last tile laid
    last. hanging: how many tiles hang unclosed. guides: do they stand. boxes: do those of
    the openings stand on their props. net: is there a net of struts
    in what has set. tension (Pa) asked of the bond; case: which shell asks it. strength (Pa) there
    by then; ratio: tension over strength; wait: age that the youngest joint needs (s). pressing:
    mean force along the shell (N/m); sinks: greatest drop (m); buckling: factor. null where not
    asked or not judged; a wait that never ends is null too, and the verdict says so. held_by: what
    holds the stage, or must."""

    key: str
    title: Message
    operation: str
    laying: str
    layer: int
    progress: float
    tiles: int
    last: tuple[str, ...]
    hanging: int
    guides: bool
    boxes: bool
    net: bool
    tension: float
    case: Message
    strength: float | None
    ratio: float | None
    wait: float | None
    pressing: float | None
    sinks: float | None
    buckling: float | None
    held_by: Message
    verdict: Verdict
    reason: Message


@dataclass(frozen=True)
class LayingRow:
    """One order of the first layer. units: how many courses, arches or rings. free_from: share of
    the layer from which on it stands by compression with nothing under it; null: never."""

    key: str
    title: Message
    units: int
    free_from: float | None


@dataclass(frozen=True)
class SurfaceOrderRow:
    """One order of work. first, later: tension (Pa) asked while the first layer is laid and while
    the second advances. Times in s; null: not known without bond tests, or never."""

    title: Message
    laying: str
    way: str | None
    gangs: int
    first: float
    later: float
    ratio: float | None
    wait_courses: float | None
    wait_ease: float | None
    wait_next: float | None
    guides: float | None
    hours: float | None


@dataclass(frozen=True)
class SurfaceBuildingFigures:
    """All stages, the governing ones, orders of work (the proposed first), waits (s), what a tile
    asks of the hand course by course, fill lifts, crown drop against spread. hanging_courses: how
    many courses may hang unclosed. wedge_drop: by how much the wedges are dropped (m). props: greatest
    load on the props under the box of each opening (N), empty where the stages know none."""

    layings: tuple[LayingRow, ...]
    stages: tuple[StageRow, ...]
    worst: tuple[str, ...]
    hold_tension: float
    hold_seconds: float | None
    hold_trial: float | None
    holds: tuple[CourseHold, ...]
    hanging_courses: int | None
    ease_after: float | None
    wedge_drop: float
    next_after: float | None
    walk_after: float | None
    orders: tuple[SurfaceOrderRow, ...]
    order_note: Message
    way_note: Message
    lift_levels: tuple[float, ...]
    lift_safe_difference: float | None
    settling: tuple[Settling, ...]
    props: tuple[float, ...]


def surface_building_figures(building: SurfaceBuilding) -> SurfaceBuildingFigures:
    """The building as plain figures."""
    hand, lifts = building.holding.hand, building.lifts
    return SurfaceBuildingFigures(
        layings=tuple(
            LayingRow(order.key, order.title, order.count, free)
            for order, free in zip(building.layings, building.free_from, strict=True)
        ),
        stages=tuple(_row(a) for a in building.stages),
        worst=tuple(a.stage.key for a in building.worst),
        hold_tension=hand.asked.tension,
        hold_seconds=_finite(hand.seconds),
        hold_trial=hand.trial,
        holds=tuple(
            CourseHold(h.course, h.slope, h.tension, h.alone, _finite(h.seconds))
            for h in building.holding.courses
        ),
        hanging_courses=building.holding.hanging,
        ease_after=_finite(building.ease_after),
        wedge_drop=building.wedge_drop,
        next_after=_finite(building.next_after),
        walk_after=_finite(building.walk_after),
        orders=tuple(
            SurfaceOrderRow(
                o.title,
                o.laying,
                o.way.value if o.way else None,
                o.gangs,
                o.first,
                o.later,
                _finite(o.ratio),
                _finite(o.wait_courses),
                _finite(o.wait_ease),
                _finite(o.wait_next),
                _finite(o.guides),
                _finite(o.hours),
            )
            for o in building.orders
        ),
        order_note=building.order_note,
        way_note=building.way_note,
        lift_levels=() if lifts is None else tuple(float(level) for level in lifts.levels),
        lift_safe_difference=_finite(lifts.safe) if lifts else None,
        settling=building.settling,
        props=building.props,
    )


def _row(answer: StageAnswer) -> StageRow:
    stage = answer.stage
    return StageRow(
        stage.key,
        stage.title,
        stage.operation,
        stage.laying,
        stage.layer,
        stage.progress,
        stage.tiles,
        stage.last,
        len(stage.hanging),
        stage.guides,
        stage.box,
        answer.net,
        answer.tension,
        answer.case,
        answer.strength,
        _finite(answer.ratio),
        _finite(answer.wait),
        answer.press,
        answer.sinks,
        _finite(answer.buckling),
        answer.holds_by,
        answer.verdict,
        answer.reason,
    )


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
