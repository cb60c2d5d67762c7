"""The sheet of paper and how it is typeset.

Frames by ISO 5457 and title blocks by ISO 7200 stand in `typst/sheet.typ`; here are the measures
that the drawings must keep to, and the one way to the typesetter.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from timbrel.sheets.font import FOLDER as FONT_FOLDER
from timbrel.words import TimbrelError, say

TYPST_FOLDER = Path(__file__).parent / "typst"
FILING_MM, EDGE_MM, BLOCK_MM = 20.0, 10.0, 31.0
"""ISO 5457: 20 mm on the filing edge, 10 mm elsewhere; height of our title block."""
NOTES_MM = 26.0
"""Room for notes over the title block of a narrow sheet."""
STAMP = 0
"""The time written into every PDF, so that equal plans give equal bytes."""

Size = Literal["A3", "A4"]


@dataclass(frozen=True)
class Paper:
    """One size of paper, as it lies: A3 across, A4 upright (ISO 5457)."""

    size: Size
    width_mm: float
    height_mm: float

    @property
    def room_mm(self) -> tuple[float, float]:
        """Room for a drawing between frame and title block, with 4 mm of air on every side.

        Notes stand beside the title block where the paper is wide, over it where it is not.
        """
        wide = self.width_mm - FILING_MM - EDGE_MM - 8.0
        notes = NOTES_MM if self.size == "A4" else 0.0
        return wide, self.height_mm - 2 * EDGE_MM - BLOCK_MM - 8.0 - notes


PAPERS: dict[str, Paper] = {"A3": Paper("A3", 420.0, 297.0), "A4": Paper("A4", 210.0, 297.0)}


def typeset(template: str, data: dict[str, Any]) -> bytes:
    """A PDF from one of our templates and its data. The same data give the same bytes.

    Any warning of the typesetter (a glyph or typeface that is missing) is an error: paper that is
    silently wrong is worse than none.
    """
    import typst

    pdf, warnings = typst.compile_with_warnings(
        TYPST_FOLDER / template,
        root=TYPST_FOLDER,
        font_paths=[FONT_FOLDER],
        ignore_system_fonts=True,
        format="pdf",
        sys_inputs={"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
        timestamp=STAMP,
    )
    if warnings:
        raise TimbrelError(
            say("The sheets could not be typeset: {why}.", why=warnings[0].message), key="sheets"
        )
    assert isinstance(pdf, bytes)
    return pdf
