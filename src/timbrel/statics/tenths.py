"""A job with one of its inputs changed by a factor, as when a tenth more or less is tried."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.statics.floor import UNIT_WEIGHT
from timbrel.statics.imposed import imposed_load


def thicker(job: Job, factor: float) -> Job:
    """Every tile and bed thicker by a factor."""
    tiles = {
        name: tile.model_copy(update={"thickness": tile.thickness * factor})
        for name, tile in job.tiles.items()
    }
    layers = tuple(layer.model_copy(update={"bed": layer.bed * factor}) for layer in job.layers)
    return job.model_copy(update={"tiles": tiles, "layers": layers})


def higher(job: Job, factor: float) -> Job:
    """More rise. A semicircle has none of its own and stays."""
    if job.curve.rise is None:
        return job
    curve = job.curve.model_copy(update={"rise": job.curve.rise * factor})
    return job.model_copy(update={"curve": curve})


def heavier(job: Job, factor: float) -> Job:
    """Tiles, binders, fill and finish heavier by a factor."""
    tiles = {n: t.model_copy(update={"density": t.density * factor}) for n, t in job.tiles.items()}
    binders = {
        n: b.model_copy(update={"density": b.density * factor}) for n, b in job.binders.items()
    }
    fill = job.loads.fill
    lifts = tuple(
        lift.model_copy(update={"unit_weight": lift.unit_weight * factor}) for lift in fill.lifts
    )
    weight = fill.unit_weight or UNIT_WEIGHT.get(fill.kind, UNIT_WEIGHT["solid"])
    fill = fill.model_copy(
        update={
            "unit_weight": weight * factor,
            "lifts": lifts,
            "sleeper_density": fill.sleeper_density * factor,
        }
    )
    loads = job.loads.model_copy(update={"fill": fill, "finish": job.loads.finish * factor})
    return job.model_copy(update={"tiles": tiles, "binders": binders, "loads": loads})


def busier(job: Job, factor: float) -> Job:
    """Imposed and line load greater by a factor."""
    imposed, _ = imposed_load(job.loads)
    changes = {"imposed": imposed * factor, "line": job.loads.line * factor}
    return job.model_copy(update={"loads": job.loads.model_copy(update=changes)})
