"""Sheets of the pack, as data for the typesetter: drawings placed on paper, pages of words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from timbrel.job.model import Title
from timbrel.sheets.blocks import Block
from timbrel.sheets.board import Picture, unit_note
from timbrel.sheets.font import CAP_HEIGHT, width_of
from timbrel.sheets.paper import PAPERS
from timbrel.words import Message, Voice, say

GAP_MM = 8.0
CAPTION_MM = 6.0
TITLE_MM, SCALE_MM = 9 * 25.4 / 72, 8 * 25.4 / 72
"""Size of the letters of a caption's title and of its scale (9 and 8 points)."""
AIR_MM = 4.0
"""Between the frame and a drawing."""


def title_head(voice: Voice, title: Title) -> dict[str, Any]:
    """What the title block says on every sheet (fields of ISO 7200)."""
    labels = {
        "owner": say("Owner"),
        "creator": say("Master mason"),
        "approved": say("Approved by"),
        "type": say("Kind of sheet"),
        "scale": say("Scale"),
        "revision": say("Revision"),
        "title": say("Title"),
        "number": say("Number"),
        "place": say("Place"),
        "status": say("Status"),
        "date": say("Date"),
        "language": say("Language"),
        "sheet": say("Sheet"),
    }
    return {
        "words": {key: voice(label) for key, label in labels.items()},
        "owner": title.client or "–",
        "creator": title.mason or "–",
        "approved": "–",
        "title": title.title,
        "number": title.number or "–",
        "revision": title.revision,
        "place": title.place or "–",
        "status": voice(say("for approval")),
        "date": title.day.isoformat() if title.day else "–",
        "language": voice.language,
        "lang": voice.language,
    }


def scale_name(scale: int) -> str:
    """1:20 and the like."""
    return f"1:{scale}"


def all_titles(titles: Sequence[Message]) -> Message:
    """The title of a sheet on which several subjects stand."""
    whole = titles[0]
    for title in titles[1:]:
        whole = say("{first}; {second}", first=whole, second=title)
    return whole


def words_sheet(
    voice: Voice,
    title: Message,
    kind: Message,
    blocks: Sequence[Block],
    *,
    columns: int = 2,
    notes: Sequence[Message] = (),
    one_page: bool = False,
    cut_rows: bool = False,
) -> dict[str, Any]:
    """A page of words and tables; it runs on to as many sheets as it needs.

    one_page: made smaller, down to seven tenths, until it stands on one sheet. cut_rows: tables
    that say what stands in for their last rows are cut until the whole stands on one sheet. Column
    breaks count only where there are two columns: in one they would leave half a sheet empty.
    """
    return {
        "kind": "words",
        "title": voice(title),
        "type": voice(kind),
        "scale": "–",
        "columns": columns,
        "notes": [voice(note) for note in notes],
        "blocks": [block for block in blocks if columns > 1 or block["kind"] != "break"],
        "one_page": one_page,
        "cut_rows": cut_rows,
    }


def drawing_sheets(
    voice: Voice,
    size: str,
    title: Message,
    pictures: Sequence[Picture],
    *,
    notes: Sequence[Message] = (),
    beside: Sequence[Block] = (),
    beside_mm: float = 0.0,
) -> Iterator[dict[str, Any]]:
    """Drawings in rows from the top left, on as many sheets as they need.

    beside: blocks in a strip on the right, `beside_mm` wide. Raises ValueError when a drawing is
    larger than a sheet: a drawing is never shrunk.
    """
    room = room_for(size, beside_mm=beside_mm)
    caption = CAPTION_MM if len(pictures) > 1 else 0.0
    for p in pictures:
        if p.width_mm > room[0] + 0.05 or p.height_mm + caption > room[1] + 0.05:
            raise ValueError(f"{p.name}: the drawing does not fit on the sheet")
    for rows in _sheets_of(_rows(voice, pictures, room[0]), room[1], caption):
        scales = sorted({p.scale for row in rows for p in row if not p.diagram})
        yield {
            "kind": "drawing",
            "title": voice(title),
            "type": voice(say("Drawing")),
            "scale": ", ".join(scale_name(s) for s in scales) or "–",
            "columns": 1,
            "notes": [voice(note) for note in (*notes, unit_note(voice))],
            "parts": list(_placed(voice, rows, room, caption)),
            "beside": list(beside),
            "beside_mm": beside_mm,
        }


def _high(rows: Sequence[Sequence[Picture]], caption: float) -> float:
    """Height of rows under each other."""
    heights = [max(p.height_mm for p in row) + caption for row in rows]
    return sum(heights) + GAP_MM * (len(rows) - 1)


def _sheets_of(
    rows: Sequence[Sequence[Picture]], height: float, caption: float
) -> list[list[Sequence[Picture]]]:
    sheets: list[list[Sequence[Picture]]] = [[]]
    for row in rows:
        if sheets[-1] and _high([*sheets[-1], row], caption) > height + 0.05:
            sheets.append([])
        sheets[-1].append(row)
    return sheets


def _placed(
    voice: Voice, rows: Sequence[Sequence[Picture]], room: tuple[float, float], caption: float
) -> Iterator[dict[str, Any]]:
    """Each picture at its place, the whole in the middle of the room."""
    y = AIR_MM + (room[1] - _high(rows, caption)) / 2
    for row in rows:
        high = max(p.height_mm for p in row) + caption
        taken = [p.width_mm if caption == 0 else _taken_mm(voice, p) for p in row]
        x = AIR_MM + max((room[0] - sum(taken) - GAP_MM * (len(row) - 1)) / 2, 0.0)
        for p, wide in zip(row, taken, strict=True):
            yield _part(voice, p, x, y + high - caption - p.height_mm, captioned=caption > 0)
            x += wide + GAP_MM
        y += high + GAP_MM


def _taken_mm(voice: Voice, p: Picture) -> float:
    """Width that a drawing takes up in its row: its caption may be wider than it is."""
    title = width_of(voice(p.title), TITLE_MM * CAP_HEIGHT, bold=True)
    scale = 0.0 if p.diagram else 3.0 + width_of(scale_name(p.scale), SCALE_MM * CAP_HEIGHT)
    return max(p.width_mm, 1.0 + title + scale)


def _rows(voice: Voice, pictures: Sequence[Picture], width: float) -> list[list[Picture]]:
    rows: list[list[Picture]] = [[]]
    used = 0.0
    for p in pictures:
        wide = _taken_mm(voice, p)
        more = wide + (GAP_MM if rows[-1] else 0.0)
        if rows[-1] and used + more > width + 0.05:
            rows.append([])
            used, more = 0.0, wide
        rows[-1].append(p)
        used += more
    return rows


def _part(voice: Voice, p: Picture, x: float, y: float, *, captioned: bool) -> dict[str, Any]:
    return {
        "svg": p.svg,
        "w": p.width_mm,
        "h": p.height_mm,
        "x": round(x, 1),
        "y": round(y, 1),
        "alt": voice(p.title),
        "title": voice(p.title) if captioned else "",
        "scale": scale_name(p.scale) if captioned and not p.diagram else "",
    }


def room_for(
    size: str, *, columns: int = 1, rows: int = 1, beside_mm: float = 0.0
) -> tuple[float, float]:
    """Room on the sheet for one of several drawings in columns and rows, in mm."""
    wide, high = PAPERS[size].room_mm
    wide -= beside_mm + GAP_MM * (beside_mm > 0)
    caption = CAPTION_MM if columns * rows > 1 else 0.0
    return (
        (wide - GAP_MM * (columns - 1)) / columns,
        (high - (GAP_MM * (rows - 1)) - caption * rows) / rows,
    )
