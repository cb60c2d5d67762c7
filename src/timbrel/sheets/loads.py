"""The load path on paper: numbered notes, every combination, thrust against eccentricity."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import Board, Picture, moved
from timbrel.sheets.combination_names import names_told
from timbrel.sheets.studies import study_blocks
from timbrel.sheets.ticks import round_marks
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.carrying import Carrying
    from timbrel.statics.envelope import EnvelopeRow
    from timbrel.statics.notes import Note
    from timbrel.statics.walls import SpringingForce

Floats = NDArray[np.float64]
SAME_THICKNESS = 1.01
"""A joint thicker than the thinnest by more than this is one that backing thickens."""


def load_path_blocks(plan: Plan, voice: Voice, picture: Picture | None) -> list[Block]:
    """Notes in order, the envelope, the interaction, what would help; nothing where it was not
    followed."""
    carrying = plan.carrying
    if carrying is None:
        return []
    found = [
        blocks.heading(voice, say("Load path, step by step")),
        notes_table(carrying.notes, voice),
    ]
    if picture is not None:
        found += [
            blocks.heading(voice, say("Thrust against eccentricity at every joint")),
            blocks.picture(voice, picture),
        ]
    found += [
        blocks.heading(voice, say("Every combination of loads")),
        blocks.words(voice, names_told()),
        _combinations(carrying, voice),
        blocks.heading(voice, say("Thrust along the springings, kN a metre of wall, unfactored")),
        _along(carrying, voice),
        blocks.heading(voice, say("Movement and level push")),
        blocks.table(
            voice, [say("What"), say("Value")], _movement(carrying, voice), align="lr",
            widths=[FILL, 40],
        ),
    ]  # fmt: skip
    return [*found, *study_blocks(plan, voice)]


def notes_table(notes: tuple[Note, ...], voice: Voice) -> Block:
    """Numbered notes, each with its figures put in and its source."""
    return blocks.table(
        voice,
        [say("No."), say("What"), say("Worked"), say("Source")],
        [_note_row(note, voice) for note in notes],
        align="rlll",
        widths=[-1, 48, FILL, 36],
    )


def _note_row(note: Note, voice: Voice) -> tuple[Message | str, ...]:
    unit = f" {note.unit}" if note.unit else ""
    result = voice.number(note.result, 3 if abs(note.result) < 100 else 1)
    worked = f"{note.symbol} = {note.formula} = {note.substituted} = {result}{unit}"
    return f"{note.number}", note.title, worked, voice.text(note.source)


def _combinations(carrying: Carrying, voice: Voice) -> Block:
    """Least and greatest thrust of each combination; the places of a walked line load in one row."""
    groups: dict[str, list[EnvelopeRow]] = {}
    for row in carrying.envelope.rows:
        key, _, place = row.combination.key.rpartition(".line.")
        name = f"{key}.line" if key and place.isdigit() else row.combination.key
        groups.setdefault(name, []).append(row)
    rows = []
    for key, found in groups.items():
        least = [row.least for row in found if row.least is not None]
        greatest = [row.greatest for row in found if row.greatest is not None]
        known = len(least) == len(greatest) == len(found)
        rows.append(
            (
                key,
                f"{len(found)}",
                voice.quantity(min(least), "line_load") if known else "–",
                voice.quantity(max(greatest), "line_load") if known else "–",
            )
        )
    return blocks.table(
        voice,
        [say("Combination"), say("Places"), say("Least thrust"), say("Greatest thrust")],
        rows,
        align="lrrr",
        dense=True,
    )


def _along(carrying: Carrying, voice: Voice) -> Block:
    """Level thrust, least and greatest, with the load that goes with each, at even stations."""

    def figures(force: SpringingForce | None) -> tuple[str, str]:
        if force is None:
            return "–", "–"
        return voice.number(force.level * 1e-3, 2), voice.number(force.down * 1e-3, 2)

    half = len(carrying.along) // 2
    rows = [
        (
            voice.quantity(left.along, "metres"),
            *figures(left.least),
            *figures(left.greatest),
            voice.quantity(right.along, "metres"),
            *figures(right.least),
            *figures(right.greatest),
        )
        for left, right in zip(carrying.along[:half], carrying.along[half:], strict=True)
    ]
    least, down, most = say("least"), say("down"), say("greatest")
    return blocks.table(
        voice,
        [say("Left, from A"), least, down, most, down, say("Right, from B"), least, down, most,
         down],
        rows,
        align="rrrrrrrrrr",
        dense=True,
    )  # fmt: skip


def _movement(carrying: Carrying, voice: Voice) -> list[tuple[Message | str, str]]:
    rows: list[tuple[Message | str, str]] = []
    if carrying.spread_most is not None:
        rows.append(
            (
                say("Spread of the springings that leaves a thrust line"),
                voice.length(carrying.spread_most),
            )
        )
    level = carrying.level
    for bounded, title in (
        (level.left, say("Level push to the left that is borne, share of the weight")),
        (level.right, say("Level push to the right that is borne, share of the weight")),
    ):
        if bounded is not None:
            rows.append((title, voice.quantity(bounded.static, "percent")))
    if level.along is not None:
        rows.append(
            (
                say("Level push along the axis that is borne, share of the weight"),
                voice.quantity(level.along, "percent"),
            )
        )
    return rows


def interaction_picture(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> Picture | None:
    """Every joint of the governing combination: normal force to the right, moment upward.

    The region between the two curves is safe: the resultant inside the thickness, and the stress
    block within the crushing strength where that is stated. They are those of the bare shell, so that
    joints which backing thickens are left out and counted.
    """
    if plan.carrying is None or plan.carrying.envelope.interaction is None:
        return None
    data = plan.carrying.envelope.interaction
    board = Board("interaction", say("Thrust against eccentricity"), voice, 1)
    thin = float(data.thickness.min())
    bare = data.thickness <= thin * SAME_THICKNESS
    top = float(data.normal.max()) * 1.15
    normal = np.linspace(0.0, top, 61)
    limit = replace(data, normal=normal, thickness=np.full_like(normal, thin)).limits
    high = float(max(limit.max(), np.abs(data.moment[bare]).max())) * 1.1
    wide, tall = (room_mm[0] - 50.0) * 1e-3, min(room_mm[1] - 24.0, 90.0) * 1e-3

    def at(n: Floats | float, m: Floats | float) -> Floats:
        return np.stack(
            np.broadcast_arrays(np.asarray(n) / top * wide, np.asarray(m) / high * tall / 2), -1
        )

    board.line(at(normal, limit), "EXTRADOS")
    board.line(at(normal, -limit), "EXTRADOS")
    ring = np.concatenate([at(normal, limit), at(normal, -limit)[::-1]])
    board.hatch([ring], "HALF HATCH", gap_mm=2.5)
    board.arrow(at(top * 1.06, 0.0), at(0.0, 0.0), "DIMENSION")
    board.arrow(at(0.0, high * 1.05), at(0.0, -high * 1.05), "DIMENSION")
    for n, m in zip(data.normal[bare], data.moment[bare], strict=True):
        board.dot(at(float(n), float(m)), "THRUST GREATEST", 1.1, filled=True)
    for mark in round_marks(top).tolist():
        spot = at(mark, 0.0)
        board.lines([(spot, spot - [0.0, 1.2e-3])], "DIMENSION")
        board.text(at(mark, -high * 1.12), voice.quantity(mark, "line_load"))
    steps = round_marks(high / 1.1, 2).tolist()
    for mark in (*(-step for step in steps), *steps):
        spot = at(0.0, mark)
        board.lines([(spot, moved(spot, 1.2e-3, 0.0))], "DIMENSION")
        worth = voice.quantity(mark, "moment")
        board.text(moved(spot, 2e-3, 0.0), worth, anchor="left")
    board.text(
        at(top * 0.55, high * 1.0),
        say("hatched: safe; dots: the joints; share used {share:percent}", share=data.use),
    )
    if not bare.all():
        board.text(
            at(top * 0.55, -high),
            say(
                "{count:count} joints that the backing thickens are not drawn",
                count=int((~bare).sum()),
            ),
        )
    return board.finish(margin_mm=1.0, diagram=True)
