"""Mortar by parts of volume: cement, lime, sand and water for one volume of fresh mortar."""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.job.model import Binder
from timbrel.words import TimbrelError, say

# Loose densities as measured in a bucket, kg/m3 (from memory, common practice).
CEMENT = 1300.0
LIME = 600.0
SAND = 1500.0


@dataclass(frozen=True)
class Recipe:
    """What goes into a volume of fresh mortar or paste. Masses kg, volumes m3.

    volume: what is mixed. cement, lime: masses. powder: mass of a fast binder. sand: loose
    volume. water: volume. retarder: mass.
    """

    volume: float
    cement: float = 0.0
    lime: float = 0.0
    powder: float = 0.0
    sand: float = 0.0
    water: float = 0.0
    retarder: float = 0.0

    @property
    def sand_mass(self) -> float:
        """Mass of the loose sand, kg."""
        return self.sand * SAND

    @property
    def mass(self) -> float:
        """Mass of everything that goes in, kg (water at 1000 kg/m3)."""
        dry = self.cement + self.lime + self.powder + self.sand_mass + self.retarder
        return dry + 1000.0 * self.water


def recipe(name: str, binder: Binder, volume: float) -> Recipe:
    """Quantities for `volume` (m3) of fresh mortar or fast binder paste.

    Mortar: the loose parts together make `dry_to_wet` times the fresh volume, because sand and
    powder close up when wet (common practice, from memory). Fast binder: powder and water by the
    job's figures. Raises TimbrelError when a mortar has neither cement nor lime.
    """
    if binder.kind != "mortar":
        powder = volume * 1e3 * binder.powder_per_litre
        retarder = 0.0
        if binder.use_retarder:
            retarder = powder / binder.dry_density * binder.retarder_g_per_litre
        water = powder * binder.water_per_kg * 1e-3
        return Recipe(volume, powder=powder, water=water, retarder=retarder)
    parts = binder.cement_parts + binder.lime_parts + binder.sand_parts
    if binder.cement_parts + binder.lime_parts <= 0:
        raise TimbrelError(
            say(
                "binders.{name}: cement_parts and lime_parts are both 0; a mortar needs one of "
                "them over 0.",
                name=name,
            ),
            key=f"binders.{name}.cement_parts",
        )
    part = volume * binder.dry_to_wet / parts
    cement = binder.cement_parts * part * CEMENT
    lime = binder.lime_parts * part * LIME
    water = (cement + lime) * binder.water_per_kg * 1e-3
    return Recipe(volume, cement=cement, lime=lime, sand=binder.sand_parts * part, water=water)


@dataclass(frozen=True)
class Mix:
    """One box of mortar. binder: its name. recipe: what goes into the box. boxes: for the whole
    job, what sets in the box included."""

    binder: str
    recipe: Recipe
    boxes: int


def mortar_mix(name: str, binder: Binder, net: float) -> Mix:
    """A box of mortar of the job's largest batch, and how many a net volume (m3) takes."""
    mixed = net / (1.0 - binder.waste)
    boxes = math.ceil(mixed / binder.batch_most - 1e-9)
    return Mix(name, recipe(name, binder, mixed / boxes), boxes)
