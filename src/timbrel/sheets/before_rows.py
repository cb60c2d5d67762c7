"""What is decided before the first tile as plain rows: deliveries, seats, lifts, hand check."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from timbrel.sheets.seat_names import kind_name, side_name
from timbrel.sheets.table import Cell, Table
from timbrel.site.hand_plan import PlanHandCheck
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan


def before_rows(plan: AnyPlan, voice: Voice) -> tuple[Table, ...]:
    """Those of these tables that have a row."""
    found = (
        delivery_rows(plan, voice),
        seat_rows(plan, voice),
        lift_rows(plan, voice),
        hand_rows(plan, voice),
    )
    return tuple(table for table in found if table.rows)


def delivery_rows(plan: AnyPlan, voice: Voice) -> Table:
    """What must be on site when each stage begins."""
    head = (say("Stage"), say("Day"), say("Keys of the order"), say("Weight (kg)"), say("Pallets"),
            say("Bags"), say("Floor taken (m2)"), say("Hoist loads"))  # fmt: skip
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            voice(one.title),
            one.day,
            " ".join(one.keys),
            round(one.mass, 1),
            one.pallets,
            one.bags,
            round(one.floor_area, 2),
            one.lifts,
        )
        for one in plan.takeoff.logistics.deliveries
    )
    return Table("logistics", say("Logistics"), head, rows)


def seat_rows(plan: AnyPlan, voice: Voice) -> Table:
    """The springing seats: what is cut, and what presses on it."""
    head = (say("Wall"), say("Kind"), say("Slope (degrees)"), say("Depth (mm)"),
            say("Height (mm)"), say("Stands out (mm)"), say("Length (mm)"), say("Bays"),
            say("Debris (litres)"), say("Force (N/m)"), say("Pressure (N/mm2)"))  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for seat in plan.site.seats:
        bearing = seat.bearing
        rows.append(
            (
                voice(side_name(seat.side)),
                voice(kind_name(seat.kind)),
                round(math.degrees(seat.slope), 2),
                *(round(v * 1e3, 1) for v in (seat.depth, seat.height, seat.stands_out)),
                round(seat.length * 1e3, 1),
                seat.bays,
                round(seat.debris * 1e3, 1),
                None if bearing is None else round(bearing.force, 1),
                None if bearing is None else round(bearing.pressure * 1e-6, 4),
            )
        )
    corners = getattr(plan.site, "corners", ())
    for corner in corners:
        worst = corner.worst
        rows.append(
            (
                voice(say("Corner {corner}", corner=corner.corner)),
                voice(kind_name(corner.kind)),
                round(math.degrees(corner.slope), 2),
                *(round(v * 1e3, 1) for v in (corner.depth, corner.height, corner.stands_out)),
                round(corner.width * 1e3, 1),
                1,
                round(corner.debris * 1e3, 1),
                None if worst is None else round(worst.square / corner.width, 1),
                None if worst is None else round(worst.pressure * 1e-6, 4),
            )
        )
    return Table("seats", say("Springing seats"), head, tuple(rows))


def lift_rows(plan: AnyPlan, voice: Voice) -> Table:
    """The fill, lift by lift."""
    head = (say("Lift"), say("From (m)"), say("To (m)"), say("Left (m3)"), say("Right (m3)"))
    lifts = plan.site.fill.lifts if plan.site.fill is not None else ()
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            lift.number,
            round(lift.bottom, 4),
            round(lift.top, 4),
            round(lift.left, 4),
            round(lift.right, 4),
        )
        for lift in lifts
    )
    return Table("lifts", say("Fill in lifts"), head, rows)


def _on_plan(
    check: PlanHandCheck, voice: Voice
) -> tuple[tuple[Message, ...], tuple[tuple[Cell, ...], ...]]:
    """Head and rows of the hand check of a vault on a plan, kN."""
    head = (say("Load"), say("Where"), say("Even load w (kN/m2)"), say("Least by hand (kN)"),
            say("Pencil's way to carry (kN)"), say("Greatest by hand (kN)"),
            say("Net, least (kN)"), say("Net, greatest (kN)"))  # fmt: skip

    def kilo(value: float | None) -> float | None:
        return None if value is None or not math.isfinite(value) else round(value * 1e-3, 3)

    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            voice(case.title),
            voice(case.where),
            *(kilo(value) for value in (case.even, case.low, case.way, case.high, case.least,
                                        case.greatest)),
        )
        for case in check.cases
    )  # fmt: skip
    return head, rows


def hand_rows(plan: AnyPlan, voice: Voice) -> Table:
    """The hand check beside the program, kN and m."""
    head = (say("Load"), say("Even load w (kN/m2)"), say("Haunch load w_h (kN/m2)"),
            say("Thrust by hand (kN/m)"), say("Least by hand (kN/m)"),
            say("Greatest by hand (kN/m)"), say("Least, program (kN/m)"),
            say("Greatest, program (kN/m)"))  # fmt: skip
    check = plan.site.hand_check
    if isinstance(check, PlanHandCheck):
        return Table("hand-check", say("Hand check"), *_on_plan(check, voice))
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            voice(case.title),
            *(
                round(value * 1e-3, 3) if math.isfinite(value) else None
                for value in (
                    case.even, case.haunch, case.thrust, case.low, case.high, case.least,
                    case.greatest,
                )
            ),
        )
        for case in (check.cases if check is not None else ())
    )  # fmt: skip
    return Table("hand-check", say("Hand check"), head, rows)
