"""The corner seats in words: the measures, every state of the vault on them, the order of cutting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import signed_level
from timbrel.sheets.seat_names import kind_name
from timbrel.site.corner_checks import bound_name
from timbrel.site.corner_seat import TURNS
from timbrel.verdict import Check, governing_first
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.site.corner_seat import CornerSeat


def corner_blocks(plan: SurfacePlan, voice: Voice) -> list[Block]:
    """Figures of the four corners, what the vault puts on them, how they are cut."""
    seats = plan.site.corners
    checks = _governing(plan)
    notes = list(dict.fromkeys(voice(note) for seat in seats for note in seat.notes))
    return [
        blocks.heading(voice, say("Seats of the corners")),
        blocks.table(
            voice,
            [say("Measure"), *(seat.corner for seat in seats)],
            _figures(seats, voice, creased=plan.vault.family == "groin"),
            align="l" + "r" * len(seats),
            widths=[FILL] + [-1] * len(seats),
        ),
        blocks.bullets(voice, notes),
        *_thrusts(seats, voice),
        blocks.heading(voice, say("One corner at a time")),
        blocks.table(
            voice,
            [say("Turn"), say("Corner"), say("Propped"), say("Cut"), say("Packed"),
             say("Hard: name, day, hour")],
            [(f"{k}", name, "", "", "", "") for k, name in enumerate(TURNS, 1)],
            align="rlllll",
            widths=[-1, -1, 22, 22, 22, FILL],
            to_fill=True,
        ),
        blocks.caution(voice, [
            say("A pier that is cut carries less: nobody opens a second corner, and nothing is "
                "stood on the vault, while one is open."),
        ]),
        blocks.checks_table(voice, checks),
    ]  # fmt: skip


def _governing(plan: SurfacePlan) -> list[Check]:
    """Of each question the corner that governs it."""
    asked = governing_first(c for c in plan.checks if c.name.startswith("site.seat."))
    worst: dict[str, Check] = {}
    for check in asked:
        worst.setdefault(check.name.rsplit(".", 1)[-1], check)
    return list(worst.values())


def _figures(
    seats: tuple[CornerSeat, ...], voice: Voice, *, creased: bool
) -> list[list[Message | str]]:
    def each(kind: str, name: str) -> list[str]:
        return [
            voice.length(getattr(s, name)) if kind == "length"
            else voice.quantity(getattr(s, name), kind)
            for s in seats
        ]  # fmt: skip

    def no_corbel(told: list[str]) -> list[str]:
        return ["–" if s.kind == "corbel" else value for s, value in zip(seats, told, strict=True)]

    def front(i: int) -> list[str]:
        return [signed_level(voice, s.front[i]) for s in seats]

    along = (
        say("Slope of the groin at the springing"),
        say("Slopes of the wall arches, before and after"),
        say("Width across the groin"),
        say("Shell on the seat, in the groin's plane"),
        say("Solid along both walls"),
        say("Front of the springer: on the groin"),
    )
    if not creased:
        along = (
            say("Slope over the diagonal at the springing"),
            say("Slopes of the edge arches, before and after"),
            say("Width across the diagonal"),
            say("Shell on the seat, in the plane of the diagonal"),
            say("Solid along both edge arches"),
            say("Front of the springer: on the diagonal"),
        )
    slopes = [", ".join(voice.quantity(a, "angle") for a in s.walls) for s in seats]

    return [
        [say("Kind of seat"), *(kind_name(s.kind) for s in seats)],
        [along[0], *each("angle", "slope")],
        [along[1], *slopes],
        [say("Seat to the level"), *each("angle", "angle")],
        [along[2], *each("length", "width")],
        [along[3], *each("length", "thickness")],
        [say("Depth into the pier"), *no_corbel(each("length", "depth"))],
        [say("Height of the opening"), *each("length", "height")],
        [say("Stands out into the room"),
         *(voice.length(s.stands_out) if s.kind == "corbel" else "–" for s in seats)],
        [say("Share of the seat that lies on the pier"), *each("percent", "borne")],
        [say("Debris, loose"), *no_corbel(each("litres", "debris"))],
        [along[4], *each("length", "reach")],
        [say("Front of the springer: on the arch before"), *front(0)],
        [along[5], *front(1)],
        [say("Front of the springer: on the arch after"), *front(2)],
    ]  # fmt: skip


def _thrusts(seats: tuple[CornerSeat, ...], voice: Voice) -> list[Block]:
    told: dict[tuple[str, ...], list[str]] = {}
    for seat in seats:
        for state in seat.thrusts:
            row = (
                voice(state.load),
                voice(bound_name(state)),
                voice.quantity(state.level, "force"),
                voice.quantity(state.down, "force"),
                voice.quantity(state.lean, "angle"),
                voice.quantity(state.pressure, "stress"),
                voice.number(state.slip, 2),
            )
            told.setdefault(row, []).append(seat.corner)
    if not told:
        return []
    rows = [(", ".join(corners), *row) for row, corners in told.items()]
    return [
        blocks.heading(voice, say("What the vault puts on each corner")),
        blocks.table(
            voice,
            [
                say("Corner"),
                say("Load"),
                say("Thrust"),
                say("Level"),
                say("Down"),
                say("To the level"),
                say("Pressure"),
                say("Friction asked"),
            ],
            rows,
            align="lllrrrrr",
            widths=[-1, FILL, *[-1] * 6],
        ),
        blocks.words(voice, say("Levels are over the springing of the corner."), small=True),
    ]
