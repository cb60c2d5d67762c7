"""The site, read top to bottom: volumes, batches, centring, setting-out, fill, programme."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.vault import Barrel
from timbrel.site.batches import Batch, LayerWork, NoBatch, batch_check, plan_batch
from timbrel.site.binding import place_check, weather_check
from timbrel.site.centring import Centring, centring_checks, plan_centring
from timbrel.site.fill import FillPlan, fill_checks, plan_fill
from timbrel.site.order import Step, cautions, order_of_work
from timbrel.site.programme import Programme, plan_programme
from timbrel.site.setting_out import SettingOut, set_out
from timbrel.site.volumes import LayerVolumes, layer_volumes
from timbrel.verdict import Check
from timbrel.words import Message

if TYPE_CHECKING:
    from timbrel.statics.proof import Statics


@dataclass(frozen=True)
class SitePlan:
    """All that the crew needs. batches: one answer for each layer whose joints take a fast binder.
    fill is None when the job has none."""

    volumes: tuple[LayerVolumes, ...]
    batches: tuple[Batch | NoBatch, ...]
    centring: Centring
    setting_out: SettingOut
    fill: FillPlan | None
    programme: Programme
    order: tuple[Step, ...]
    cautions: tuple[Message, ...]
    checks: tuple[Check, ...]


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


def plan_site(job: Job, vault: Barrel, bond: Bond, statics: Statics | None = None) -> SitePlan:
    """Plan the site of a barrel.

    Raises TimbrelError when the centring or the fill cannot be made as the job states them; a
    binder that allows no batch is a failing check, so that the rest of the plan can be read.
    """
    volumes = layer_volumes(job, vault, bond)
    batches = plan_batches(job, volumes)
    tile = job.tiles[job.layers[0].tile]
    centring = plan_centring(vault, bond.layers[0], (tile.length, tile.width), job.site)
    fill = plan_fill(job, vault)
    used = dict.fromkeys(n for v in volumes for n in (v.joint_binder, v.bed_binder) if n)
    checks = (
        weather_check(job.site),
        *(place_check(name, job.binders[name], job.site) for name in used),
        *(batch_check(b) for b in batches),
        *centring_checks(centring, job.site, job.crew),
        *fill_checks(job, fill),
    )
    return SitePlan(
        volumes=volumes,
        batches=batches,
        centring=centring,
        setting_out=set_out(vault, bond, job.site),
        fill=fill,
        programme=plan_programme(job, volumes, batches, centring, fill.volume if fill else 0.0),
        order=order_of_work(job, centring, batches, last_lift=fill is not None),
        cautions=cautions(),
        checks=checks,
    )
