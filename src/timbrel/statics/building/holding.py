"""How long a tile is held by hand, and how many may hang before the row closes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.statics.building.hanging import Hanging, hanging_row, hanging_tile
from timbrel.statics.building.orders import Pace
from timbrel.statics.building.section import ShellSection
from timbrel.statics.maturity import BondStrength


@dataclass(frozen=True)
class Holding:
    """How long a tile is held by hand, and how many may hang from the springing.

    asked: by a tile at the crown, on its bed and its neighbour. seconds: from the end of mixing
    until the bond carries it with the stated share, none counted before the set: an upper bound,
    for paste grips a damp tile before it sets; None without tests. trial: what a trial on site
    took; None when none was made. row: how many tiles of the
    first arch may hang from the springing with no rib, at the crew's pace; None without tests.
    """

    asked: Hanging
    seconds: float | None
    trial: float | None
    row: int | None

    @property
    def known(self) -> float | None:
        """The shorter of the bound and the trial; None when neither is known."""
        found = [t for t in (self.seconds, self.trial) if t is not None]
        return min(found) if found else None


def hold_by_hand(
    job: Job, section: ShellSection, bond: Bond, strength: BondStrength | None
) -> Holding:
    """Demand of hanging tiles against the young bond at the day's temperature."""
    layer = job.layers[0]
    tile = job.tiles[layer.tile]
    asked = hanging_tile(
        tile.length, tile.width, tile.thickness, layer.joint.best, tile.density, 0.0
    )
    if strength is None:
        return Holding(asked, None, job.building.hold_trial, None)
    trial = job.building.hold_trial
    limit, at_c = job.building.ratio_most, job.site.temperature_c
    seconds = max(strength.age_for(asked.tension / limit, at_c) - job.site.mixing, 0.0)
    # Middles of the tiles of the first arch from the left springing, and what each weighs.
    courses = bond.layers[0].courses
    shares = (np.arange(courses // 2) + 0.5) / courses
    nodes = np.linspace(0, 1, section.pieces + 1)
    middle = section.face((section.low[0] + section.high[0]) / 2)
    places = np.column_stack([np.interp(shares, nodes, middle[:, k]) for k in (0, 1)])
    arc = places - middle[0]
    weight = np.full(len(arc), section.weight[0].sum() / courses)
    tension = hanging_row(arc, weight, tile.thickness)
    # The first tile is held until its bed alone carries it; its joint then ages while others come.
    first = strength.age_for(float(tension[0]) / limit, at_c)
    if math.isinf(first):
        return Holding(asked, seconds, job.building.hold_trial, 0)
    ages = first + np.arange(len(arc)) / Pace.of(job, 1).first
    there = np.array([strength.at_age(float(age), at_c) for age in ages])
    safe = tension <= limit * there
    return Holding(asked, seconds, trial, int(np.argmin(safe)) if not safe.all() else len(arc))
