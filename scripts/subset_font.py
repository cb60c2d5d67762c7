"""Make the shipped sans font: a renamed part of DejaVu Sans Condensed.

Run once: `python scripts/subset_font.py FOLDER_WITH_DEJAVU`. Every letter of every script stays, so
that a title or a note may be in any language the typeface knows; what goes is games, patterns,
private signs and the instructions for coarse screens. The renaming keeps a system font of the same
name from standing in for ours; DejaVu's licence allows both.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

TARGET = Path(__file__).parents[1] / "src" / "timbrel" / "sheets" / "font"
FAMILY = "Timbrel Sans"
STYLES = {"": "Regular", "-Bold": "Bold", "-Oblique": "Oblique"}
LEFT_OUT = (
    (0x2800, 0x28FF),  # Braille patterns
    (0x4DC0, 0x4DFF),  # hexagrams
    (0xE000, 0xF8FF),  # private use
    (0x1D000, 0x10FFFF),  # mathematical alphabets, games, faces, private use
)


FEATURES = [
    "kern", "mark", "mkmk", "ccmp", "locl", "isol", "init", "medi", "fina", "rlig", "rtlm",
]  # fmt: skip
"""What sets letters beside each other, joins them and places marks. Ligatures for looks are left
out: a word must be found when it is searched for."""


def kept(font: TTFont) -> list[int]:
    """The characters of the font that stay."""
    every = font.getBestCmap()
    return [c for c in every if not any(first <= c <= last for first, last in LEFT_OUT)]


def main(source: Path) -> None:
    """Write the three styles and say how large they came out."""
    for suffix, style in STYLES.items():
        font = TTFont(source / f"DejaVuSansCondensed{suffix}.ttf")
        options = subset.Options(layout_features=FEATURES, hinting=False, notdef_outline=True)
        tool = subset.Subsetter(options)
        tool.populate(unicodes=kept(font))
        tool.subset(font)
        font["OS/2"].usWidthClass = 5
        names = {1: FAMILY, 2: style, 3: f"{FAMILY} {style} 2.37", 4: f"{FAMILY} {style}",
                 6: f"TimbrelSans-{style}"}  # fmt: skip
        for record in list(font["name"].names):
            if record.nameID in names:
                record.string = names[record.nameID]
            elif record.nameID in {16, 17, 18, 21, 22}:
                font["name"].removeNames(nameID=record.nameID)
        out = TARGET / f"TimbrelSans-{style}.ttf"
        font.save(out, reorderTables=True)
        print(out.name, out.stat().st_size)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
