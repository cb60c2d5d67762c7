"""The springing seats in words: the figures, the bays in their turns, whether they bear."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import signed_level
from timbrel.sheets.corner_sheet import corner_blocks
from timbrel.sheets.seat_names import kind_name, side_name
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.site.seat import Seat


def seat_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """Figures of both seats, how they are cut, whether they bear."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan) and plan.site.corners:
        return corner_blocks(plan, voice)
    seats = plan.site.seats
    names = [side_name(seat.side) for seat in seats]
    rows: list[list[Message | str]] = [
        [say("Kind of seat"), *(kind_name(s.kind) for s in seats)],
        [say("Slope of the curve at the springing"),
         *(voice.quantity(s.slope, "angle") for s in seats)],
        [say("Seat to the level"), *(voice.quantity(s.angle, "angle") for s in seats)],
        [say("Depth into the wall"), *(_of(s, "chase", voice.length(s.depth)) for s in seats)],
        [say("Height on the face"), *(voice.length(s.height) for s in seats)],
        [say("Stands out into the room"),
         *("–" if s.kind == "chase" else voice.length(s.stands_out) for s in seats)],
        [say("Length of wall"), *(voice.length(s.length) for s in seats)],
        [say("Bays cut one at a time"), *(_of(s, "chase", f"{s.bays}") for s in seats)],
        [say("Debris, loose"),
         *(_of(s, "chase", voice.quantity(s.debris, "litres")) for s in seats)],
        *_pressings(seats, voice),
    ]  # fmt: skip
    turns = [
        (
            f"{k}",
            *(", ".join(map(str, s.turns[k - 1])) if k <= len(s.turns) else "–" for s in seats),
        )
        for k in range(1, 1 + max(len(s.turns) for s in seats))
    ]
    found = [
        blocks.heading(voice, say("Springing seats")),
        blocks.table(
            voice,
            [say("Measure"), *names],
            rows,
            align="l" + "r" * len(seats),
            widths=[FILL] + [-1] * len(seats),
        ),
    ]
    if any(s.kind == "chase" for s in seats):
        found += [
            blocks.heading(voice, say("Bays to cut in each turn, counted as drawn")),
            blocks.table(
                voice,
                [say("Turn"), *names, say("Cut and packed: name, day, hour")],
                [(*row, "") for row in turns],
                align="r" + "l" * (len(seats) + 1),
                widths=[-1] * (len(seats) + 1) + [FILL],
                to_fill=True,
            ),
        ]
    found += _rising_blocks(seats, voice)
    notes = list(dict.fromkeys(voice(note) for seat in seats for note in seat.notes))
    found.append(blocks.bullets(voice, notes))
    checks = [c for c in plan.checks if c.name.startswith("site.seat.")]
    return [*found, blocks.checks_table(voice, checks)]


def _rising_blocks(seats: tuple[Seat, ...], voice: Voice) -> list[Block]:
    """The bays of seats that rise along their walls, one by one."""
    rows = [
        (
            side_name(seat.side),
            f"{bay.number}",
            f"{voice.length(bay.start)} – {voice.length(bay.end)}",
            signed_level(voice, bay.start_level),
            signed_level(voice, bay.level),
            signed_level(voice, bay.end_level),
            voice.quantity(math.pi / 2 - bay.slope, "angle"),
            _of(seat, "chase", voice.length(bay.depth)),
        )
        for seat in seats
        for bay in seat.rising
    ]
    if not rows:
        return []
    return [
        blocks.heading(voice, say("Each bay on the wall: level of the intrados, lean of the seat")),
        blocks.table(
            voice,
            [say("Wall"), say("Bay"), say("From its first corner"), say("Level, first end"),
             say("Level, middle"), say("Level, second end"), say("Seat to the level"),
             say("Depth into the wall")],
            rows,
            align="lrrrrrrr",
            widths=[FILL, 9, 42, 16, 16, 18, 17, 17],
        ),
    ]  # fmt: skip


def _of(seat: Seat, kind: str, told: str) -> str:
    """A figure that only one kind of seat has."""
    return told if seat.kind == kind else "–"


def _pressings(seats: tuple[Seat, ...], voice: Voice) -> list[list[Message | str]]:
    """What presses the seats under the least thrust and under the greatest, each by its worst load."""
    told: list[list[Message | str]] = []
    for bound, force, pressure in (
        ("least", say("Square to the seat, under the least thrust"),
         say("Pressure on half the seat, under the least thrust")),
        ("greatest", say("Square to the seat, under the greatest thrust"),
         say("Pressure on half the seat, under the greatest thrust")),
    ):  # fmt: skip
        states = [seat.under(bound) for seat in seats]
        if any(states):
            told += [
                [force, *(_said(s.force if s else None, "line_load", voice) for s in states)],
                [pressure, *(_said(s.pressure if s else None, "stress", voice) for s in states)],
            ]
    asked = [seat.slipping for seat in seats]
    if any(asked):
        friction = say("Friction asked of the seat, most")
        told.append([friction, *("–" if s is None else voice.number(s.slip, 2) for s in asked)])
    return told


def _said(value: float | None, kind: str, voice: Voice) -> str:
    return "–" if value is None else voice.quantity(value, kind)
