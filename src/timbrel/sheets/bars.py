"""The programme as bars over calendar days, rest days shaded."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from timbrel.sheets.board import TEXT_MM, Board, Picture
from timbrel.sheets.font import width_of
from timbrel.site.programme import Operation
from timbrel.site.workdays import DAY, Workdays
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.house.programme import HouseProgramme
    from timbrel.plan import AnyPlan

BAR_MM = 5.0
ROW_MM = 8.0
SHADED_MM = 1.2  # a rest day narrower than this would only be a smear


def programme_picture(plan: AnyPlan, voice: Voice, wide_mm: float) -> Picture:
    """Operations of one job as bars; the waits after them hatched."""
    programme = plan.site.programme
    rows = [(voice(op.title), op) for op in programme.operations]
    return bars(rows, programme.calendar, Workdays.of(plan.job.site), voice, wide_mm)


def house_picture(
    programme: HouseProgramme, workdays: Workdays, voice: Voice, wide_mm: float
) -> Picture:
    """The operations of a house's vaults, in the order in which its crew begins them."""
    rows = [(f"{o.job}: {voice(o.operation.title)}", o.operation) for o in programme.operations]
    return bars(rows, programme.calendar, workdays, voice, wide_mm)


def bars(
    rows: Sequence[tuple[str, Operation]],
    calendar: int,
    workdays: Workdays,
    voice: Voice,
    wide_mm: float,
) -> Picture:
    """Bars of named operations. calendar: days in all."""
    board = Board("programme", say("Programme in calendar days"), voice, 1)
    lead = max(width_of(name, TEXT_MM) for name, _ in rows) + 4.0
    last = max(calendar, 1)
    wide = (wide_mm - lead - 12.0) / last

    def at(days: float, row: float) -> tuple[float, float]:
        return (lead + days * wide) * 1e-3, -row * ROW_MM * 1e-3

    if wide >= SHADED_MM:
        for day in range(last):
            if not workdays.worked(day):
                ring = [
                    at(day, -0.2),
                    at(day + 1, -0.2),
                    at(day + 1, len(rows)),
                    at(day, len(rows)),
                ]
                board.tint(ring, "REST DAY")
    step = next(s for s in (1, 2, 5, 7, 14, 28, 56, 112) if wide * s > _mark_mm(workdays))
    for day in range(0, last + 1, step):
        board.lines([(at(day, -0.2), at(day, len(rows)))], "JOINT")
        board.text(at(day, -0.5), _mark(day, workdays))
    for i, (name, op) in enumerate(rows):
        x, z = at(0.0, i + 0.5)
        board.text((x - 2e-3, z), name, anchor="right")
        start, finish = op.start / DAY, op.finish / DAY
        _bar(board, at(start, i + 0.5), at(finish, i + 0.5), solid=True)
        if op.wait:
            _bar(board, at(finish, i + 0.5), at(finish + op.wait / DAY, i + 0.5), solid=False)
    return board.finish(margin_mm=1.0, diagram=True)


def _mark(day: int, workdays: Workdays) -> str:
    """A day at the head: its number, or its month and day where the first date is stated."""
    on = workdays.date_of(day)
    return f"{day}" if on is None else on.strftime("%m-%d")


def _mark_mm(workdays: Workdays) -> float:
    return 6.0 if workdays.first is None else 11.0


def _bar(
    board: Board, start: tuple[float, float], end: tuple[float, float], *, solid: bool
) -> None:
    half = BAR_MM / 2 * 1e-3
    left, right = start[0], max(end[0], start[0] + 0.4e-3)
    ring = [(left, start[1] - half), (right, start[1] - half), (right, start[1] + half),
            (left, start[1] + half)]  # fmt: skip
    if solid:
        board.tint(ring, "LOAD")
    else:
        board.hatch([ring], "HALF HATCH", gap_mm=1.4)
    board.line(ring, "LOAD" if solid else "JOINT", closed=True)


def dated(first_day: int, workdays: Workdays) -> str:
    """Date of a day counted from 1, or a dash."""
    on: date | None = workdays.date_of(first_day - 1)
    return "–" if on is None else on.isoformat()


def rest_told(workdays: Workdays) -> Message:
    """Which days are worked, as it stands under a programme."""
    if workdays.first is None:
        return say(
            "{days:count} working days a week; without site.start the first morning is taken for a "
            "Monday.",
            days=workdays.week,
        )
    if not workdays.off:
        return say("{days:count} working days a week, from Monday.", days=workdays.week)
    return say(
        "{days:count} working days a week, from Monday; nobody works on {off} besides.",
        days=workdays.week,
        off=", ".join(day.isoformat() for day in workdays.off),
    )
