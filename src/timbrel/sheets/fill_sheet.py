"""Haunches, fill and floor on paper: the lifts in section with their levels, volumes and limits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import Board, Picture, fitted, moved, signed_level
from timbrel.sheets.cut import cut_shell
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.site.fill import FillPlan
    from timbrel.site.lifts import Lift

Floats = NDArray[np.float64]
POINTS = 241
MOST_LEVELS = 9
"""Levels written beside the section; with more lifts only every other one, the rest in the table."""


def fill_name(kind: str) -> Message:
    """What lies on the haunches."""
    return {
        "solid": say("solid fill"),
        "light": say("light fill"),
        "sleeper walls": say("dwarf walls"),
    }[kind]


def profile(plan: AnyPlan) -> tuple[Floats, Floats]:
    """Intrados and extrados (n, 2) in the middle of a barrel from DA to BC; of a vault on a plan along
    the diagonal from A to C, where its haunches are deepest (of a dome from DA to BC)."""
    from timbrel.plan import SurfacePlan

    if not isinstance(plan, SurfacePlan):
        cut = cut_shell(plan, 0.5)
        return cut.inner, cut.outer
    corners = np.asarray(plan.room.corners)
    start, end = corners[0], corners[2]
    if plan.vault.family == "dome":
        start, end = (corners[3] + corners[0]) / 2, (corners[1] + corners[2]) / 2
    share = np.linspace(0.0, 1.0, POINTS)
    x, y = (start[k] + (end[k] - start[k]) * share for k in (0, 1))
    run = share * float(np.hypot(*(end - start)[:2]))
    lines = []
    for offset in (0.0, plan.vault.thickness):
        level = np.asarray(plan.vault.height(x, y, offset))
        seen = np.isfinite(level)
        lines.append(np.column_stack([run, level])[seen])
    return lines[0], lines[1]


def fill_picture(plan: AnyPlan, voice: Voice, room_mm: tuple[float, float]) -> Picture | None:
    """The section with lifts or dwarf walls up to the floor; None where nothing is filled."""
    fill = plan.site.fill
    if fill is None:
        return None
    inner, outer = profile(plan)
    wide = float(np.ptp(outer[:, 0]))
    high = fill.floor - float(inner[:, 1].min())

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_section(plan, fill, inner, outer, voice, scale),)

    return fitted(draw, (wide, high), room_mm)[0]


def _section(
    plan: AnyPlan, fill: FillPlan, inner: Floats, outer: Floats, voice: Voice, scale: int
) -> Picture:
    diagonal = plan.vault.family in ("groin", "cloister", "sail")
    title = (
        say("Fill and floor, section along the diagonal from A to C")
        if diagonal
        else say("Fill and floor, section in the middle")
    )
    board = Board("fill-lifts", title, voice, scale)
    board.line(inner, "INTRADOS")
    board.line(outer, "EXTRADOS")
    board.lines([(inner[0], outer[0]), (inner[-1], outer[-1])], "EDGE")
    left, right = float(outer[0, 0]), float(outer[-1, 0])
    low = float(inner[:, 1].min())
    board.lines([((left, low), (left, fill.floor)), ((right, low), (right, fill.floor))], "WALL")
    backing = plan.site.backing
    if backing is not None:
        for ring in _over(outer, low, backing.top):
            board.hatch([ring], "WALL HATCH", angle_deg=45, gap_mm=1.6)
            board.text(ring.mean(axis=0), say("backing"), bold=True)
        outer = outer.copy()
        outer[:, 1] = np.maximum(outer[:, 1], backing.top)
    if fill.kind == "sleeper walls":
        _dwarf_walls(board, plan, fill, outer)
    else:
        _lifts(board, fill, outer)
    board.lines([((left, fill.top), (right, fill.top))], "FILL")
    board.lines([((left, fill.floor), (right, fill.floor))], "EXTRADOS")
    crown = outer[int(np.argmax(outer[:, 1]))]
    if fill.top > crown[1]:
        _cover(board, crown, fill)
    _levels(board, fill, left, right)
    return board.finish(margin_mm=1.0)


def _cover(board: Board, crown: Floats, fill: FillPlan) -> None:
    """The cover over the crown: too little on paper for a dimension, so a note points at it."""
    middle = np.array([float(crown[0]), (float(crown[1]) + fill.top) / 2])
    words = say("cover {cover:length}", cover=fill.top - float(crown[1]))
    right, up = board.paper(7.0), fill.floor - float(middle[1]) + board.paper(4.5)
    board.leader(middle, moved(middle, right, up), words)


def _over(outer: Floats, bottom: float, top: float) -> list[Floats]:
    """Outline (n, 2) of what lies between two levels over the shell, left and right of the crown."""
    crown = int(np.argmax(outer[:, 1]))
    rings = []
    for part in (outer[: crown + 1], outer[crown:]):
        low = np.clip(part[:, 1], bottom, top)
        if (low < top - 1e-9).any():
            inside = low < top - 1e-9
            x, z = part[inside, 0], low[inside]
            rings.append(np.concatenate([np.column_stack([x, z]), [[x[-1], top], [x[0], top]]]))
    return rings


def _lifts(board: Board, fill: FillPlan, outer: Floats) -> None:
    for lift in fill.lifts:
        for ring in _over(outer, lift.bottom, lift.top):
            board.hatch([ring], "FILL HATCH", angle_deg=20 if lift.number % 2 else 160, gap_mm=2.6)
            board.line(ring, "FILL", closed=True)
            high = lift.top - lift.bottom
            if high > board.paper(3.2):
                _number(board, ring, f"{lift.number}")


def _number(board: Board, ring: Floats, words: str) -> None:
    """The number of a lift near the wall, where it is widest."""
    x = ring[:, 0]
    near_left = abs(float(x.min()) - float(ring[np.argmin(ring[:, 1]), 0])) < 1e-6
    at = x.min() + board.paper(4.0) if near_left else x.max() - board.paper(4.0)
    z = (float(ring[:, 1].min()) + float(ring[:, 1].max())) / 2
    half, tall = board.paper(2.2), board.paper(1.6)
    board.wipe([(at - half, z - tall), (at + half, z - tall), (at + half, z + tall),
                (at - half, z + tall)])  # fmt: skip
    board.text((float(at), z), words, bold=True)


def _dwarf_walls(board: Board, plan: AnyPlan, fill: FillPlan, outer: Floats) -> None:
    """Each dwarf wall from the shell up to the top, set out from the crown."""
    stated = plan.job.loads.fill
    middle = (float(outer[0, 0]) + float(outer[-1, 0])) / 2
    count = len(fill.wall_faces) // 2
    places = middle + stated.sleeper_spacing * np.arange(-count, count + 1)
    half = stated.sleeper_thickness / 2
    foots = np.interp(places, outer[:, 0], outer[:, 1])
    for place, foot in zip(places, foots, strict=True):
        if foot < fill.top:
            ring = [(place - half, foot), (place + half, foot), (place + half, fill.top),
                    (place - half, fill.top)]  # fmt: skip
            board.hatch([ring], "WALL HATCH", gap_mm=1.2)
            board.line(ring, "WALL", closed=True)
    if count:
        a, b = places[count], places[count + 1]
        board.measure((a, fill.floor), (b, fill.floor), away_mm=5.0)


def _levels(board: Board, fill: FillPlan, left: float, right: float) -> None:
    """Floor and top on the left, tops of the lifts on the right."""
    side = board.paper(3.0)
    board.level((left - side, fill.floor), fill.floor, say("floor"), side=-1, raised_mm=2.4)
    board.level((left - side, fill.top), fill.top, say("top of fill"), side=-1, raised_mm=-2.4)
    tops = list(fill.lifts)
    every = max(1, math.ceil(len(tops) / MOST_LEVELS))
    last = -math.inf
    for lift in tops[::-1][::every][::-1]:
        if lift.top - last < board.paper(3.6):
            continue
        last = lift.top
        board.lines([((right + board.paper(1.0), lift.top), (right + board.paper(5.0), lift.top))],
                    "LEVEL")  # fmt: skip
        words = say("lift {number:count}", number=lift.number)
        spoken = f"{board.voice(words)}  {signed_level(board.voice, lift.top)}"
        board.text(moved((right, lift.top), board.paper(6.0), 0.0), spoken, anchor="left")


def fill_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """Volume, weight, lifts with the limit from side to side, levels, order."""
    fill = plan.site.fill
    if fill is None:
        none = blocks.words(voice, say("Nothing is filled: the job states no fill."))
        return [*backing_blocks(plan, voice), none]
    rows: list[tuple[Message | str, str]] = [
        (say("Kind"), voice(fill_name(fill.kind))),
        (say("Space between shell and top"), voice.quantity(fill.space, "volume")),
        (say("Volume of what fills it"), voice.quantity(fill.volume, "volume")),
        (say("Weight"), voice.quantity(fill.weight, "force")),
        (say("Up to the crown alone, as computed"), voice.quantity(fill.to_crown, "volume")),
    ]
    if fill.by_rule is not None:
        rows.append((say("Up to the crown by the rule span x rise / 3 (from memory)"),
                     voice.quantity(fill.by_rule, "volume")))  # fmt: skip
    rows += [
        (say("Cover over the crown"), voice.length(fill.least_cover)),
        (say("Top of the fill"), signed_level(voice, fill.top)),
        (say("Finished floor"), signed_level(voice, fill.floor)),
    ]
    found = [
        *backing_blocks(plan, voice),
        blocks.heading(voice, say("Haunches, fill and floor")),
        blocks.table(voice, [say("Measure"), say("Value")], rows, align="lr", widths=[FILL, 42]),
        *_limit(plan, voice),
        *_fill_order(plan, voice),
    ]
    laid = _wall_table(plan, fill, voice)
    if fill.lifts:
        laid = _lift_table(say("Lifts, both sides at once"), fill.lifts, voice)
    if plan.site.backing is not None:
        title = say("Lifts of the backing, both sides at once")
        laid = [*_lift_table(title, plan.site.backing.lifts, voice), *laid]
    if plan.job.site.sheet == "A4":
        return [*found, *laid]
    return [blocks.side_by_side(found, laid)]


def backing_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """What backs the haunches and how it is laid; nothing where nothing does."""
    backing = plan.site.backing
    if backing is None:
        return []
    rows = [
        (say("Top of the backing"), signed_level(voice, backing.top)),
        (say("Masonry"), voice.quantity(backing.volume, "volume")),
        (say("Weight"), voice.quantity(backing.weight, "force")),
    ]
    return [
        blocks.heading(voice, say("Masonry that backs the haunches: it carries")),
        blocks.table(voice, [say("Measure"), say("Value")], rows, align="lr", widths=[FILL, 42]),
        blocks.bullets(voice, backing.how),
    ]


def _lift_table(title: Message, lifts: tuple[Lift, ...], voice: Voice) -> list[Block]:
    return [
        blocks.heading(voice, title),
        blocks.table(
            voice,
            [say("Lift"), say("From"), say("To"), say("Left"), say("Right"), say("Both"),
             say("Done: day, name")],
            [
                (f"{lift.number}", signed_level(voice, lift.bottom), signed_level(voice, lift.top),
                 voice.quantity(lift.left, "volume"), voice.quantity(lift.right, "volume"),
                 voice.quantity(lift.volume, "volume"), "")
                for lift in lifts
            ],
            align="rrrrrrl",
            widths=[-1, -1, -1, -1, -1, -1, FILL],
            to_fill=True,
        ),
    ]  # fmt: skip


def _wall_table(plan: AnyPlan, fill: FillPlan, voice: Voice) -> list[Block]:
    stated = plan.job.loads.fill
    count = len(fill.wall_faces) // 2
    if len(fill.wall_faces) == 1 and plan.vault.family == "dome":
        names = [say("all of them")]
    else:
        names = [
            say("{place:length} from the crown", place=(i - count) * stated.sleeper_spacing)
            for i in range(len(fill.wall_faces))
        ]
    return [
        blocks.heading(voice, say("Dwarf walls along the axis, from the left")),
        blocks.words(
            voice,
            say(
                "{thickness:length} thick, {spacing:length} from axis to axis; bring the two that "
                "answer each other up together.",
                thickness=stated.sleeper_thickness,
                spacing=stated.sleeper_spacing,
            ),
        ),
        blocks.table(
            voice,
            [say("Wall"), say("Area of one face")],
            [(name, voice.quantity(float(face), "area"))
             for name, face in zip(names, fill.wall_faces, strict=True)],
            align="lr",
            widths=[FILL, 34],
        ),
    ]  # fmt: skip


def _limit(plan: AnyPlan, voice: Voice) -> list[Block]:
    """How far the two sides may be apart: half-filled is a state of the building."""
    from timbrel.plan import SurfacePlan

    building = plan.stages if isinstance(plan, SurfacePlan) else plan.building
    lifts = building.lifts if building is not None else None
    usual = say(
        "Both sides alike, never more than one lift apart ({lift:length}); no fill before the "
        "shell has waited {wait:days}. Start at the walls, work to the crown; no wheelbarrow and "
        "no heap on one side.",
        lift=plan.job.building.lift,
        wait=plan.job.site.wait_fill,
    )
    lines = [usual]
    if lifts is not None and lifts.safe is None:
        lines.append(say("Half filled: not even both sides alike stand. Do not fill."))
    elif lifts is not None and math.isinf(lifts.safe or 0.0):
        lines.append(
            say("Half filled: the shell stands with one side full and the other empty, as judged.")
        )
    elif lifts is not None:
        lines.append(
            say("Half filled: the sides may be {safe:length} apart at most, as judged.",
                safe=lifts.safe)
        )  # fmt: skip
    else:
        lines.append(
            say(
                "Half filled as a load: judged once the stages of building have been followed (the "
                "verdicts of the job, the pack). Until then keep both sides alike."
            )
        )
    return [blocks.bullets(voice, lines)]


def _fill_order(plan: AnyPlan, voice: Voice) -> list[Block]:
    lines = [line for line in plan.takeoff.lines if line.key == "fill"]
    return [
        blocks.words(
            voice,
            say(
                "To order: {title}, {order}, {mass:mass}.",
                title=line.title,
                order=voice.quantity(line.order, line.kind),
                mass=line.mass,
            ),
        )
        for line in lines
    ]
