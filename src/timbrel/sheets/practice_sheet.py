"""The practice arch on paper: its curve, tiles and centring; its batch; gates; tiles an hour."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import Board, Picture, bare_length, fitted, moved
from timbrel.sheets.summary import curve_name
from timbrel.sheets.template import lower_edge
from timbrel.site.batches import NoBatch
from timbrel.site.practice import PracticeArch
from timbrel.statics.floor import GRAVITY
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

Floats = NDArray[np.float64]


def practice_picture(plan: AnyPlan, voice: Voice, room_mm: tuple[float, float]) -> Picture | None:
    """Elevation: the tiles on the rib, the wedges, the blocks that hold the feet."""
    arch = plan.site.practice
    if not isinstance(arch, PracticeArch):
        return None
    size = (arch.span * 1.35, arch.rise + 0.35)

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_elevation(plan, arch, voice, scale),)

    return fitted(draw, size, room_mm)[0]


def _elevation(plan: AnyPlan, arch: PracticeArch, voice: Voice, scale: int) -> Picture:
    board = Board("practice-arch", say("Practice arch on its centring"), voice, scale)
    site = plan.job.site
    tile = plan.job.tiles[plan.job.layers[0].tile]
    template = arch.rib.top
    inner = lower_edge(template, -site.lagging)
    outer = lower_edge(template, -site.lagging - tile.thickness)
    _tiles(board, arch, inner, outer)
    _frame(board, arch, template, plan)
    _feet(board, inner, outer, plan)
    left, right = inner[0], inner[-1]
    board.lines([(left, right)], "CHORD")
    low = _foot_of(template, arch, plan) - arch.wedges.set_height - board.paper(2.0)
    span, rise = (bare_length(voice, value) for value in (arch.span, arch.rise))
    board.measure((left[0], low), (right[0], low), away_mm=-7.0, angle=0.0, label=span)
    top = inner[int(np.argmax(inner[:, 1]))]
    foot = (top[0], float(min(left[1], right[1])))
    board.measure(foot, top, away_mm=0.0, angle=np.pi / 2, label=rise)
    crown = outer[int(np.argmax(outer[:, 1]))]
    board.text(
        moved(crown, 0.0, board.paper(4.0)),
        say("{tiles:count} tiles from springing to springing, joints of {joint:length}",
            tiles=arch.across, joint=arch.joint),
    )  # fmt: skip
    return board.finish(margin_mm=1.0)


def _at(line: Floats, runs: Floats) -> Floats:
    """Points (k, 2) at shares of the length of a line."""
    steps = np.hypot(*np.diff(line, axis=0).T)
    place = np.concatenate([[0.0], np.cumsum(steps)])
    place /= place[-1]
    return np.column_stack([np.interp(runs, place, line[:, k]) for k in (0, 1)])


def _tiles(board: Board, arch: PracticeArch, inner: Floats, outer: Floats) -> None:
    """Each tile as it lies, joint, tile, joint; the last one laid is the key."""
    size = (arch.arc - arch.joint * (arch.across + 1)) / arch.across
    key = arch.across // 2
    for k in range(arch.across):
        start = arch.joint + k * (size + arch.joint)
        shares = np.array([start, start + size]) / arch.arc
        ring = np.concatenate([_at(inner, shares), _at(outer, shares)[::-1]])
        board.line(ring, "TILE CUT" if k == key else "TILE", closed=True)
        if k == key:
            board.hatch([ring], "CUT HATCH", gap_mm=0.9)


def _depth(arch: PracticeArch, plan: AnyPlan) -> float:
    """Depth of the rib's boards, as the arch was planned with."""
    return float(min(plan.job.site.rib_depth, arch.rise * 0.6))


def _foot_of(template: Floats, arch: PracticeArch, plan: AnyPlan) -> float:
    """Height of the lowest corner of the rib, on which the wedges bear."""
    return float(lower_edge(template, _depth(arch, plan))[:, 1].min())


