"""Make the shipped sans font: a renamed subset of DejaVu Sans Condensed.

Run once, when a glyph is missing: `python scripts/subset_font.py FOLDER_WITH_DEJAVU`. The renaming
keeps a system font of the same name from standing in for ours; DejaVu's licence allows both.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

TARGET = Path(__file__).parents[1] / "src" / "timbrel" / "sheets" / "font"
FAMILY = "Timbrel Sans"
STYLES = {"": "Regular", "-Bold": "Bold", "-Oblique": "Oblique"}
RANGES = (
    (0x20, 0x7E), (0xA0, 0x17F), (0x391, 0x3C9), (0x2010, 0x2027), (0x202F, 0x203A),
    (0x2070, 0x208E), (0x20AC, 0x20AC), (0x2150, 0x215E), (0x2190, 0x2199), (0x2200, 0x2265),
    (0x25A0, 0x25FF), (0x2713, 0x2718), (0x2022, 0x2022), (0x2300, 0x2300),
)  # fmt: skip


def main(source: Path) -> None:
    """Write the three styles and say how large they came out."""
    unicodes = [c for first, last in RANGES for c in range(first, last + 1)]
    for suffix, style in STYLES.items():
        font = TTFont(source / f"DejaVuSansCondensed{suffix}.ttf")
        options = subset.Options(layout_features=["kern", "mark", "mkmk", "ccmp"], hinting=False)
        tool = subset.Subsetter(options)
        tool.populate(unicodes=unicodes)
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
