"""Logistics: what comes when, where it may stand, how often the hoist runs, what keeps, what is
left over."""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.site.plan import SiteWork, SurfaceSite
from timbrel.site.programme import crew_rate
from timbrel.site.seat import BULKING
from timbrel.site.seat_walls import wall_of_seat
from timbrel.site.workdays import DAY
from timbrel.statics.floor import GRAVITY
from timbrel.statics.net_supports import wall_at
from timbrel.takeoff.quantities import Line
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

PALLET_AREA = 1.2 * 0.8
"""Footprint of a pallet, m2 (ISO 6780, 1200 x 800)."""
WASH_A_DAY = 0.050
"""Water for washing boxes and tools, m3 a day (from memory)."""
MIXER_W = 1200.0
SAW_W = 2200.0
"""Hand mixer and wet saw, W (from memory); both at once on one circuit is the demand."""


@dataclass(frozen=True)
class Delivered:
    """What must stand on site when a stage begins. stage, day: of the programme (day from 1).
    keys: lines of the order. mass: kg. pallets: whole pallets. bags: whole bags among them, each
    carried singly. floor_area: that the pallets take, m2. lifts: of the hoist."""

    stage: str
    title: Message
    day: int
    keys: tuple[str, ...]
    mass: float
    pallets: int
    bags: int
    floor_area: float
    lifts: int


@dataclass(frozen=True)
class Standing:
    """Where it stands. title: floor or scaffold. pressure: N/m2 of one pallet or stack. limit:
    what the place carries, None when it is not given. tiles_a_m2: tiles that may be stacked on a
    square metre there, 0 when the limit is not given."""

    title: Message
    pressure: float
    limit: float | None
    tiles_a_m2: int

    @property
    def limit_mass(self) -> float:
        """What a square metre of the place carries, kg; infinite where no limit is given."""
        return math.inf if self.limit is None else self.limit / GRAVITY


@dataclass(frozen=True)
class Logistics:
    """deliveries by stage. floor, scaffold: where it stands. water: m3 by use (mixing, wetting,
    washing). power: W. waste: by kind, kg. checks."""

    deliveries: tuple[Delivered, ...]
    floor: Standing
    scaffold: Standing
    water: tuple[tuple[Message, float], ...]
    power: float
    waste: tuple[tuple[Message, float], ...]
    checks: tuple[Check, ...]


def _stage_of(key: str, job: Job) -> str:
    """The first operation that needs a line."""
    if key == "timber":
        return "centring"
    if key in ("backing", "fill"):
        return key
    if key.startswith("openings.") or key == "hooks":
        return "rings"
    for number, layer in enumerate(job.layers, 1):
        binders = [layer.binder, layer.bed_binder or layer.binder]
        if key == f"tiles.{layer.tile}" or any(key.startswith(f"binders.{b}") for b in binders):
            return f"layer-{number}"
    # Cement, lime, sand and water come with the first layer that is laid or bedded in mortar.
    for number, layer in enumerate(job.layers, 1):
        binders = [layer.binder] + ([layer.bed_binder or layer.binder] if number > 1 else [])
        if any(job.binders[b].kind == "mortar" for b in binders):
            return f"layer-{number}"
    return "layer-1"


def _deliveries(job: Job, site: SiteWork, lines: tuple[Line, ...]) -> tuple[Delivered, ...]:
    found = []
    for operation in site.programme.operations:
        here = [line for line in lines if line.mass and _stage_of(line.key, job) == operation.key]
        if not here:
            continue
        mass = sum(line.mass for line in here)
        found.append(
            Delivered(
                stage=operation.key,
                title=operation.title,
                day=operation.day,
                keys=tuple(line.key for line in here),
                mass=mass,
                pallets=sum(line.pallets for line in here),
                bags=sum(line.bags for line in here),
                floor_area=PALLET_AREA * sum(line.pallets for line in here),
                lifts=math.ceil(mass / job.ordering.hoist_most - 1e-9),
            )
        )
    return tuple(found)


def _standing(title: Message, pressure: float, limit: float | None, tile_mass: float) -> Standing:
    tiles = 0 if limit is None else math.floor(limit / GRAVITY / tile_mass + 1e-9)
    return Standing(title, pressure, limit, tiles)


def _scaffold_pressure(job: Job, site: SiteWork, tile_mass: float) -> float:
    """An hour's tiles on one square metre of scaffold beside one mason and his mortar box."""
    served = {b.layer: getattr(b, "tiles", None) for b in site.batches}
    hourly = crew_rate(1, served.get(1), job) / max(job.crew.masons, 1)
    return (hourly * tile_mass + MASON + BOX) * GRAVITY


MASON = 90.0
BOX = 20.0
"""A person with tools, and a full box, kg (from memory)."""


def _tile_mass(job: Job) -> float:
    return max(
        t.length * t.width * t.thickness * t.density
        for t in (job.tiles[layer.tile] for layer in job.layers)
    )


