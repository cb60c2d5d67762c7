"""The site, read top to bottom: volumes, batches, centring, setting-out, fill, programme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from timbrel.bond.layout import Bond, Ints
from timbrel.job.model import Job
from timbrel.shape import Directrix
from timbrel.shape.barrel import Barrel
from timbrel.shape.surface import Surface
from timbrel.site.backing import BackingPlan, plan_backing
from timbrel.site.batches import Batch, LayerWork, NoBatch, batch_check, plan_batch
from timbrel.site.binding import place_check, weather_check
from timbrel.site.centring import Centring, centring_checks, plan_centring
from timbrel.site.corner_checks import corner_checks
from timbrel.site.corner_seat import CornerSeat, plan_corner_seats
from timbrel.site.ends import ends_of
from timbrel.site.fill import FillPlan, fill_checks, plan_fill
from timbrel.site.guides import Guide, guides_of
from timbrel.site.hand_check import HandCheck, hand_check, hand_checks
from timbrel.site.hand_plan import PlanHandCheck, hand_check_on_plan, plan_hand_checks
from timbrel.site.landings import Landings, landing_checks, landings_of
from timbrel.site.load_test import LoadTestPlan, load_test_checks, plan_load_test
from timbrel.site.mortar import Mix, mortar_mix
from timbrel.site.order import Step, cautions, order_of_work
from timbrel.site.practice import PracticeArch, practice_arch
from timbrel.site.practice_lesson import lesson_of
from timbrel.site.programme import Programme, plan_programme, with_bond_waits
from timbrel.site.real_tiles import AnyDelivery
from timbrel.site.seat import Seat, plan_seat
from timbrel.site.seat_checks import seat_checks
from timbrel.site.setting_out import LayerRods, SettingOut, layer_rods, set_out
from timbrel.site.stop_line import StopLine, stop_line, stop_line_checks
from timbrel.site.surface_seat import plan_surface_seats
from timbrel.site.volumes import LayerVolumes, binder_needs, layer_volumes
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_supports import net_supports
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.support_push import SupportPush
from timbrel.verdict import Check
from timbrel.words import Message, TimbrelError

if TYPE_CHECKING:
    from timbrel.statics.net_statics import NetStatics
    from timbrel.statics.proof import Statics


@dataclass(frozen=True)
class SiteWork:
    """What the crew of any vault needs. batches: one answer for each layer whose joints take a
    fast binder. mortars: a box of each mortar. backing, fill, load_test: None where there is
    nothing to back, to fill or to load. timber: of centring or guides, m3. seats: cut for
    springings that are level all along. practice: the practice arch, or why there is none.
    deliveries: what measured tiles said."""

    volumes: tuple[LayerVolumes, ...]
    batches: tuple[Batch | NoBatch, ...]
    mortars: tuple[Mix, ...]
    timber: float
    seats: tuple[Seat, ...]
    backing: BackingPlan | None
    fill: FillPlan | None
    programme: Programme
    order: tuple[Step, ...]
    stop_line: StopLine
    load_test: LoadTestPlan | None
    practice: PracticeArch | Message
    deliveries: tuple[AnyDelivery, ...]
    cautions: tuple[Message, ...]
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class SitePlan(SiteWork):
    """The site of a barrel or a flight. seats: left and right. hand_check: None where the vault
    has no thrust line to compare. landings: of a flight, else None."""

    centring: Centring
    setting_out: SettingOut
    hand_check: HandCheck | None
    landings: Landings | None


@dataclass(frozen=True)
class SurfaceSite(SiteWork):
    """The site of a vault laid between guides: groin, cloister, sail, dome. guides: their lines
    and templates. rods: by layer. corners: the seats of a vault that stands on its corners.
    hand_check: None where a pencil finds no thrust to compare."""

    guides: tuple[Guide, ...]
    rods: tuple[LayerRods, ...]
    corners: tuple[CornerSeat, ...]
    hand_check: PlanHandCheck | None


AnySite = TypeVar("AnySite", SitePlan, SurfaceSite)


def plan_batches(job: Job, volumes: tuple[LayerVolumes, ...]) -> tuple[Batch | NoBatch, ...]:
    """A batch for each layer whose joints take a fast binder."""
    return tuple(
        plan_batch(
            LayerWork(v.layer, v.count, v.joints),
            v.joint_binder,
            job.binders[v.joint_binder],
            job.site,
            job.crew,
        )
        for v in volumes
        if job.binders[v.joint_binder].kind != "mortar"
    )


def plan_mortars(job: Job, volumes: tuple[LayerVolumes, ...]) -> tuple[Mix, ...]:
    """A box of each mortar."""
    return tuple(
        mortar_mix(name, job.binders[name], net)
        for name, net in binder_needs(volumes).items()
        if job.binders[name].kind == "mortar"
    )


def _materials(
    job: Job, volumes: tuple[LayerVolumes, ...], batches: tuple[Batch | NoBatch, ...]
) -> tuple[Check, ...]:
    """Is it warm enough; may the binders be used here; is there a batch."""
    used = dict.fromkeys(n for v in volumes for n in (v.joint_binder, v.bed_binder) if n)
    return (
        weather_check(job.site),
        *(place_check(name, job.binders[name], job.site) for name in used),
        *(batch_check(b) for b in batches),
    )


def _first_batch(batches: tuple[Batch | NoBatch, ...]) -> int | None:
    return next((b.tiles for b in batches if isinstance(b, Batch) and b.layer == 1), None)


def plan_site(
    job: Job,
    vault: Barrel,
    bond: Bond,
    statics: Statics | None = None,
    deliveries: tuple[AnyDelivery, ...] = (),
) -> SitePlan:
    """Plan the site of a barrel or a flight. deliveries: what measured tiles said, by
    `as_delivered`.

    Raises TimbrelError when the centring or the fill cannot be made as the job states them; a
    binder that allows no batch is a failing check, so that the rest of the plan can be read.
    """
    volumes = layer_volumes(job, vault, bond)
    batches = plan_batches(job, volumes)
    tile = job.tiles[job.layers[0].tile]
    centring = plan_centring(vault, bond.layers[0], (tile.length, tile.width), job.site)
    backing, fill = plan_backing(job, vault), plan_fill(job, vault)
    filled = fill.volume if fill else 0.0
    solid = backing.volume if backing else 0.0
    seats = plan_seat(job, vault, "left", statics), plan_seat(job, vault, "right", statics)
    tonight = stop_line(job, bond.layers[0], _first_batch(batches))
    by_hand = hand_check(statics) if statics is not None else None
    test = plan_load_test(job, vault)
    landings = landings_of(vault, bond, seats)
    checks = (
        *_materials(job, volumes, batches),
        *centring_checks(centring, job.site, job.crew),
        *stop_line_checks(tonight),
        *(check for seat in seats for check in seat_checks(job, seat)),
        *fill_checks(job, fill),
        *hand_checks(by_hand),
        *landing_checks(landings),
        *(check for delivery in deliveries for check in delivery.checks),
        *load_test_checks(job, test, statics),
    )
    return SitePlan(
        volumes=volumes,
        batches=batches,
        mortars=plan_mortars(job, volumes),
        timber=centring.timber,
        centring=centring,
        setting_out=set_out(vault, bond, job.site),
        seats=seats,
        backing=backing,
        fill=fill,
        programme=plan_programme(job, volumes, batches, centring.moves, filled, solid),
        order=order_of_work(job, batches, centring, last_lift=fill is not None, backing=backing),
        stop_line=tonight,
        hand_check=by_hand,
        landings=landings,
        load_test=test,
        practice=_practice(job, ends_of(vault)[0].curve, bond),
        deliveries=deliveries,
        cautions=cautions(),
        checks=checks,
    )


def plan_surface_site(
    job: Job,
    vault: Surface,
    bond: Bond,
    deliveries: tuple[AnyDelivery, ...] = (),
    statics: NetStatics | None = None,
) -> SurfaceSite:
    """Plan the site of a groin, cloister, sail or dome. statics: of the coarse net, for the pressure
    on the seats.

    Raises TimbrelError when the guides, the seats or the fill cannot be made as the job states them.
    """
    volumes = layer_volumes(job, vault, bond)
    batches = plan_batches(job, volumes)
    guides = guides_of(vault, job.site, middle_ribs=job.building.middle_ribs)
    fill = plan_fill(job, vault)
    filled = fill.volume if fill else 0.0
    acts, pushes = _coarse(job, vault, statics)
    by_hand = None
    if statics is not None and acts is not None:
        by_hand = hand_check_on_plan(job, vault, statics.net, acts, pushes)
    seats = plan_surface_seats(job, vault, pushes)
    corners = plan_corner_seats(job, vault, pushes) if vault.on_corners else ()
    tonight = stop_line(job, bond.layers[0], _first_batch(batches))
    checks = (
        *_materials(job, volumes, batches),
        *stop_line_checks(tonight),
        *(check for seat in seats for check in seat_checks(job, seat)),
        *(check for corner in corners for check in corner_checks(job, corner)),
        *fill_checks(job, fill),
        *plan_hand_checks(by_hand),
        *(check for delivery in deliveries for check in delivery.checks),
    )
    return SurfaceSite(
        volumes=volumes,
        batches=batches,
        mortars=plan_mortars(job, volumes),
        timber=sum(guide.timber for guide in guides),
        guides=guides,
        rods=layer_rods(bond),
        seats=seats,
        corners=corners,
        hand_check=by_hand,
        backing=None,
        fill=fill,
        programme=plan_programme(job, volumes, batches, 0, filled),
        order=order_of_work(job, batches, None, last_lift=fill is not None),
        stop_line=tonight,
        load_test=plan_load_test(job, vault),
        practice=_practice_on_plan(job, vault, bond),
        deliveries=deliveries,
        cautions=cautions(),
        checks=checks,
    )


def _coarse(
    job: Job, vault: Surface, statics: NetStatics | None
) -> tuple[NetActions | None, tuple[SupportPush, ...]]:
    """What the coarse net carries, and what it puts on each wall or pier, under dead load and with
    the imposed load."""
    if statics is None:
        return None, ()
    acts = net_actions(job, solid_of(vault), statics.net.grid)
    return acts, net_supports(job, vault, statics.net, acts).pushes


def site_once_proved(
    job: Job, vault: Surface, site: SurfaceSite, statics: NetStatics
) -> SurfaceSite:
    """The same site with the net of the whole proof on its seats and beside the pencil, in the coarse
    one's place: a coarse net tells too little of the greatest thrust."""
    proof, supports = statics.proof, statics.supports
    if proof is None or supports is None:
        return site
    seats = plan_surface_seats(job, vault, supports.pushes)
    corners = plan_corner_seats(job, vault, supports.pushes) if site.corners else ()
    by_hand = hand_check_on_plan(job, vault, proof.net, proof.actions, supports.pushes)
    again = (
        *(check for seat in seats for check in seat_checks(job, seat)),
        *(check for corner in corners for check in corner_checks(job, corner)),
        *plan_hand_checks(by_hand),
    )
    told = {check.name: check for check in again}
    checks = tuple(told.get(check.name, check) for check in site.checks)
    return replace(site, seats=seats, corners=corners, hand_check=by_hand, checks=checks)


