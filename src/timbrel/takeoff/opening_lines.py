"""What openings and hooks add to the order: kerbs, bars, hooks. Ring tiles are counted as tiles."""

from __future__ import annotations

import math
from collections.abc import Iterator

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.takeoff.quantities import Line
from timbrel.takeoff.steel import STEEL, steel_line
from timbrel.words import say

PLATE = 0.008
"""Thickness of a hook's plate (m), and how far its rod runs past both faces. From memory."""
ROD_OVER = 0.10
WASTE = 0.05
"""Masonry of kerbs and steel bought over the need. From memory."""


def opening_lines(job: Job, bond: Bond, thickness: float) -> Iterator[Line]:
    """Lines of the order. thickness: of the shell (m)."""
    kerb = sum(opening.kerb_volume for opening in bond.openings)
    if kerb:
        mass = sum(
            o.kerb_volume * job.openings[o.number - 1].trimmer.kerb_density for o in bond.openings
        )
        order = kerb * (1 + WASTE)
        yield Line(
            key="openings.kerbs",
            title=say("Masonry of the kerbs"),
            need=kerb,
            order=order,
            kind="volume",
            pack=say("m³"),
            packs=order,
            mass=mass * (1 + WASTE),
            price=job.prices.masonry_m3,
        )
    bars = sum(
        o.bars * o.bar_length * math.pi * (o.bar or 0.0) ** 2 / 4 * STEEL for o in bond.openings
    )
    if bars:
        yield steel_line("openings.bars", say("Bars round the openings"), bars, job, WASTE)
    if job.hooks:
        steel = sum(
            (hook.plate**2 * PLATE + math.pi * hook.rod**2 / 4 * (thickness + 2 * ROD_OVER)) * STEEL
            for hook in job.hooks
        )
        title = say("Hooks with rod and plate, {count:count} of them", count=len(job.hooks))
        yield steel_line("hooks", title, steel, job)
