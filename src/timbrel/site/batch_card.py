"""Batch cards: what one batch is at every temperature that the crew may meet.

From 5 to 35 degrees C in steps of five, and the day's own. Outside 5 to 30 the row says what to do;
where the binder's set is not known there is no row but the reason.
"""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Job
from timbrel.job.set_times import times_in_use
from timbrel.site.batches import Batch, LayerWork, NoBatch, plan_batch
from timbrel.site.binding import COLDEST_C, WARM_C
from timbrel.site.volumes import LayerVolumes
from timbrel.words import Message, say

TEMPERATURES_C = tuple(float(t) for t in range(5, 40, 5))
BUCKET = 0.010
"""A builder's bucket filled to the mark, m3 (common practice, no source)."""


@dataclass(frozen=True)
class BatchRow:
    """One temperature. batch: None when none can be made; why: the reason then. buckets: paste of
    one batch. warning: what the temperature asks for, None between 5 and 30 degrees C."""

    temperature_c: float
    batch: Batch | None
    why: Message | None
    warning: Message | None

    @property
    def buckets(self) -> float:
        """Paste of one batch in buckets of ten litres."""
        return self.batch.paste / BUCKET if self.batch else 0.0


@dataclass(frozen=True)
class BatchCard:
    """The card of one operation: joints of a layer, or the bed under it. rows: cold to warm; the
    row of the day is at `today`."""

    title: Message
    layer: int
    binder: str
    rows: tuple[BatchRow, ...]
    today: int


def batch_cards(job: Job, volumes: tuple[LayerVolumes, ...]) -> tuple[BatchCard, ...]:
    """A card for each operation whose binder has set times: joints and beds of every layer."""
    cards: list[BatchCard] = []
    for layer in volumes:
        joints = say("joints of layer {layer}", layer=layer.layer)
        bed = say("bed under layer {layer}", layer=layer.layer)
        for title, name, volume in (
            (joints, layer.joint_binder, layer.joints),
            (bed, layer.bed_binder, layer.bed),
        ):
            if name and volume > 0 and times_in_use(job.binders[name]) is not None:
                work = LayerWork(layer.layer, layer.count, volume)
                cards.append(_card(job, title, name, work))
    return tuple(cards)


def _card(job: Job, title: Message, name: str, work: LayerWork) -> BatchCard:
    day = job.site.temperature_c
    temperatures = sorted({*TEMPERATURES_C, day})
    rows = tuple(_row(job, name, work, t) for t in temperatures)
    return BatchCard(title, work.layer, name, rows, temperatures.index(day))


def _row(job: Job, name: str, work: LayerWork, temperature_c: float) -> BatchRow:
    site = job.site.model_copy(update={"temperature_c": temperature_c})
    found = plan_batch(work, name, job.binders[name], site, job.crew)
    if isinstance(found, NoBatch):
        return BatchRow(temperature_c, None, found.reason, _warning(temperature_c))
    return BatchRow(temperature_c, found, None, _warning(temperature_c))


def _warning(temperature_c: float) -> Message | None:
    if temperature_c < COLDEST_C:
        return say("Stop: under {least:degc} nothing sets as it should.", least=COLDEST_C)
    if temperature_c > WARM_C:
        return say("Shade tiles, water and work; mix less at a time.")
    return None
