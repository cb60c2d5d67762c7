"""Centring templates at 1:1, laid over sheets of A3 or A4 with register marks and a check bar.

Each sheet shows a window of the drawing; neighbours overlap, and crosses at the corners of the
windows lie on each other when the sheets are joined. Sheets that hold nothing are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import Board, Picture
from timbrel.sheets.paper import PAPERS, typeset
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

Floats = NDArray[np.float64]
MARGIN_MM = 12.0
"""Printers leave about so much white (from memory)."""
OVERLAP_MM = 15.0
GROUND_MM = 20.0
"""Paper round the line, least."""
FOOT_MM = 16.0
"""Strip under the window for the check bar and the name of the sheet."""
BAR_MM = 100.0
SAME = 0.0005
"""Templates that differ by less than this are one (half of what a saw kerf takes)."""
SYMMETRIC = 0.0001
"""Half a template will do when its halves differ by less than this, m."""


@dataclass(frozen=True)
class Tile:
    """One sheet of a template: row from the bottom, column from the left, window in mm of the
    thing drawn (x0, y0, x1, y1)."""

    row: int
    column: int
    window: tuple[float, float, float, float]

    @property
    def name(self) -> str:
        """A1, A2, B1: rows lettered from the bottom, columns numbered from the left."""
        return f"{chr(ord('A') + self.row)}{self.column + 1}"


def window_mm(size: str) -> tuple[float, float]:
    """Width and height of the window on one sheet; sheets lie across."""
    paper = PAPERS[size]
    long, short = max(paper.width_mm, paper.height_mm), min(paper.width_mm, paper.height_mm)
    return long - 2 * MARGIN_MM, short - 2 * MARGIN_MM - FOOT_MM


def tile_over(line: Floats, size: str) -> list[Tile]:
    """The windows in which the line (n, 2), in mm, is seen with some ground on every side.

    Where one row will do, the line stands high in it, so that most of the band under it shows.
    """
    wide, high = window_mm(size)
    step = np.array([wide - OVERLAP_MM, high - OVERLAP_MM])
    low, top = line.min(axis=0) - GROUND_MM, line.max(axis=0) + GROUND_MM
    columns, rows = (max(1, math.ceil(n - 1e-9)) for n in (top - low - OVERLAP_MM) / step)
    if rows == 1:
        low[1] = top[1] - high
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x0, y0 = (float(v) for v in low + step * (column, row))
            window = (x0, y0, x0 + wide, y0 + high)
            inside = (
                (line[:, 0] >= x0)
                & (line[:, 0] <= window[2])
                & (line[:, 1] >= y0)
                & (line[:, 1] <= window[3])
            )
            if inside.any():
                tiles.append(Tile(row, column, window))
    return tiles


def half_laid(top: Floats) -> tuple[Floats, float] | None:
    """The left half of a symmetric template, laid along its own chord: points, and its tilt.

    The other half is the same sheet turned over, and a band laid along its chord takes the fewest
    sheets. None when the template is not symmetric about its middle.
    """
    mirrored = top[::-1] * [-1.0, 1.0] + [top[0, 0] + top[-1, 0], 0.0]
    if len(top) < 5 or float(np.abs(mirrored - top).max()) > SYMMETRIC:
        return None
    middle = (top[0, 0] + top[-1, 0]) / 2
    left = top[top[:, 0] <= middle + 1e-9]
    tilt = math.atan2(left[-1, 1] - left[0, 1], left[-1, 0] - left[0, 0])
    cosine, sine = math.cos(-tilt), math.sin(-tilt)
    turn = np.array([[cosine, -sine], [sine, cosine]])
    return (left - left[0]) @ turn.T, tilt


def rib_picture(top: Floats, plan: AnyPlan, voice: Voice, name: str, title: Message) -> Picture:
    """The rib full size: the line to cut, its lower edge, marks every 100 mm, plumb and chord."""
    board = Board(name, title, voice, 1)
    half = half_laid(top)
    line, tilt = (top, 0.0) if half is None else half
    lower = lower_edge(line, plan.job.site.rib_depth)
    board.line(line, "CUT LINE")
    board.line(lower, "CENTRING")
    board.lines([(line[0], lower[0]), (line[-1], lower[-1])], "CENTRING")
    _ticks(board, line, voice)
    plumb = np.array([-math.sin(tilt), -math.cos(tilt)])
    level = np.array([math.cos(tilt), -math.sin(tilt)])
    _direction(board, line[0], plumb, say("plumb"))
    _direction(board, line[0], level, say("springing chord"))
    board.text(lower[0] - [0.0, 0.012], say("left foot"), height_mm=5, anchor="left")
    if half is None:
        crown = int(np.argmax(line[:, 1]))
        _direction(board, line[crown], plumb, say("crown"))
        board.text(lower[-1] - [0.0, 0.012], say("right foot"), height_mm=5, anchor="right")
    else:
        _direction(board, line[-1], plumb, say("crown, turn over"))
    return board.finish(margin_mm=8.0)


def _direction(board: Board, start: Floats, way: Floats, words: Message) -> None:
    """A dashed line from a point, named along its length."""
    board.lines([(start, start + way * 0.10)], "CHORD")
    turn = math.atan2(way[1], way[0])
    aside = np.array([-way[1], way[0]]) * 0.004
    if math.cos(turn) < 0:
        aside = -aside
    board.text(start + way * 0.05 + aside, words, height_mm=3.5, angle=turn)


def lower_edge(top: Floats, depth: float) -> Floats:
    """The lower edge of the boards, `depth` inside the template along its normal."""
    along = np.gradient(top, axis=0)
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    return np.asarray(top + depth * np.column_stack([along[:, 1], -along[:, 0]]))


def _ticks(board: Board, line: Floats, voice: Voice) -> None:
    """A tick every 100 mm along the line to cut, numbered in metres from the left foot."""
    steps = np.hypot(*np.diff(line, axis=0).T)
    run = np.concatenate([[0.0], np.cumsum(steps)])
    inner = lower_edge(line, 1.0)
    for at in np.arange(0.1, run[-1], 0.1):
        i = min(int(np.searchsorted(run, at, side="right")) - 1, len(steps) - 1)
        share = (at - run[i]) / steps[i]
        point = line[i] + (line[i + 1] - line[i]) * share
        inward = (inner[i] + (inner[i + 1] - inner[i]) * share) - point
        whole = round(at * 10) % 5 == 0
        tall = 0.012 if whole else 0.007
        board.lines([(point, point + inward * tall)], "REGISTER")
        words = voice.number(float(at), 1)
        turn = math.atan2(inward[1], inward[0]) + math.pi / 2
        board.text(
            point + inward * (tall + 0.005), words, height_mm=4 if whole else 2.5, angle=turn
        )


def template_pages(
    top: Floats, plan: AnyPlan, voice: Voice, name: str, title: Message
) -> tuple[Picture, list[dict[str, Any]]]:
    """The picture of a rib and its sheets, ready for the typesetter."""
    size = plan.job.site.template_sheet
    picture = rib_picture(top, plan, voice, name, title)
    half = half_laid(top)
    line = top if half is None else half[0]
    tiles = tile_over(_dense(line * 1e3), size)
    names = {(t.row, t.column): t.name for t in tiles}
    return picture, [_page(picture, tile, names, voice, title) for tile in tiles]


def _dense(line: Floats) -> Floats:
    """Points every few mm, so that no window that the line crosses is missed."""
    steps = np.linspace(0.0, 1.0, 11)[:, None, None]
    return np.asarray((line[:-1] + steps * np.diff(line, axis=0)).reshape(-1, 2))


def _page(
    picture: Picture, tile: Tile, names: dict[tuple[int, int], str], voice: Voice, title: Message
) -> dict[str, Any]:
    x0, _, _, y1 = tile.window
    beside = {
        "left": names.get((tile.row, tile.column - 1), ""),
        "right": names.get((tile.row, tile.column + 1), ""),
        "up": names.get((tile.row + 1, tile.column), ""),
        "down": names.get((tile.row - 1, tile.column), ""),
    }
    return {
        "name": tile.name,
        "title": voice(title),
        "picture": picture.name,
        "dx": round(picture.box[0] - x0, 3),
        "dy": round(y1 - picture.box[3], 3),
        "beside": beside,
    }


def templates_of(plan: AnyPlan) -> list[tuple[str, Floats, Message]]:
    """Name, line to cut and title of each different template: the rib of the near end and of the
    far one, or every guide that is not cut like one before it (as it is or turned over)."""
    from timbrel.plan import SurfacePlan

    if not isinstance(plan, SurfacePlan):
        centring = plan.site.centring
        ribs = [("template-near", centring.near.top, say("Template of the rib, near end"))]
        if centring.taper.worst > SAME:
            title = say("Template of the rib, far end")
            ribs.append(("template-far", centring.far.top, title))
        return ribs
    found: list[tuple[str, Floats, Message]] = []
    for guide in plan.site.guides:
        line = guide.template - guide.template[0]
        if any(is_same(line, other) for _, other, _ in found):
            continue
        name = f"template-{guide.key.replace('.', '-')}"
        found.append((name, line, say("Template: {guide}", guide=guide.title)))
    return found


def is_same(line: Floats, other: Floats) -> bool:
    """Would one template, as it is or turned over, do for both lines (each from 0, 0)."""
    turned = line[::-1] * [-1.0, 1.0] + [line[-1, 0], -line[-1, 1]]
    for one in (line, turned):
        if abs(one[-1, 0] - other[-1, 0]) < SAME:
            level = np.interp(other[:, 0], one[:, 0], one[:, 1])
            if float(np.abs(level - other[:, 1]).max()) < SAME:
                return True
    return False


def template_pdf(plan: AnyPlan, voice: Voice) -> bytes:
    """All templates at 1:1."""
    pictures, pages = {}, []
    for name, top, title in templates_of(plan):
        picture, sheets = template_pages(top, plan, voice, name, title)
        pictures[name] = {
            "svg": picture.svg,
            "w": picture.width_mm,
            "h": picture.height_mm,
            "alt": voice(title),
        }
        pages += sheets
    size = plan.job.site.template_sheet
    paper = PAPERS[size]
    wide, high = window_mm(size)
    data = {
        "w": max(paper.width_mm, paper.height_mm),
        "h": min(paper.width_mm, paper.height_mm),
        "window": [wide, high],
        "margin": MARGIN_MM,
        "overlap": OVERLAP_MM,
        "foot": FOOT_MM,
        "bar": BAR_MM,
        "pictures": pictures,
        "pages": pages,
        "lang": voice.language,
        "job": f"{plan.job.job.title}  {plan.job.job.number}  {plan.job.job.revision}",
        "words": {
            "bar": voice(
                say("This bar is {length:length} long: measure it before you cut.", length=0.1)
            ),
            "print": voice(
                say("Print at full size (100 %), no fitting to the page. Lay crosses on crosses.")
            ),
            "sheet": voice(say("Sheet")),
            "joins": voice(say("joins")),
        },
    }
    return typeset("template.typ", data)
