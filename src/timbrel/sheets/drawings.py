"""All drawings of a plan, by name: for DXF and SVG files, the page and the printed pack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets.bars import programme_picture
from timbrel.sheets.before_book import before_pictures
from timbrel.sheets.bond_sheets import bond_sheets, corner_detail
from timbrel.sheets.centring_sheet import rib_pictures, wedge_picture
from timbrel.sheets.general import general_plan
from timbrel.sheets.loads import interaction_picture
from timbrel.sheets.long_section import long_section
from timbrel.sheets.opening_sheet import opening_pictures
from timbrel.sheets.sections import cross_sections
from timbrel.sheets.setting_sheet import wall_line_pictures
from timbrel.sheets.sheet import GAP_MM, room_for
from timbrel.sheets.stages import stage_pictures
from timbrel.sheets.thrust import (
    load_picture,
    thrust_pictures,
    unrolled_picture,
    wall_picture,
)
from timbrel.words import Voice

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.sheets.board import Picture

MEASURES_MM = 58.0
"""Width of the table of measures beside the general plan on A3."""


LOADS_SHARE = 0.62
"""Share of a wide sheet for the loads; the two walls take the rest."""
WEDGES_MM = 125.0
"""Width of the drawing of the folding wedges."""


def drawings(plan: Plan, voice: Voice) -> dict[str, Picture]:
    """Every drawing, in the order of the pack, sized for the job's paper."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        from timbrel.sheets.surface_drawings import surface_drawings

        return surface_drawings(plan, voice)
    size = plan.job.site.sheet
    narrow = size == "A4"
    beside = 0.0 if narrow else MEASURES_MM
    columns = 1 if narrow else 2
    quarter = room_for(size, columns=columns, rows=2)
    strip = room_for(size, rows=4) if narrow else room_for(size, columns=2, rows=3)
    whole = room_for(size)
    column_room = room_for(size, columns=columns)
    if narrow:
        wall_room = room_for(size, columns=2, rows=2)
    else:
        wall_room = ((whole[0] * (1.0 - LOADS_SHARE)) / 2 - GAP_MM, quarter[1])
    made = [
        general_plan(plan, voice, room_for(size, beside_mm=beside)),
        *_sections(plan, voice, size),
        long_section(plan, voice, room_for(size), names_beside=not narrow),
        *bond_sheets(plan, voice, room_for(size)),
        *(corner_detail(plan, voice, i, _detail_room(plan, size))
          for i in range(len(plan.bond.layers))),
        *opening_pictures(plan, voice, _ring_room(size), quarter),
        *wall_line_pictures(plan, voice, room_for(size, rows=2)),
        *rib_pictures(plan, voice, _rib_room(size)),
        wedge_picture(plan, voice, (WEDGES_MM, 88.0)),
        programme_picture(plan, voice, column_room[0]),
        *stage_pictures(plan, voice, strip),
        *thrust_pictures(plan, voice, strip),
        *(found for found in (interaction_picture(plan, voice, column_room),) if found),
        unrolled_picture(plan, voice, (room_for(size)[0], quarter[1])),
        load_picture(plan, voice, (whole[0] * (1.0 if narrow else LOADS_SHARE), quarter[1])),
        *(wall for side in ("left", "right")
          if (wall := wall_picture(plan, voice, side, wall_room))),
        *before_pictures(plan, voice),
    ]  # fmt: skip
    return {picture.name: picture for picture in made}


def _sections(plan: Plan, voice: Voice, size: str) -> tuple[Picture, ...]:
    """Near and far end on one sheet; each on its own where it then stands twice as large, for a small
    arch with thick walls leaves no room for its own measures."""
    beside = size != "A4"
    both = cross_sections(plan, voice, room_for(size, rows=2), layers_beside=beside)
    alone = cross_sections(plan, voice, room_for(size), layers_beside=beside)
    return alone if 2 * alone[0].scale <= both[0].scale else both


def _detail_room(plan: Plan, size: str) -> tuple[float, float]:
    """Details stand in one row or column on one sheet."""
    count = len(plan.bond.layers)
    if size == "A4":
        wide, high = room_for(size, rows=count)
    else:
        wide, high = room_for(size, columns=count)
    return wide, min(high, 170.0)


def _ring_room(size: str) -> tuple[float, float]:
    """Ring and forces of an opening stand side by side on A3, with section and thrust under them."""
    if size == "A4":
        return room_for(size, rows=2)
    wide, high = room_for(size, columns=2, rows=2)
    return wide, high * 1.25


def _rib_room(size: str) -> tuple[float, float]:
    """The near rib stands beside the wedges on A3, over them on A4."""
    wide, high = room_for(size, rows=2)
    return (wide if size == "A4" else wide - WEDGES_MM - GAP_MM), high