def site_once_built(
    job: Job,
    bond: Bond,
    site: AnySite,
    asked: Sequence[float | None],
    each: float | None,
    unit: Ints | None = None,
) -> AnySite:
    """The same site with what the stages of building ask the first layer to wait for its bond, in its
    programme and in its stop line. asked: waits of the whole layer, s; each: of an arch, a ring or
    what else is closed together, s; unit: (tiles,) of the first layer, where that is no arch."""
    tonight = stop_line(job, bond.layers[0], _first_batch(site.batches), each, unit)
    told = {check.name: check for check in stop_line_checks(tonight)}
    return replace(
        site,
        programme=with_bond_waits(site.programme, asked, job),
        stop_line=tonight,
        checks=tuple(told.get(check.name, check) for check in site.checks),
    )


def _practice_on_plan(job: Job, vault: Surface, bond: Bond) -> PracticeArch | Message:
    """The practice arch of a vault on a plan, and what it does not teach."""
    try:
        curve, lesson = lesson_of(job, vault)
        return practice_arch(job, curve, bond.layers[0], lesson)
    except TimbrelError as error:
        return error.message


def _practice(job: Job, near: Directrix, bond: Bond) -> PracticeArch | Message:
    """The practice arch; a curve that cannot be made so small does not stop the real one."""
    try:
        return practice_arch(job, near, bond.layers[0])
    except TimbrelError as error:
        return error.message
