"""Ties across a vault: the bar, its thread or hole, its plate, and what its stretch costs.

EN 1993-1-1 6.2.3 (tension, gross and net section), EN 1993-1-8 table 3.4 (thread), bearing of the
plate on the masonry. The stretch lets the springings out; with hinges at both springings and at the
crown the halves turn as rigid bodies and the crown drops (derived, exact).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.job.refusals import refuse
from timbrel.job.sense_ties import made_faults
from timbrel.job.supports import NationalChoices, Ties
from timbrel.words import Message, say

THREAD = 0.78  # stress area of a metric thread over that of its bar, ISO 898-1 (from memory)
THREAD_FACTOR = 0.9  # k2, EN 1993-1-8 table 3.4
NET_FACTOR = 0.9  # EN 1993-1-1 6.2.3(2)b
STEEL_DENSITY = 7850.0


@dataclass(frozen=True)
class TieAnswer:
    """One tie under a design force (N).

    gross, net: resistances of the bar and of its thread or holed section, N. plate_pressure: on the
    masonry, N/m2. plate_needed: thickness of the plate by bending, m. stretch: under the
    characteristic force, m; warmed: by temperature, m. spread: both, for the two springings
    together. drop: of the crown, m. mass: of bar and plates, kg. length: between
    its plates; rise: of the thrust line over the springings, m.
    """

    force: float
    service: float
    gross: float
    net: float
    plate_pressure: float
    plate_needed: float
    stretch: float
    warmed: float
    drop: float
    mass: float
    length: float
    rise: float

    @property
    def spread(self) -> float:
        return self.stretch + self.warmed

    @property
    def use(self) -> float:
        """Share of the tie's resistance that is used."""
        return self.force / min(self.gross, self.net)


def gross_area(ties: Ties) -> float:
    """Section of one tie, m2, of known sizes."""
    if ties.kind == "bar":
        assert ties.diameter is not None
        return math.pi * ties.diameter**2 / 4
    assert ties.width is not None and ties.thickness is not None
    return ties.width * ties.thickness


def net_resistance(ties: Ties, national: NationalChoices) -> float:
    """Of the thread of a bar, 0.9 fu As/gamma M2, or of the holed flat, 0.9 fu Anet/gamma M2."""
    area = gross_area(ties)
    if ties.kind == "bar":
        return THREAD_FACTOR * ties.ultimate_strength * THREAD * area / national.steel_net
    assert ties.width is not None and ties.thickness is not None
    left = (ties.width - ties.hole) * ties.thickness
    return NET_FACTOR * ties.ultimate_strength * left / national.steel_net


def tie_answer(
    ties: Ties,
    national: NationalChoices,
    *,
    design: float,
    service: float,
    length: float,
    rise: float,
) -> TieAnswer:
    """One tie under thrusts of design and service (N a metre of vault).

    length: between its plates, m. rise: of the thrust line over the springings, m.
    """
    assert ties.spacing is not None
    return tie_under(
        ties,
        national,
        force=design * ties.spacing,
        service=service * ties.spacing,
        length=length,
        rise=rise,
    )


def tie_under(
    ties: Ties,
    national: NationalChoices,
    *,
    force: float,
    service: float,
    length: float,
    rise: float,
) -> TieAnswer:
    """One tie under a design and a characteristic force (N).

    length: between its plates, m. rise: of the thrust line over the springings, m.
    """
    refuse_unmade(ties)
    assert ties.anchor is not None
    area = gross_area(ties)
    plate = ties.anchor
    hole = math.pi * (ties.diameter or 0.0) ** 2 / 4 if ties.kind == "bar" else area
    pressure = force / (plate.side**2 - hole)
    # The plate bends as a cantilever from the nut (twice the bar) to its edge.
    grip = 2 * ties.diameter if ties.diameter else (ties.width or 0.0)
    arm = max((plate.side - min(grip, plate.side)) / 2, 0.0)
    needed = math.sqrt(3 * pressure * arm**2 / (ties.yield_strength / national.steel))
    stretch = service * length / (ties.modulus * area)
    warmed = ties.expansion * ties.warmer * length
    mass = STEEL_DENSITY * (area * length + 2 * plate.side**2 * plate.thickness)
    return TieAnswer(
        force,
        service,
        ties.yield_strength * area / national.steel,
        net_resistance(ties, national),
        pressure,
        needed,
        stretch,
        warmed,
        crown_drop(length, rise, stretch + warmed),
        mass,
        length,
        rise,
    )


def crown_drop(span: float, rise: float, spread: float) -> float:
    """Drop of a crown hinge when the springings move apart: rigid halves, exact.

    c = sqrt((L/2)^2 + f^2) keeps its length; the new rise is sqrt(c^2 - (L/2 + spread/2)^2).
    Infinite when the halves cannot reach.
    """
    chord = (span / 2) ** 2 + rise**2
    left = chord - ((span + spread) / 2) ** 2
    return rise - math.sqrt(left) if left > 0 else math.inf


def ring_tie(pressure: float, radius: float, half_angle: float) -> float:
    """Tension of the ring under a spherical cap of even weight, N (membrane).

    T = w R^2 sin a cos a/(1 + cos a): w weight an area of surface, N/m2; R radius; a angle from the
    crown to the ring.
    """
    a = half_angle
    return pressure * radius**2 * math.sin(a) * math.cos(a) / (1 + math.cos(a))


def section_of(ties: Ties) -> Message:
    """Bar or flat as it is ordered."""
    if ties.kind == "bar":
        return say("bar {diameter:length}", diameter=ties.diameter)
    return say(
        "flat {width:length} by {thickness:length}", width=ties.width, thickness=ties.thickness
    )


def refuse_unmade(ties: Ties) -> None:
    """Refuse a tie without an anchor, or whose sizes are missing or contradict each other."""
    refuse(made_faults(ties))