def plan_logistics(job: Job, bond: Bond, site: SiteWork, lines: tuple[Line, ...]) -> Logistics:
    """Deliveries, standing places, water, power, waste and shelf life."""
    heaviest = max((line.mass / line.pallets for line in lines if line.pallets), default=0.0)
    tile_mass = _tile_mass(job)
    floor = _standing(
        say("Floor under the pallets"),
        heaviest * GRAVITY / PALLET_AREA,
        job.ordering.floor_most,
        tile_mass,
    )
    scaffold = _standing(
        say("Scaffold: one mason, his box and an hour's tiles on a square metre"),
        _scaffold_pressure(job, site, tile_mass),
        job.ordering.scaffold_most,
        tile_mass,
    )
    return Logistics(
        deliveries=_deliveries(job, site, lines),
        floor=floor,
        scaffold=scaffold,
        water=_water(job, site, lines),
        power=MIXER_W + (SAW_W if any(nest.sawn for nest in bond.cuts.nests) else 0.0),
        waste=_waste(job, bond, site, lines),
        checks=(*_standing_checks(floor, scaffold), *_shelf_checks(job, site, lines)),
    )


def _water(job: Job, site: SiteWork, lines: tuple[Line, ...]) -> tuple[tuple[Message, float], ...]:
    mixing = sum(line.order for line in lines if line.key == "water")
    wetting = sum(
        line.mass * job.tiles[line.key.removeprefix("tiles.")].absorption / 1000.0
        for line in lines
        if line.key.startswith("tiles.")
    )
    washing = WASH_A_DAY * math.ceil(site.programme.days)
    return (
        (say("Mixing"), mixing),
        (say("Soaking tiles"), wetting),
        (say("Washing boxes and tools"), washing),
    )


def _waste(
    job: Job, bond: Bond, site: SiteWork, lines: tuple[Line, ...]
) -> tuple[tuple[Message, float], ...]:
    """Tiles bought and not laid; binder that sets in the box; debris of the chases."""
    bought = sum(line.mass for line in lines if line.key.startswith("tiles."))
    laid = 0.0
    for layer, stated in zip(bond.layers, job.layers, strict=True):
        tile = job.tiles[stated.tile]
        laid += float(layer.area.sum()) * tile.thickness * tile.density
    debris = sum(
        seat.debris / BULKING * wall_of_seat(job, seat.side).density for seat in site.seats
    )
    if isinstance(site, SurfaceSite):
        debris += sum(
            seat.debris / BULKING * wall_at(job, seat.corner)[0].density for seat in site.corners
        )
    lost = 0.0
    for volumes in site.volumes:
        for name, net in ((volumes.joint_binder, volumes.joints),
                          (volumes.bed_binder, volumes.bed)):  # fmt: skip
            if name is not None:
                binder = job.binders[name]
                lost += net * binder.waste / (1.0 - binder.waste) * binder.density
    return (
        (say("Tiles: offcuts, breakage and spare"), bought - laid),
        (say("Binder that sets in the box"), lost),
        (say("Debris of the seats"), debris),
    )


def _standing_checks(floor: Standing, scaffold: Standing) -> tuple[Check, ...]:
    checks = []
    for key, place in (("floor", floor), ("scaffold", scaffold)):
        if place.limit is None:  # a floor on the ground has no limit to state
            continue
        reason = say(
            "At most {tiles:count} tiles stacked on a square metre.", tiles=place.tiles_a_m2
        )
        checks.append(
            judge(
                f"takeoff.{key}",
                place.title,
                place.pressure,
                place.limit,
                kind="pressure",
                at_least=False,
                reason=reason,
                source="ISO 6780 pallet" if key == "floor" else "EN 12811-1, class 3, from memory",
            )
        )
    return tuple(checks)


def _shelf_checks(job: Job, site: SiteWork, lines: tuple[Line, ...]) -> tuple[Check, ...]:
    """Is each binder used up before its bags are too old? They come when their stage begins."""
    bought = {line.key for line in lines}
    checks = []
    for name, binder in job.binders.items():
        stages = [
            v.layer for v in site.volumes if name in (v.joint_binder, v.bed_binder)
        ]  # fmt: skip
        if not stages or not ({f"binders.{name}", "cement", "lime"} & bought):
            continue
        operations = {o.key: o for o in site.programme.operations}
        first, last = (operations[f"layer-{n}"] for n in (min(stages), max(stages)))
        days = (last.finish - first.start) / DAY
        checks.append(
            judge(
                f"takeoff.shelf.{name}",
                say("{name}: days from delivery to last use", name=name),
                days,
                float(binder.shelf_life_days),
                kind="count",
                at_least=False,
                reason=say("Dry, off the floor, oldest bags first."),
                source="binders.shelf_life_days",
            )
        )
    return tuple(checks)
