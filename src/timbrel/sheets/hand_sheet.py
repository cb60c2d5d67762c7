"""The hand check on one page: a sketch, then each sum with its figures put in, for a pencil."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import TEXT_MM, Board, Picture, fitted, moved
from timbrel.sheets.font import width_of
from timbrel.site.hand_check import EXPLAINED, free_part
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.site.hand_check import HandCase, HandCheck

UNITS = 1e-3
"""The page is in kN and m, as a pencil writes."""


def hand_picture(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> Picture | None:
    """The middle line, its chord, span and rise, the even load and the haunches over it."""
    check = plan.site.hand_check
    if check is None:
        return None
    strip, _ = free_part(plan.statics.worst.actions.strip, [])
    start = strip.shell_middle[0]
    middle = np.asarray(strip.shell_middle) - start
    high = float(np.ptp(middle[:, 1]))

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_sketch(check, middle, np.asarray(strip.inner) - start,
                        np.asarray(strip.shell_outer) - start, voice, scale),)  # fmt: skip

    return fitted(draw, (check.span, high), room_mm)[0]


def _sketch(
    check: HandCheck, middle: np.ndarray, inner: np.ndarray, outer: np.ndarray, voice: Voice,
    scale: int,
) -> Picture:  # fmt: skip
    board = Board("hand-check", say("Three-pinned arch by hand"), voice, scale)
    board.line(inner, "TILE")
    board.line(outer, "TILE")
    board.line(middle, "THRUST LEAST")
    left, right = middle[0], middle[-1]
    board.lines([(left, right)], "CHORD")
    chord = left[1] + (right[1] - left[1]) * (middle[:, 0] - left[0]) / (right[0] - left[0])
    top = int(np.argmax(middle[:, 1] - chord))
    rise = board.voice(say("f = {rise:length}", rise=check.rise))
    foot = np.array([middle[top, 0], chord[top]])
    if board.paper(width_of(rise, TEXT_MM) + 4.0) < check.rise:
        board.measure(foot, middle[top], away_mm=0.0, label=rise, angle=math.pi / 2)
    else:  # too flat on paper for words along it: the figure stands beside the stroke
        board.lines([(foot, middle[top])], "DIMENSION")
        board.text(moved(foot, board.paper(2.0), board.paper(3.0)), rise, anchor="left")
    span = board.voice(say("L = {span:metres}", span=check.span))
    board.measure(left, right, away_mm=-9.0, angle=0.0, label=span)
    for pin in (left, middle[top], right):
        board.dot(pin, "HINGE", 2.4)
    _load(board, check.cases[-1], middle, float(outer[:, 1].max()))
    return board.finish(margin_mm=1.0)


def _between_backing(plan: Plan, voice: Voice) -> list[Block]:
    """Where the pencil takes a backed vault to spring."""
    if plan.site.backing is None:
        return []
    return [
        blocks.words(
            voice,
            say("The haunches are backed: L and f are of what stands free between the backing."),
        )
    ]


def _load(board: Board, case: HandCase, middle: np.ndarray, top: float) -> None:
    """The even load as a band, the haunch load over it as a parabola, heights in proportion."""
    x = np.linspace(float(middle[0, 0]), float(middle[-1, 0]), 41)
    half = (x[-1] - x[0]) / 2
    share = ((x - x.mean()) / half) ** 2
    most = max(case.even + max(case.haunch, 0.0), 1e-9)
    base = top + board.paper(5.0)
    unit = board.paper(11.0) / most
    even = base + case.even * unit
    board.line([(x[0], base), (x[-1], base), (x[-1], even), (x[0], even)], "LOAD", closed=True)
    board.hatch([[(x[0], base), (x[-1], base), (x[-1], even), (x[0], even)]], "HALF HATCH",
                angle_deg=90, gap_mm=2.0)  # fmt: skip
    board.text((float(x.mean()), (base + even) / 2), "w", bold=True)
    if case.haunch * unit > board.paper(0.8):
        board.line(np.column_stack([x, even + case.haunch * share * unit]), "LOAD")
        board.text((float(x[2]), even + case.haunch * unit + board.paper(2.0)), "w_h", bold=True)


def hand_check_blocks(plan: Plan, voice: Voice) -> list[Block]:
    """Every sum with its figures, the program's answer beside it, and whether they agree."""
    check = plan.site.hand_check
    checks = [c for c in plan.checks if c.name == "site.hand-check"]
    found = [blocks.heading(voice, say("Hand check: the arch as a parabola with three pins"))]
    if check is None:
        return [*found, blocks.checks_table(voice, checks)]
    found += [
        blocks.words(
            voice,
            say(
                "On a strip one metre wide ({station}). The loads as an even part w and a haunch "
                "part that falls as a parabola from w_h at the springings to nothing at the "
                "crown; w and w_h keep the total and the moment of the plan's loads. All in kN and m.",
                station=check.station,
            ),
        ),
        *_between_backing(plan, voice),
        blocks.table(
            voice,
            [say("Measure"), say("Symbol"), say("Value")],
            [
                (say("Span of the middle line"), "L", _m(voice, check.span)),
                (say("Span of the intrados, of the extrados"), "L_i, L_e",
                 f"{_m(voice, check.inner_span)}, {_m(voice, check.outer_span)}"),
                (say("Rise of the middle line over its chord"), "f", _m(voice, check.rise)),
                (say("Thickness of the shell, plumb"), "t", _m(voice, check.thickness)),
            ],
            align="lcr",
            widths=[FILL, 24, 40],
        ),
    ]  # fmt: skip
    for case in check.cases:
        found += _case_blocks(check, case, voice)
    return [
        *found,
        blocks.heading(voice, say("Do they agree?")),
        blocks.words(
            voice,
            say(
                "The line may stand anywhere in the thickness, so the hand gives a range; the "
                "program's range must lie within it but for {share:percent}, which a haunch load "
                "that is no true parabola explains. More than that is not explained: look at the "
                "loads and the curve before relying on either.",
                share=EXPLAINED,
            ),
        ),
        blocks.checks_table(voice, checks),
        blocks.signatures(voice, [say("Checked by hand"), say("Engineer"), say("Place and date")]),
    ]


