"""The centring: rib with boards, feet and wedges, and the pair of folding wedges full size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import Board, Picture, fitted, moved
from timbrel.sheets.ordinates import ordinates
from timbrel.sheets.template import lower_edge
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.site.rib import Rib
    from timbrel.site.wedges import WedgePair

Floats = NDArray[np.float64]


def rib_pictures(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> tuple[Picture, ...]:
    """Near and far rib in elevation: template, boards, tie and post, wedges, ordinates."""
    ribs = (plan.site.centring.near, plan.site.centring.far)
    size = np.max([np.ptp(rib.top, axis=0) for rib in ribs], axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(_rib(plan, voice, rib, scale) for rib in ribs)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)


def _rib(plan: Plan, voice: Voice, rib: Rib, scale: int) -> Picture:
    near = rib.station == 0.0
    title = say("Rib at the near end") if near else say("Rib at the far end")
    board = Board("rib-near" if near else "rib-far", title, voice, scale)
    site = plan.job.site
    depth = site.rib_depth
    lower = lower_edge(rib.top, depth)
    board.line(rib.top, "CENTRING")
    board.line(lower, "CENTRING")
    board.lines([(rib.top[0], lower[0]), (rib.top[-1], lower[-1])], "CENTRING")
    _lagging(board, rib, site.lagging)
    _boards(board, rib, lower)
    _tie_and_post(board, rib, lower, depth)
    _wedges_under(board, rib, depth, plan.site.centring.wedges)
    _ordinates(board, rib, depth, plan.site.centring.wedges)
    return board.finish(margin_mm=1.0)


def _lagging(board: Board, rib: Rib, lagging: float) -> None:
    if lagging > 0:
        board.line(lower_edge(rib.top, -lagging), "LAGGING")


def _boards(board: Board, rib: Rib, lower: Floats) -> None:
    """Where one board of a ply ends and the next begins."""
    for share in np.arange(1, rib.boards) / rib.boards:
        i = round(share * (len(rib.top) - 1))
        board.lines([(rib.top[i], lower[i])], "CENTRING")


def _tie_and_post(board: Board, rib: Rib, lower: Floats, depth: float) -> None:
    base = float(min(rib.top[0, 1], rib.top[-1, 1]))
    left, right = float(lower[0, 0]), float(lower[-1, 0])
    board.line(
        [(left, base), (right, base), (right, base - depth), (left, base - depth)],
        "LAGGING",
        closed=True,
    )
    crown = int(np.argmax(lower[:, 1]))
    x, top = lower[crown]
    half = depth / 2
    board.line([(x - half, base), (x - half, top)], "LAGGING")
    board.line([(x + half, base), (x + half, top)], "LAGGING")


def _wedges_under(board: Board, rib: Rib, depth: float, pair: WedgePair) -> None:
    base = float(min(rib.top[0, 1], rib.top[-1, 1])) - depth
    for foot, inward in ((rib.top[0], 1.0), (rib.top[-1], -1.0)):
        x = float(foot[0])
        a, b = x, x + inward * pair.length
        top, low = base, base - pair.set_height
        # Two wedges on each other: the sloping line between their faces.
        board.line([(a, low), (b, low), (b, top), (a, top)], "WEDGE", closed=True)
        board.lines([((a, low + pair.thick), (b, low + pair.thin))], "WEDGE")


def _ordinates(board: Board, rib: Rib, depth: float, wedges: WedgePair) -> None:
    """Heights of the template over the springing chord, each on its own line."""
    board.lines([((0.0, 0.0), (rib.span, 0.0))], "CHORD")
    # Under the tie and the wedges.
    low = float(rib.top[:, 1].min()) - board.paper(3.0)
    low -= depth + wedges.set_height
    ordinates(board, rib.offsets.x, rib.offsets.y, low, say("from left"))


def wedge_picture(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> Picture:
    """The pair of folding wedges, closed and driven out for the easing."""
    pair = plan.site.centring.wedges
    size = (pair.length + pair.slide, 2.6 * pair.set_height)
    return fitted(lambda scale: (_wedge_pair(pair, voice, scale),), size, room_mm)[0]


def _wedge_pair(pair: WedgePair, voice: Voice, scale: int) -> Picture:
    board = Board("wedges", say("Folding wedges, set and eased"), voice, scale)
    for base, slide, words in (
        (pair.set_height + board.paper(26.0), 0.0, say("set")),
        (0.0, pair.slide, say("eased: driven out by {slide:length}", slide=pair.slide)),
    ):
        _one_pair(board, pair, base, slide)
        board.text((0.0, base - board.paper(4.0)), words, anchor="left")
    high = pair.set_height + board.paper(26.0)
    board.measure((pair.length, high), (pair.length, high + pair.set_height), away_mm=-8.0)
    board.measure(
        (pair.length, 0.0), (pair.length - pair.slide, pair.set_height - pair.drop),
        away_mm=-8.0, angle=np.pi / 2,
    )  # fmt: skip
    board.measure((0.0, high + pair.set_height), (pair.length, high + pair.set_height),
                  away_mm=7.0)  # fmt: skip
    board.text(
        moved((0.0, 0.0), 0.0, -board.paper(9.0)),
        say(
            "taper 1 in {taper}, thin end {thin:length}, thick end {thick:length}",
            taper=voice.number(pair.taper, 1),
            thin=pair.thin,
            thick=pair.thick,
        ),
        anchor="left",
    )
    return board.finish(margin_mm=1.0)


def _one_pair(board: Board, pair: WedgePair, base: float, slide: float) -> None:
    """The lower wedge lies still; the upper one is drawn out towards its thin end and comes down."""
    drop = slide / pair.taper
    lower = [(0.0, 0.0), (pair.length, 0.0), (pair.length, pair.thick), (0.0, pair.thin)]
    upper = [
        (0.0, pair.thin),
        (pair.length, pair.thick),
        (pair.length, pair.set_height),
        (0.0, pair.set_height),
    ]
    still = np.add(lower, (0.0, base))
    drawn = np.add(upper, (-slide, base - drop))
    board.hatch([still], "WALL HATCH", angle_deg=0, gap_mm=1.2)
    board.line(still, "WEDGE", closed=True)
    board.line(drawn, "WEDGE", closed=True)
