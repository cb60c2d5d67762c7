"""Tables as one XLSX workbook and as CSV files."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import UTC, datetime

from timbrel.sheets.table import Table
from timbrel.words import Voice

STAMP = datetime(2000, 1, 1, tzinfo=UTC)
"""Written as the date of making, so that equal tables give equal bytes."""
WIDEST = 60


def to_xlsx(tables: tuple[Table, ...], voice: Voice) -> bytes:
    """A workbook with a sheet for each table: heads frozen and bold, columns wide enough."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    bold = Font(bold=True)
    for table in tables:
        sheet = book.create_sheet(table.name)
        sheet.freeze_panes = "A2"
        head = [voice(cell) for cell in table.head]
        for i, word in enumerate(head):
            longest = max((len(_text(row[i])) for row in table.rows[:200]), default=0)
            width = min(max(len(word), longest) + 2, WIDEST)
            sheet.column_dimensions[get_column_letter(i + 1)].width = width
        cells = [WriteOnlyCell(sheet, value=word) for word in head]
        for cell in cells:
            cell.font = bold
        sheet.append(cells)
        for row in table.rows:
            sheet.append([_guarded(cell) for cell in row])
    book.properties.created = book.properties.modified = STAMP.replace(tzinfo=None)
    book.properties.creator = "timbrel"
    out = io.BytesIO()
    book.save(out)
    return _settled(out.getvalue())


def _text(cell: object) -> str:
    return "" if cell is None else str(cell)


def _guarded(cell: object) -> object:
    """A text that a spreadsheet would take for a formula is kept a text."""
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@"):
        return "'" + cell
    return cell


def _settled(raw: bytes) -> bytes:
    """The same archive with fixed times inside, so that equal tables give equal bytes."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(raw)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for item in old.infolist():
            fixed = zipfile.ZipInfo(item.filename, STAMP.timetuple()[:6])
            content = old.read(item.filename)
            if item.filename == "docProps/core.xml":
                content = _fixed_core(content)
            new.writestr(fixed, content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _fixed_core(content: bytes) -> bytes:
    """openpyxl writes the hour of saving as the date of change; ours is fixed."""
    import re

    stamp = STAMP.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    return re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content)


def to_csv(table: Table, voice: Voice) -> bytes:
    """A table as CSV (RFC 4180) in UTF-8 with a mark, which spreadsheets want."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([voice(cell) for cell in table.head])
    for row in table.rows:
        writer.writerow(["" if cell is None else _guarded(cell) for cell in row])
    return "\ufeff".encode() + out.getvalue().encode("utf-8")
