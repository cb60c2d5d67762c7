"""What the vault is made of: tiles, binders with their tests, layers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from timbrel.job.table import DEAREST, Share, Table
from timbrel.job.units import Celsius, Density, Hours, Length, Mass, Minutes, Stress, Volume


class JointRange(Table):
    """Width of the joints in a layer."""

    least: Length = Field(0.006, ge=0.002, le=0.030, description="Least joint")
    best: Length = Field(0.010, ge=0.002, le=0.030, description="Joint aimed at")
    most: Length = Field(0.015, ge=0.002, le=0.040, description="Greatest joint")


class Tile(Table):
    """One kind of tile, as delivered."""

    length: Length = Field(ge=0.08, le=0.80, description="Length")
    width: Length = Field(ge=0.05, le=0.60, description="Width")
    thickness: Length = Field(ge=0.008, le=0.080, description="Thickness")
    density: Density = Field(1800.0, ge=800, le=2600, description="Density")
    strength: Stress | None = Field(
        None, ge=1e6, le=150e6, description="Compressive strength of the tile (N/mm2)"
    )
    per_pallet: int = Field(500, ge=1, le=5000, description="Tiles on a pallet")
    price: float | None = Field(None, ge=0, le=100, description="Price of one tile")
    breakage: Share = Field(0.05, description="Share lost by breakage")
    bow_most: Length = Field(
        0.003, gt=0, le=0.02, description="Greatest bow accepted, straight edge along the tile"
    )
    absorption: Share = Field(0.12, description="Water drunk in soaking, share of the mass")


class SetTimes(Table):
    """Start of set of a fast binder at several temperatures, from its maker or your own pats."""

    degrees_c: tuple[Annotated[Celsius, Field(ge=-10, le=50)], ...] = Field(
        min_length=2, description="Temperatures, rising (degrees C)"
    )
    minutes: tuple[Annotated[Minutes, Field(ge=0, le=86400)], ...] = Field(
        min_length=2, description="Start of set at each, falling (minutes)"
    )


class BondTests(Table):
    """Bond of the binder to your tiles at three ages or more, by its own tests.

    Without them the stages of building are not judged.
    """

    ages_h: tuple[Annotated[Hours, Field(gt=0, le=365 * 86400)], ...] = Field(
        min_length=3, description="Ages of the tests, rising (hours)"
    )
    strengths: tuple[Annotated[Stress, Field(ge=0, le=5e6)], ...] = Field(
        min_length=3, description="Bond in tension at those ages (N/mm2)"
    )
    at_c: Celsius = Field(20.0, ge=0, le=40, description="Temperature of the tests (C)")
    activation_kj_mol: float = Field(
        40.0, ge=10, le=90, description="Activation energy for the equivalent age (kJ/mol)"
    )
    origin: str = Field(min_length=1, max_length=200, description="Who tested, when, on what")


class Binder(Table):
    """A fast binder (batches) or a mortar (beds)."""

    kind: Literal["natural quick cement", "gypsum", "mortar"] = Field(description="Kind of binder")
    density: Density = Field(1900.0, ge=500, le=2600, description="Density when hardened")
    powder_per_litre: Mass = Field(
        1.2, gt=0, le=3, description="Fast binder: powder (kg) for one litre of paste"
    )
    dry_density: Density = Field(
        1000.0, ge=400, le=2000, description="Fast binder: density of the loose powder (kg/m3)"
    )
    water_per_kg: float = Field(0.45, gt=0, le=2, description="Litres of water a kg of powder")
    bag: Mass = Field(25.0, gt=0, le=1500, description="Mass of a bag (kg)")
    price_bag: float | None = Field(None, ge=0, le=DEAREST, description="Price of a bag")
    set: SetTimes | None = Field(None, description="Start of set against temperature")
    set_retarded: SetTimes | None = Field(None, description="Start of set with the retarder")
    retarder_g_per_litre: float = Field(
        0.0, ge=0, le=50, description="Retarder (g) for one litre of dry binder, when used"
    )
    use_retarder: bool = Field(False, description="Is the retarder used")
    batch_most: Volume = Field(0.004, gt=0, le=0.1, description="Largest batch (litres)")
    waste: Share = Field(0.15, description="Share that sets in the box and is thrown away")
    cement_parts: float = Field(1.0, ge=0, le=20, description="Mortar: parts of cement by volume")
    lime_parts: float = Field(0.0, ge=0, le=20, description="Mortar: parts of lime by volume")
    sand_parts: float = Field(1.0, ge=0, le=20, description="Mortar: parts of sand by volume")
    dry_to_wet: float = Field(
        1.33, ge=1, le=2, description="Mortar: loose dry volume for one volume of fresh mortar"
    )
    order_allowance: Share | None = Field(
        None, description="Bought over the net need; 1.0 (double) for fast binder, 0.25 for mortar"
    )
    outdoors: bool = Field(True, description="May it be used outdoors or in the damp")
    shelf_life_days: int = Field(90, ge=1, le=1000, description="Days that a closed bag keeps")
    bond: BondTests | None = Field(None, description="Bond against age, by the binder's own tests")


class Layer(Table):
    """One layer of the shell, from the seen one upward."""

    tile: str = Field(description="Which tile, by its name in [tiles]")
    direction: Literal["along axis", "along arc", "diagonal"] = Field(
        "along axis", description="How the long side of the tiles lies"
    )
    stagger: Literal["half", "none"] = Field(
        "half", description="Are neighbouring courses shifted by half a tile"
    )
    joint: JointRange = Field(default_factory=JointRange, description="Joint range")
    bed: Length = Field(0.010, ge=0.003, le=0.030, description="Mortar bed under this layer")
    binder: str = Field(description="Binder of the joints, by its name in [binders]")
    bed_binder: str | None = Field(
        None, description="Binder of the bed under this layer; the same as the joints if left out"
    )
    least_closer: Share | None = Field(
        None, description="Least closer as a share of a tile; 0.5 in the seen layer, 0.33 above"
    )
