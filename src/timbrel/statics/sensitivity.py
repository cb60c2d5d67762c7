"""What a tenth more or less does to the governing verdicts.

Thickness, rise, densities and imposed load are changed one at a time; the strip is built and asked
again. The spread is changed on the moved vault.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.vault import shape_vault
from timbrel.statics.actions import StripActions, actions_under, fill_levels
from timbrel.statics.carrying import Carrying
from timbrel.statics.combinations import Combination, combinations, variable_loads
from timbrel.statics.imposed import imposed_load
from timbrel.statics.spread import after_movement
from timbrel.statics.thickness import least_thickness
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

SWING = 0.10


@dataclass(frozen=True)
class Swing:
    """What one input does. reserve: thickness over least thickness under the governing combination,
    at less, as stated and at more; thrust: greatest under it, N/m, likewise. None where the vault
    cannot be built so or has no thrust line."""

    key: str
    title: Message
    reserve: tuple[float | None, float | None, float | None]
    thrust: tuple[float | None, float | None, float | None]


def sensitivity(job: Job, vault: Barrel, carrying: Carrying) -> tuple[Swing, ...]:
    """Every input by a tenth either way; nothing when no combination governs."""
    if carrying.envelope.governing is None:
        return ()
    key, v = carrying.envelope.governing.key, carrying.v
    stated = _asked(job, vault, v, key)
    changes: tuple[tuple[str, Message, Callable[[float], Job]], ...] = (
        ("thickness", say("Thickness of the shell"), lambda f: thicker(job, f)),
        ("rise", say("Rise"), lambda f: higher(job, f)),
        ("density", say("Densities"), lambda f: heavier(job, f)),
        ("imposed", say("Imposed load"), lambda f: busier(job, f)),
    )
    found = [
        _swing(name, title, stated, lambda f, c=change: _rebuilt(c(f), vault, v, key))  # type: ignore[misc]
        for name, title, change in changes
    ]
    return (*found, _spread(job, vault, v))


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
    weight = fill.unit_weight or {"solid": 16e3, "light": 6e3}.get(fill.kind, 16e3)
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


Asked = tuple[float | None, float | None]


def _swing(name: str, title: Message, stated: Asked, ask: Callable[[float], Asked]) -> Swing:
    less, more = ask(1 - SWING), ask(1 + SWING)
    return Swing(
        name,
        title,
        (less[0], stated[0], more[0]),
        (less[1], stated[1], more[1]),
    )


def _rebuilt(job: Job, vault: Barrel, v: float, key: str) -> Asked:
    try:
        return _asked(job, shape_vault(job, vault.room), v, key)
    except TimbrelError:
        return None, None


def _asked(job: Job, vault: Barrel, v: float, key: str) -> Asked:
    """Reserve and greatest thrust of a strip under one combination."""
    acts = actions_under(job, vault, v, fill_levels(job, vault))
    combination = next((c for c in combinations(acts, job.loads) if c.key == key), None)
    return (None, None) if combination is None else _under(acts, combination)


def _under(acts: StripActions, combination: Combination) -> Asked:
    variable = variable_loads(acts)
    loads = combination.dead * acts.dead + np.tensordot(combination.factors, variable, axes=1)
    needed = least_thickness(acts.strip, loads)
    found = ThrustProgram(acts.strip, acts.dead, variable).greatest_thrust(
        combination.dead, combination.factors
    )
    reserve = None if needed is None else 1 / needed.share
    return reserve, None if found is None else found.line.thrust


def _spread(job: Job, vault: Barrel, v: float) -> Swing:
    """Least thrust of the moved vault under its dead load."""
    acts = actions_under(job, vault, v, fill_levels(job, vault))
    strip = replace(acts.strip, crushing=None)
    program = ThrustProgram(strip, acts.dead, np.zeros((0, strip.voussoirs, 3)))
    found = program.least_thrust()
    thrusts: list[float | None] = []
    for factor in (1 - SWING, 1.0, 1 + SWING):
        apart = job.loads.spread * factor
        moved = None
        if found is not None:
            moved = after_movement(strip, acts.permanent, found.line, apart, -job.loads.settlement)
        thrusts.append(None if moved is None else moved.least)
    return Swing(
        "spread",
        say("Spread of the springings (least thrust under the dead load)"),
        (None, None, None),
        (thrusts[0], thrusts[1], thrusts[2]),
    )
