"""Quantities and price of the whole job."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.surface import Surface
from timbrel.site.plan import SiteWork
from timbrel.takeoff.logistics import Logistics, plan_logistics
from timbrel.takeoff.opening_lines import opening_lines
from timbrel.takeoff.quantities import Line, order_lines
from timbrel.takeoff.quote import Quote, make_quote
from timbrel.takeoff.tie_order import tie_order
from timbrel.verdict import Check


@dataclass(frozen=True)
class Takeoff:
    """The order, the quote, the logistics. mass: of all that is lifted, kg. heaviest: the heaviest
    pallet or big bag, kg. shell_mass: of the order without fill and ties, for each m2 of the seen face,
    kg/m2."""

    lines: tuple[Line, ...]
    mass: float
    heaviest: float
    shell_mass: float
    quote: Quote
    logistics: Logistics

    @property
    def checks(self) -> tuple[Check, ...]:
        """Verdicts: where the stacks stand, what keeps."""
        return self.logistics.checks

    def line(self, key: str) -> Line:
        """The line of that key; KeyError when there is none."""
        for line in self.lines:
            if line.key == key:
                return line
        raise KeyError(key)


NOT_SHELL = ("backing", "fill", "ties", "timber")


def take_off(job: Job, vault: Surface, bond: Bond, site: SiteWork) -> Takeoff:
    """Quantities, weights and price of a planned vault."""
    lines = (
        *order_lines(job, bond, site),
        *opening_lines(job, bond, vault.thickness),
        *tie_order(job, vault),
    )
    mass = sum(line.mass for line in lines)
    on_pallets = [line.mass / line.pallets for line in lines if line.pallets]
    shell = sum(line.mass for line in lines if line.key.split(".")[0] not in NOT_SHELL)
    return Takeoff(
        lines=lines,
        mass=mass,
        heaviest=max(on_pallets, default=0.0),
        shell_mass=shell / vault.area(0.0),
        quote=make_quote(job, site.programme, lines),
        logistics=plan_logistics(job, bond, site, lines),
    )
