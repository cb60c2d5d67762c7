"""Render the sheets that the README shows: `python scripts/render_pictures.py`.

Typeset straight to PNG from the same data as the printed pack, so that the picture is a real sheet.
"""

from __future__ import annotations

import json
from pathlib import Path

import typst

import timbrel.job
from timbrel.job.load import load_job
from timbrel.plan import follow_building, make_plan
from timbrel.sheets.book import pack_sheets
from timbrel.sheets.drawings import drawings
from timbrel.sheets.font import FOLDER as FONT_FOLDER
from timbrel.sheets.pack import voice_of
from timbrel.sheets.paper import TYPST_FOLDER
from timbrel.sheets.sheet import title_head

TARGET = Path(__file__).parents[1] / "docs" / "pictures"
EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"
SHOWN = {"Bond, layer 2": "bond", "Cross sections": "sheet", "Thrust lines": "thrust"}
"""Titles of sheets and the names of their pictures."""
DOTS_AN_INCH = 84


def main() -> None:
    """Write one PNG a shown sheet."""
    TARGET.mkdir(parents=True, exist_ok=True)
    plan = follow_building(make_plan(load_job(EXAMPLE)))
    voice = voice_of(plan)
    sheets = list(pack_sheets(plan, voice, drawings(plan, voice)))
    for sheet in sheets:
        name = SHOWN.get(sheet["title"])
        if name is None:
            continue
        data = {
            "paper": plan.job.site.sheet,
            "head": title_head(voice, plan.job.job),
            "sheets": [sheet],
        }
        typst.compile(
            TYPST_FOLDER / "pack.typ",
            output=TARGET / f"{name}.png",
            root=TYPST_FOLDER,
            font_paths=[FONT_FOLDER],
            ignore_system_fonts=True,
            format="png",
            ppi=DOTS_AN_INCH,
            sys_inputs={"data": json.dumps(data)},
        )
        print(TARGET / f"{name}.png")


if __name__ == "__main__":
    main()