def _frame(board: Board, arch: PracticeArch, template: Floats, plan: AnyPlan) -> None:
    depth = _depth(arch, plan)
    lower = lower_edge(template, depth)
    board.line(template, "CENTRING")
    board.line(lower, "CENTRING")
    board.lines([(template[0], lower[0]), (template[-1], lower[-1])], "CENTRING")
    if plan.job.site.lagging > 0:
        board.line(lower_edge(template, -plan.job.site.lagging), "LAGGING")
    base = _foot_of(template, arch, plan)
    left, right = float(lower[0, 0]), float(lower[-1, 0])
    board.lines([((left, base), (right, base))], "LAGGING")
    pair = arch.wedges
    length = min(pair.length, (right - left) / 3)
    for x, inward in ((left, 1.0), (right, -1.0)):
        a, b = x, x + inward * length
        low = base - pair.set_height
        board.line([(a, low), (b, low), (b, base), (a, base)], "WEDGE", closed=True)
        board.lines([((a, low + pair.thick), (b, low + pair.thin))], "WEDGE")


def _feet(board: Board, inner: Floats, outer: Floats, plan: AnyPlan) -> None:
    """The blocks that hold the feet: square to the curve, as the seat will be."""
    wide = board.paper(9.0)
    for k, side in ((0, -1.0), (-1, 1.0)):
        a, b = inner[k], outer[k]
        low = float(a[1]) - board.paper(7.0)
        ring = np.array([a, b, [b[0] + side * wide, b[1]], [b[0] + side * wide, low], [a[0], low]])
        board.hatch([ring], "WALL HATCH", gap_mm=1.6)
        board.line(ring, "WALL", closed=True)


def practice_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """Figures, offsets, batch, gates to tick, tiles an hour to write down."""
    arch = plan.site.practice
    if not isinstance(arch, PracticeArch):
        return [blocks.words(voice, arch)]
    return [
        blocks.heading(voice, say("The practice arch")),
        blocks.table(
            voice, [say("Measure"), say("Value")], _figures(plan, arch, voice),
            align="lr", widths=[FILL, 50],
        ),
        blocks.table(
            voice,
            [say("From left"), *(bare_length(voice, float(x)) for x in arch.offsets.x)],
            [[say("height"), *(bare_length(voice, float(y)) for y in arch.offsets.y)]],
            align="l" + "r" * len(arch.offsets.x),
            dense=True,
        ),
        *_proof(arch, voice),
        *_lesson(arch, voice),
        *_batch(arch, voice),
        blocks.heading(voice, say("Gates: no one goes on before the one before is passed")),
        blocks.table(
            voice,
            [say("No."), say("Shown"), say("Passed"), say("Day, master mason")],
            [(f"{gate.number}", gate.what, "[   ]", "") for gate in arch.gates],
            align="rlcl",
            widths=[-1, FILL, 14, 32],
            to_fill=True,
        ),
        *_pace(arch, voice),
        blocks.caution(voice, [
            say("The feet push outward: block them between two walls or tie them before easing."),
            say("Nobody reaches under the arch; gloves and goggles against the binder."),
        ]),
    ]  # fmt: skip


def _figures(plan: AnyPlan, arch: PracticeArch, voice: Voice) -> list[tuple[Message | str, str]]:
    rows: list[tuple[Message | str, str]] = [
        (say("Curve"), voice(curve_name(arch.kind))),
        (say("Span, rise"), f"{voice.length(arch.span)}, {voice.length(arch.rise)}"),
        (say("Length round the curve"), voice.length(arch.arc)),
        (say("Tiles across, arches, tiles in all"),
         f"{arch.across}, {arch.arches}, {arch.tiles}"),
        (say("Joint with which it closes"), voice.length(arch.joint, 1)),
        (say("Length along the axis"), voice.length(arch.length)),
        (say("Boards of a rib, longest"),
         f"{arch.rib.boards}, {voice.length(arch.rib.board_length)}"),
        (say("Wedges: drop, slide"),
         f"{voice.length(arch.wedges.drop)}, {voice.length(arch.wedges.slide)}"),
        (say("Weight of one layer"), voice.quantity(arch.weight / GRAVITY, "mass")),
        (say("Push of each foot under one layer, by w L²/(8 f)"),
         voice.quantity(arch.thrust, "force")),
    ]  # fmt: skip
    if arch.trammel is not None:
        radii = ", ".join(voice.length(arc.radius) for arc in arch.trammel.arcs)
        rows.insert(3, (say("Radius of the string"), radii))
    return rows


