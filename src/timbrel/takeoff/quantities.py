"""What is bought: each line with its net need, its allowance, its packs and its weight."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from timbrel.bond.layout import Bond
from timbrel.job.model import Binder, Job
from timbrel.site.backing import BackingPlan
from timbrel.site.fill import FillPlan
from timbrel.site.mortar import SAND, Recipe, recipe
from timbrel.site.plan import SiteWork
from timbrel.site.volumes import binder_needs
from timbrel.statics.floor import GRAVITY
from timbrel.words import Message, say

FAST_ALLOWANCE = 1.0
MORTAR_ALLOWANCE = 0.25
"""Bought over the net need where the job says nothing: a fast binder is ordered double (common
practice, no source), a mortar by a quarter more (from memory)."""
CEMENT_BAG = 25.0
LIME_BAG = 25.0
BIG_BAG = 500.0
WALL_JOINT = 0.010
"""Bags of cement and lime, kg, as the prices of the job name them; a bag that
is lifted as a pallet is; joints of dwarf walls, m."""


@dataclass(frozen=True)
class Line:
    """One line of the order.

    key: stable, dotted. title: what it is. need: net, as the plan counts it; kind: of need and
    order (see :mod:`timbrel.words`). order: with losses and allowance. pack: what it comes in;
    packs: how many. mass: of the order, kg. price: of one pack, None when the job gives none;
    cost: of all packs. pallets: whole pallets, 0 where it comes on none. bags: whole bags, 0 where
    it comes in none.
    """

    key: str
    title: Message
    need: float
    order: float
    kind: str
    pack: Message
    packs: float
    mass: float
    price: float | None
    pallets: int = 0
    bags: int = 0

    @property
    def allowance(self) -> float:
        """Bought over the net need, as a share of it."""
        return self.order / self.need - 1.0 if self.need else 0.0

    @property
    def cost(self) -> float | None:
        """Price of all packs, None when the job gives no price."""
        return None if self.price is None else self.price * self.packs


def ordered_volume(binder: Binder, net: float) -> float:
    """Volume to buy for a net need: with the allowance, and never less than is mixed."""
    allowance = binder.order_allowance
    if allowance is None:
        allowance = MORTAR_ALLOWANCE if binder.kind == "mortar" else FAST_ALLOWANCE
    return max(net * (1.0 + allowance), net / (1.0 - binder.waste))


def order_lines(job: Job, bond: Bond, site: SiteWork) -> tuple[Line, ...]:
    """All lines of the order, in the order in which they are needed."""
    return (
        *_timber(job, site),
        *_tiles(job, bond),
        *_binders(job, site),
        *_backing(job, site.backing),
        *_fill(job, site.fill),
    )


def _tiles(job: Job, bond: Bond) -> Iterator[Line]:
    for nest in bond.cuts.nests:
        tile = job.tiles[nest.tile]
        volume = tile.length * tile.width * tile.thickness
        yield Line(
            key=f"tiles.{nest.tile}",
            title=say("Tiles {name}", name=nest.tile),
            need=float(nest.used),
            order=float(nest.bought),
            kind="count",
            pack=say("piece"),
            packs=float(nest.bought),
            mass=nest.bought * volume * tile.density,
            price=tile.price,
            pallets=math.ceil(nest.bought / tile.per_pallet),
        )


def _bags(key: str, title: Message, need: float, order: float, bag: float, price: float | None,
          job: Job) -> Line:  # fmt: skip
    packs = math.ceil(order / bag - 1e-9)
    return Line(
        key=key,
        title=title,
        need=need,
        order=order,
        kind="mass",
        pack=say("bag of {bag:mass}", bag=bag),
        packs=float(packs),
        mass=packs * bag,
        price=price,
        pallets=math.ceil(packs / job.ordering.bags_per_pallet),
        bags=packs,
    )


def _binders(job: Job, site: SiteWork) -> Iterator[Line]:
    mixed: list[tuple[Recipe, Recipe]] = []
    for name, net in binder_needs(site.volumes).items():
        binder = job.binders[name]
        need = recipe(name, binder, net)
        order = recipe(name, binder, ordered_volume(binder, net))
        if binder.kind != "mortar":
            yield from _fast(name, binder, need, order, job)
        mixed.append((need, order))
    cement = sum(n.cement for n, _ in mixed), sum(o.cement for _, o in mixed)
    lime = sum(n.lime for n, _ in mixed), sum(o.lime for _, o in mixed)
    sand = sum(n.sand for n, _ in mixed), sum(o.sand for _, o in mixed)
    water = sum(n.water for n, _ in mixed), sum(o.water for _, o in mixed)
    prices, ordering = job.prices, job.ordering
    if cement[1]:
        yield _bags("cement", say("Cement"), *cement, CEMENT_BAG, prices.cement_bag, job)
    if lime[1]:
        yield _bags("lime", say("Lime"), *lime, LIME_BAG, prices.lime_bag, job)
    if sand[1]:
        bought = sand[1] * (1.0 + ordering.sand_allowance)
        loose = ordering.sand_bag >= BIG_BAG
        bags = math.ceil(bought * SAND / ordering.sand_bag - 1e-9)
        yield Line(
            key="sand",
            title=say("Sand, in bags of {bag:mass}", bag=ordering.sand_bag),
            need=sand[0],
            order=bought,
            kind="volume",
            pack=say("m³"),
            packs=bags * ordering.sand_bag / SAND,
            mass=bags * ordering.sand_bag,
            price=prices.sand_m3,
            pallets=bags if loose else math.ceil(bags / ordering.bags_per_pallet),
            bags=bags,
        )
    yield Line(
        key="water",
        title=say("Clean water for mixing, wetting not counted"),
        need=water[0],
        order=water[1],
        kind="litres",
        pack=say("from the tap"),
        packs=0.0,
        mass=0.0,
        price=0.0,
    )


def _fast(name: str, binder: Binder, need: Recipe, order: Recipe, job: Job) -> Iterator[Line]:
    yield _bags(
        f"binders.{name}",
        say("Fast binder {name}", name=name),
        need.powder,
        order.powder,
        binder.bag,
        binder.price_bag,
        job,
    )
    if order.retarder:
        yield Line(
            key=f"binders.{name}.retarder",
            title=say("Retarder for {name}", name=name),
            need=need.retarder,
            order=order.retarder,
            kind="grams",
            pack=say("kg"),
            packs=order.retarder,
            mass=order.retarder,
            price=job.prices.retarder_kg,
        )


def _timber(job: Job, site: SiteWork) -> Iterator[Line]:
    need = site.timber
    order = need * (1.0 + job.ordering.timber_allowance)
    yield Line(
        key="timber",
        title=say("Timber for the centring"),
        need=need,
        order=order,
        kind="volume",
        pack=say("m³"),
        packs=order,
        mass=order * job.site.timber_density,
        price=job.prices.timber_m3,
    )


def _backing(job: Job, backing: BackingPlan | None) -> Iterator[Line]:
    """Masonry that backs the haunches, by the cubic metre laid: its mortar is in its price."""
    if backing is None:
        return
    order = backing.volume * (1.0 + job.ordering.fill_allowance)
    yield Line(
        key="backing",
        title=say("Masonry that backs the haunches, bricks and mortar"),
        need=backing.volume,
        order=order,
        kind="volume",
        pack=say("m³"),
        packs=order,
        mass=backing.weight / GRAVITY * order / backing.volume,
        price=job.prices.backing_m3,
    )


def _fill(job: Job, fill: FillPlan | None) -> Iterator[Line]:
    if fill is None:
        return
    if fill.kind == "sleeper walls" and job.loads.fill.sleeper_tile is not None:
        yield _wall_tiles(job, fill, job.loads.fill.sleeper_tile)
        return
    order = fill.volume * (1.0 + job.ordering.fill_allowance)
    walls = fill.kind == "sleeper walls"
    yield Line(
        key="fill",
        title=say("Masonry of the dwarf walls") if walls else say("Fill of the haunches"),
        need=fill.volume,
        order=order,
        kind="volume",
        pack=say("m³"),
        packs=order,
        mass=fill.weight / GRAVITY * order / fill.volume,
        price=job.prices.fill_m3,
    )


def _wall_tiles(job: Job, fill: FillPlan, name: str) -> Line:
    """Tiles of the dwarf walls, set on edge: each covers its length and width with a joint."""
    tile = job.tiles[name]
    module = (tile.length + WALL_JOINT) * (tile.width + WALL_JOINT)
    need = math.ceil(float(fill.wall_faces.sum()) / module)
    order = math.ceil(need * (1.0 + tile.breakage))
    return Line(
        key="fill",
        title=say("Tiles {name} for the dwarf walls", name=name),
        need=float(need),
        order=float(order),
        kind="count",
        pack=say("piece"),
        packs=float(order),
        mass=order * tile.length * tile.width * tile.thickness * tile.density,
        price=tile.price,
        pallets=math.ceil(order / tile.per_pallet),
    )
