"""The shipped typeface, and the only one that a drawing or a sheet may use."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

FOLDER = Path(__file__).parent / "font"
FAMILY = "Timbrel Sans"
REGULAR = "TimbrelSans-Regular.ttf"
BOLD = "TimbrelSans-Bold.ttf"
CAP_HEIGHT = 1493 / 2048
"""Height of a capital over the font size (DejaVu Sans, OS/2 table)."""


@lru_cache(maxsize=1)
def use_only_ours() -> None:
    """Let ezdxf know our folder and no other: no scan of the system, the same text everywhere."""
    from ezdxf.fonts import fonts

    fonts.font_manager.clear()
    fonts.font_manager.build([str(FOLDER)], support_dirs=False)


@lru_cache(maxsize=4)
def _measurer(name: str) -> object:
    from ezdxf.fonts import fonts

    use_only_ours()
    return fonts.make_font(name, 1.0)


def width_of(text: str, cap_height: float, bold: bool = False) -> float:
    """Width of a line of text of this cap height, in the same unit."""
    font = _measurer(BOLD if bold else REGULAR)
    return float(font.text_width_ex(text, cap_height))  # type: ignore[attr-defined]