def _proof(arch: PracticeArch, voice: Voice) -> list[Block]:
    """The arch planned as a barrel of its own: what the feet must hold, what the bags leave."""
    proof = arch.proof
    rows: list[tuple[Message | str, str]] = [
        (say("All layers: thickness, weight"),
         f"{voice.length(proof.thickness)}, {voice.quantity(proof.weight / GRAVITY, 'mass')}"),
        (say("Bags of the gate, on a square metre"), voice.quantity(proof.bags, "pressure")),
    ]  # fmt: skip
    if proof.stands and proof.factor is not None:
        rows += [
            (say("Load factor on the bags"), voice.quantity(proof.factor, "ratio")),
            (say("Push under all layers and the bags, least"),
             voice.quantity(proof.least, "force")),
            (say("Push that each foot must hold"), voice.quantity(proof.greatest, "force")),
        ]  # fmt: skip
    else:
        rows.append((say("Thrust line in the arch alone"), voice(say("none"))))
    return [
        blocks.heading(voice, say("The arch as a barrel of its own, by its strip")),
        blocks.table(voice, [say("Measure"), say("Value")], rows, align="lr", widths=[FILL, 50]),
    ]


def _lesson(arch: PracticeArch, voice: Voice) -> list[Block]:
    """What a vault on a plan asks for besides: its marks, and how it is practised."""
    lesson = arch.lesson
    if lesson is None:
        return []

    def told(value: float) -> str:
        return voice.quantity(value, "angle") if lesson.kind == "angle" else voice.length(value, 1)

    rows = [
        (voice.quantity(mark.share, "percent"), voice.length(mark.run), told(mark.value))
        for mark in lesson.marks
    ]
    return [
        blocks.heading(voice, say("What one arch does not teach")),
        blocks.words(voice, lesson.of),
        blocks.table(
            voice,
            [say("Of the curve, springing to crown"), say("On the vault, from the springing"),
             lesson.what],
            rows,
            align="rrr",
            widths=[FILL, FILL, FILL],
        ),
        blocks.words(voice, lesson.exercise),
    ]  # fmt: skip


def _batch(arch: PracticeArch, voice: Voice) -> list[Block]:
    batch = arch.batch
    if isinstance(batch, NoBatch):
        return [blocks.words(voice, batch.reason)]
    return [
        blocks.heading(voice, say("Its batch")),
        blocks.table(
            voice,
            [say("Binder"), say("Tiles"), say("Powder"), say("Water"), say("Retarder"),
             say("Throw away after"), say("Batches in all")],
            [(
                batch.binder,
                f"{batch.tiles}",
                voice.quantity(batch.powder, "mass"),
                voice.quantity(batch.water, "litres"),
                voice.quantity(batch.retarder, "grams") if batch.retarder else "–",
                voice.quantity(batch.throw_away, "minutes"),
                f"{batch.a_layer}",
            )],
            align="lrrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
    ]  # fmt: skip


def _pace(arch: PracticeArch, voice: Voice) -> list[Block]:
    low, high = arch.pace
    return [
        blocks.heading(voice, say("Tiles an hour")),
        blocks.words(
            voice,
            say(
                "An apprentice begins at about {low:count} tiles an hour; the crew reckons with "
                "{high:count}. Enter each arch and each gate in the site record too: it keeps the "
                "pace of everybody who learns.",
                low=low,
                high=high,
            ),
        ),
        blocks.table(
            voice,
            [say("Arch"), say("Tiles"), say("Begun"), say("Closed"), say("Tiles an hour"),
             say("Thrown away"), say("Name")],
            [(f"{n}", f"{arch.across}", "", "", "", "", "") for n in range(1, arch.arches + 1)],
            align="rrlllll",
            widths=[-1, -1, 22, 22, 22, 22, FILL],
            to_fill=True,
        ),
    ]  # fmt: skip
