"""Setting-out in figures: tapes, levels, offsets and rods."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from timbrel.shape.plan import SIDE_NAMES
from timbrel.sheets import blocks
from timbrel.sheets.blocks import Block
from timbrel.sheets.board import bare_length, signed_level
from timbrel.sheets.landing_tables import landing_blocks
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.bond.layout import Rod
    from timbrel.plan import Plan
    from timbrel.site.setting_out import LayerRods, SpringingLine, WallLine


ROD_PLACES = 4
"""Decimals of a metre to which rods are told apart: marks are printed in whole millimetres."""


def marks_a_row(voice: Voice) -> int:
    """Ten to a row; feet and inches take more room."""
    return 6 if voice.length_unit == "ft" else 10


def setting_tables(plan: Plan, voice: Voice) -> list[Block]:
    """Everything that is taped, struck and marked, with how to work with it."""
    out = plan.site.setting_out
    found = [
        blocks.heading(voice, say("How to set out")),
        blocks.bullets(voice, out.notes),
        blocks.heading(voice, say("Tape these before you start")),
        blocks.table(
            voice,
            [say("From"), say("To"), say("Level"), say("Along the tape")],
            [(t.start, t.end, voice.length(t.plan), voice.length(t.slope)) for t in out.tapes],
            align="llrr",
        ),
        blocks.heading(voice, say("Levels along the springings")),
        *(_springing(line, voice) for line in out.springings),
    ]
    lines = []
    for wall in out.walls:
        title = say("Line on the near wall") if wall.end == "near" else say("Line on the far wall")
        lines.append([blocks.heading(voice, title), wall_table(wall, voice)])
    found.append(blocks.side_by_side(*lines))
    for rods in out.rods:
        found += rod_blocks(rods, voice)
    return [*found, *landing_blocks(plan.site.landings, voice)]


def _springing(line: SpringingLine, voice: Voice) -> Block:
    """Distances across, levels under them."""
    title = say("Left, from A") if line.wall == "left" else say("Right, from B")
    n = min(len(line.distance), 5 if voice.length_unit == "ft" else 9)
    pick = np.unique(np.linspace(0, len(line.distance) - 1, n).round().astype(int))
    return blocks.table(
        voice,
        [title, *(bare_length(voice, float(line.distance[i])) for i in pick)],
        [[say("level"), *(signed_level(voice, float(line.level[i])) for i in pick)]],
        align="l" + "r" * len(pick),
    )


def wall_table(wall: WallLine, voice: Voice) -> Block:
    """Offsets of the intrados and the shell's outer face from the springing chord."""
    start = "A" if wall.end == "near" else "D"
    rows = []
    for x, y, outer, level in zip(wall.x, wall.y, wall.outer, wall.level, strict=True):
        rows.append(
            (
                bare_length(voice, float(x)),
                bare_length(voice, float(y)),
                bare_length(voice, float(outer)) if np.isfinite(outer) else "–",
                signed_level(voice, float(level)),
            )
        )
    return blocks.table(
        voice,
        [
            say("From {corner}", corner=start),
            say("Intrados over chord"),
            say("Top of shell over chord"),
            say("Level of intrados"),
        ],
        rows,
        align="rrrr",
    )


def rod_title(rod: Rod) -> Message:
    """Where a rod stands; over a vault of several webs with the web's letters before it."""
    web, _, rest = rod.key.partition(" ")
    if rest and web in SIDE_NAMES:
        return say("Web {web}: {title}", web=web, title=rod.title)
    return rod.title


def rods_alike(rods: Sequence[Rod]) -> list[list[Rod]]:
    """The rods of a layer in groups that one table serves: the same place in several webs, and marks
    that agree to what is printed."""
    groups: dict[tuple[str, bytes], list[Rod]] = {}
    for rod in rods:
        web, _, rest = rod.key.partition(" ")
        place = rest if web in SIDE_NAMES else rod.key
        marks = np.round(np.array([rod.size, rod.joint, rod.length, *rod.marks]), ROD_PLACES)
        groups.setdefault((place, marks.tobytes()), []).append(rod)
    return [*groups.values()]


def _rods_title(rods: Sequence[Rod]) -> Message:
    if len(rods) == 1:
        return rod_title(rods[0])
    webs = ", ".join(rod.key.partition(" ")[0] for rod in rods)
    return say("Webs {webs}: {title}", webs=webs, title=rods[0].title)


def rod_blocks(rods: LayerRods, voice: Voice) -> list[Block]:
    """The marks of every rod of a layer, some to a row; rods that are alike once."""
    found = [blocks.heading(voice, say("Gauge rods, layer {layer:count}", layer=rods.layer))]
    for alike in rods_alike(rods.rods):
        rod = alike[0]
        marks = [bare_length(voice, float(m)) for m in rod.marks]
        many = marks_a_row(voice)
        rows = [[f"{i + 1}", *marks[i : i + many]] for i in range(0, len(marks), many)]
        rows = [row + [""] * (many + 1 - len(row)) for row in rows]
        words = say(
            "{title}: tile {size:length}, joint {joint}, length {length:length}. Near edge of each, "
            "last the far edge of the last one:",
            title=_rods_title(alike),
            size=rod.size,
            joint=voice.length(rod.joint, 1),
            length=rod.length,
        )
        found.append(
            blocks.keep(
                blocks.words(voice, words),
                blocks.table(
                    voice,
                    [say("No."), *(f"+{i}" for i in range(many))],
                    rows,
                    align="r" * (many + 1),
                ),
            )
        )
    return found