def _m(voice: Voice, metres: float) -> str:
    return f"{voice.number(metres, 3)} m"


def _case_blocks(check: HandCheck, case: HandCase, voice: Voice) -> list[Block]:
    """One load: moment of half the load, thrust about the middle, lowest and highest line."""

    def n(value: float, places: int = 2) -> str:
        return voice.number(value, places)

    w, wh = case.even * UNITS, case.haunch * UNITS
    span, f, t = check.span, check.rise, check.thickness

    def sums(length: float) -> str:
        return f"({n(w)}·{n(length, 3)}²/8 + {n(wh)}·{n(length, 3)}²/48)"

    moment = (w / 8 + wh / 48) * span**2
    rows: list[tuple[Message | str, str, str]] = [
        (say("Loads"), "w, w_h", f"{n(w)}, {n(wh)} kN/m²"),
        (say("Moment of a beam at mid span"), "M = w L²/8 + w_h L²/48",
         f"{n(w)}·{n(span, 3)}²/8 + {n(wh)}·{n(span, 3)}²/48 = {n(moment)} kN·m/m"),
        (say("Thrust, line in the middle"), "H = M/f",
         f"{n(moment)}/{n(f, 3)} = {n(case.thrust * UNITS)} kN/m"),
        (say("Least: line steepest"), "(w L_i²/8 + w_h L_i²/48)/(f + t)",
         f"{sums(check.inner_span)}/({n(f, 3)} + {n(t, 3)}) = {n(case.low * UNITS)} kN/m"),
    ]  # fmt: skip
    if math.isfinite(case.high):
        rows.append(
            (say("Greatest: line flattest"), "(w L_e²/8 + w_h L_e²/48)/(f - t)",
             f"{sums(check.outer_span)}/({n(f, 3)} - {n(t, 3)}) = {n(case.high * UNITS)} kN/m")
        )  # fmt: skip
    else:
        rows.append(
            (say("Greatest: line flattest"), "f - t",
             voice(say("the rise is less than the thickness: no upper end")))
        )  # fmt: skip
    rows.append(
        (say("The program: least to greatest"), "",
         f"{n(case.least * UNITS)} – {n(case.greatest * UNITS)} kN/m")
    )  # fmt: skip
    said = (
        say("Within the hand's range.")
        if case.apart == 0.0
        else say("{apart:percent} outside the hand's range.", apart=case.apart)
    )
    return [
        blocks.keep(
            blocks.heading(voice, say("Load: {load}", load=case.title)),
            blocks.table(
                voice, [say("Step"), say("Formula"), say("Figures put in")], rows, align="lll",
                widths=[42, 46, FILL],
            ),
            blocks.words(voice, said),
        )
    ]  # fmt: skip
