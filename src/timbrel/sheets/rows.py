"""Tables as plain rows with numbers, for XLSX and CSV: what an office computer adds up.

Lengths in mm, areas in m2, masses in kg, levels in m; the heads say so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.bond.layout import Piece
from timbrel.sheets.before_rows import before_rows
from timbrel.sheets.blocks import verdict_word
from timbrel.sheets.order_pages import piece_name
from timbrel.sheets.setting_tables import rod_title
from timbrel.sheets.surface_rows import guide_rows, net_rows, ring_rows
from timbrel.sheets.table import Cell, Table
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan, Plan
    from timbrel.site.setting_out import LayerRods


def all_tables(plan: AnyPlan, voice: Voice) -> tuple[Table, ...]:
    """Checks, order, tiles, cut list, setting-out, rods, what is decided before the first tile."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        setting = (guide_rows(plan, voice), *ring_rows(plan, voice), *net_rows(plan, voice))
        rods = plan.site.rods
    else:
        setting = (setting_rows(plan, voice),)
        rods = plan.site.setting_out.rods
    return (
        checks_rows(plan, voice),
        order_rows(plan, voice),
        tile_rows(plan, voice),
        cut_rows(plan, voice),
        *setting,
        rod_rows(rods, voice),
        *before_rows(plan, voice),
    )


def _mm(metres: float) -> float:
    return round(metres * 1e3, 1)


def checks_rows(plan: AnyPlan, voice: Voice) -> Table:
    """Every check with its value and limit in SI."""
    head = (say("Check"), say("What"), say("Verdict"), say("Value (SI)"), say("Limit (SI)"),
            say("Sense"), say("Why"), say("Source"))  # fmt: skip
    rows = tuple(
        (
            check.name,
            voice(check.title),
            verdict_word(voice, check.verdict),
            _finite(check.value),
            _finite(check.limit),
            voice(say("at least")) if check.at_least else voice(say("at most")),
            voice(check.reason),
            voice.text(check.source),
        )
        for check in plan.checks
    )
    return Table("checks", say("Checks"), head, rows)


def _finite(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(f"{value:.9g}")


def order_rows(plan: AnyPlan, voice: Voice) -> Table:
    """The order list; needs and orders in SI of their kind, masses in kg."""
    head = (say("Key"), say("Item"), say("Net need (SI)"), say("Order (SI)"), say("Kind"),
            say("Pack"), say("Packs"), say("Pallets"), say("Weight (kg)"), say("Price of a pack"),
            say("Cost"))  # fmt: skip
    rows = tuple(
        (
            line.key,
            voice(line.title),
            _finite(line.need),
            _finite(line.order),
            line.kind,
            voice(line.pack),
            _finite(line.packs),
            line.pallets,
            round(line.mass, 2),
            line.price,
            None if line.cost is None else round(line.cost, 2),
        )
        for line in plan.takeoff.lines
    )
    return Table("order", say("Order list"), head, rows)


def tile_rows(plan: AnyPlan, voice: Voice) -> Table:
    """Every tile: name, kind, where its middle lies flat and in space."""
    head = (say("Tile"), say("Layer"), say("Course"), say("Number"), say("Kind"), say("Arch"),
            say("Area (m2)"), say("Unrolled X (mm)"), say("Unrolled Y (mm)"), say("x (mm)"),
            say("y (mm)"), say("Level (m)"))  # fmt: skip
    kinds = {kind: voice(piece_name(kind)) for kind in Piece}
    rows: list[tuple[Cell, ...]] = []
    rings = [ring for opening in plan.bond.openings for ring in opening.ring]
    for layer in (*plan.bond.layers, *rings):
        starts = layer.start[:-1]
        count = np.diff(layer.start)[:, None]
        flat = np.add.reduceat(layer.points, starts) / count * 1e3
        solid = np.add.reduceat(layer.corners, starts) / count
        for i, name in enumerate(layer.names):
            rows.append(
                (
                    name,
                    layer.layer,
                    int(layer.course[i]),
                    int(layer.number[i]),
                    kinds[Piece(int(layer.kind[i]))],
                    int(layer.arch[i]),
                    round(float(layer.area[i]), 5),
                    round(float(flat[i, 0]), 1),
                    round(float(flat[i, 1]), 1),
                    round(float(solid[i, 0]) * 1e3, 1),
                    round(float(solid[i, 1]) * 1e3, 1),
                    round(float(solid[i, 2]), 4),
                )
            )
    return Table("tiles", say("Tiles"), head, tuple(rows))


def cut_rows(plan: AnyPlan, voice: Voice) -> Table:
    """Groups of equal pieces with every name."""
    head = (say("Layer"), say("Tile"), say("Kind"), say("Length (mm)"), say("Width (mm)"),
            say("Sides (mm)"), say("How many"), say("Pieces"))  # fmt: skip
    rows = tuple(
        (
            group.layer,
            group.tile,
            voice(piece_name(group.kind)),
            _mm(group.length),
            _mm(group.width),
            " ".join(f"{_mm(side):g}" for side in group.sides),
            group.count,
            " ".join(group.names),
        )
        for group in plan.bond.cuts.groups
        if group.kind != Piece.WHOLE
    )
    return Table("cut-list", say("Cut list"), head, rows)


def setting_rows(plan: Plan, voice: Voice) -> Table:
    """Offsets of both end lines."""
    head = (say("End"), say("From left (mm)"), say("Intrados over chord (mm)"),
            say("Top of shell over chord (mm)"), say("Level of intrados (m)"))  # fmt: skip
    ends = {"near": voice(say("near")), "far": voice(say("far"))}
    rows = tuple(
        (
            ends[wall.end],
            _mm(float(x)),
            _mm(float(y)),
            None if not np.isfinite(outer) else _mm(float(outer)),
            round(float(level), 4),
        )
        for wall in plan.site.setting_out.walls
        for x, y, outer, level in zip(wall.x, wall.y, wall.outer, wall.level, strict=True)
    )
    return Table("setting-out", say("Setting-out"), head, rows)


def rod_rows(layers: tuple[LayerRods, ...], voice: Voice) -> Table:
    """Every mark of every gauge rod."""
    head = (say("Layer"), say("Rod"), say("Mark"), say("From the start (mm)"))
    rows = tuple(
        (rods.layer, voice(rod_title(rod)), number, _mm(float(mark)))
        for rods in layers
        for rod in rods.rods
        for number, mark in enumerate(rod.marks, start=1)
    )
    return Table("rods", say("Gauge rods"), head, rows)
