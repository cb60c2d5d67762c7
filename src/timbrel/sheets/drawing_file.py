"""An empty drawing in millimetres, with our layers, line types and dimension style."""

from __future__ import annotations

from typing import Any

from ezdxf.document import Drawing

from timbrel.sheets.font import BOLD, REGULAR, use_only_ours
from timbrel.sheets.lines import LINE_TYPES

MILLIMETRES = 4
"""DXF's number for millimetres ($INSUNITS)."""
TEXT_MM = 2.5
"""Least height of a capital on paper (ISO 3098-1, from memory)."""


def new_document(scale: int) -> Drawing:
    """An empty document in mm with our line types, text and dimension style."""
    use_only_ours()
    doc = Drawing.new("R2010")
    doc.units = MILLIMETRES
    # The library writes the hour of making here; equal drawings must give equal bytes.
    doc.ezdxf_metadata()["CREATED_BY_EZDXF"] = "timbrel"
    doc.header["$LTSCALE"] = float(scale)
    doc.header["$MEASUREMENT"] = 1
    for kind in LINE_TYPES:
        doc.linetypes.add(kind.name, kind.pattern(), description=kind.description)
    doc.styles.get("Standard").dxf.font = REGULAR
    doc.styles.add("PLAIN", font=REGULAR)
    doc.styles.add("BOLD", font=BOLD)
    doc.dimstyles.new("MASON", dxfattribs=_dimension_style(scale))
    return doc


def _dimension_style(scale: int) -> dict[str, Any]:
    """Dimensions by ISO 129-1: text over an unbroken line, oblique strokes, short gaps."""
    return {
        "dimscale": float(scale),
        "dimtxt": TEXT_MM,
        "dimtsz": 1.6,
        "dimasz": 2.5,
        "dimexe": 1.25,
        "dimexo": 0.625,
        "dimgap": 0.8,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimdec": 0,
        "dimzin": 8,
        "dimtxsty": "PLAIN",
        "dimclrd": 256,
        "dimclre": 256,
        "dimclrt": 256,
        "dimlwd": 13,
        "dimlwe": 13,
    }
