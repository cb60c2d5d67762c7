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
from timbrel.statics.carried_length import wall_length
from timbrel.statics.carrying import Carrying
from timbrel.statics.combinations import Combination, combinations, variable_loads
from timbrel.statics.descent import Push, overturning_factor
from timbrel.statics.pushes import beside_ties
from timbrel.statics.spread import after_movement
from timbrel.statics.supports import wall_profile
from timbrel.statics.tenths import busier, heavier, higher, thicker
from timbrel.statics.thickness import least_thickness
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.walls import Side, wall_frame
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

SWING = 0.10


Three = tuple[float | None, float | None, float | None]


@dataclass(frozen=True)
class Swing:
    """What one input does, at a tenth less, as stated and at a tenth more.

    reserve: thickness over least thickness under the governing combination; thrust: greatest under
    it, N/m; walls: least push that a cracked support bears over its push, under what governs that
    (EQU). None where the vault cannot be built so, has no thrust line, or has no such figure.
    """

    key: str
    title: Message
    reserve: Three
    thrust: Three
    walls: Three


@dataclass(frozen=True)
class _Governs:
    """What is asked again: the station, the combination that governs the vault, and the support,
    combination and bound that govern the walls (None when they are not known)."""

    v: float
    vault: str
    side: Side | None
    walls: str
    bound: str


def sensitivity(job: Job, vault: Barrel, carrying: Carrying) -> tuple[Swing, ...]:
    """Every input by a tenth either way; nothing when no combination governs."""
    if carrying.envelope.governing is None:
        return ()
    governs = _governs(carrying, carrying.envelope.governing.key)
    stated = _asked(job, vault, governs)
    changes: tuple[tuple[str, Message, Callable[[float], Job]], ...] = (
        ("thickness", say("Thickness of the shell"), lambda f: thicker(job, f)),
        ("rise", say("Rise"), lambda f: higher(job, f)),
        ("density", say("Densities"), lambda f: heavier(job, f)),
        ("imposed", say("Imposed load"), lambda f: busier(job, f)),
    )
    found = [
        _swing(name, title, stated, lambda f, c=change: _rebuilt(c(f), vault, governs))  # type: ignore[misc]
        for name, title, change in changes
    ]
    return (*found, _spread(job, vault, carrying.v))


def _governs(carrying: Carrying, vault: str) -> _Governs:
    supports = [s for s in carrying.supports if not s.pier]
    if not supports:
        return _Governs(carrying.v, vault, None, "", "")
    worst = min(supports, key=lambda s: s.overturning.value)
    by = worst.overturning
    side: Side = "right" if worst.side == "right" else "left"  # a strip stands on these two
    return _Governs(carrying.v, vault, side, by.combination, by.bound)


@dataclass(frozen=True)
class _Answers:
    """Reserve, thrust and walls of one state."""

    reserve: float | None = None
    thrust: float | None = None
    walls: float | None = None


def _swing(name: str, title: Message, stated: _Answers, ask: Callable[[float], _Answers]) -> Swing:
    less, more = ask(1 - SWING), ask(1 + SWING)
    return Swing(
        name,
        title,
        (less.reserve, stated.reserve, more.reserve),
        (less.thrust, stated.thrust, more.thrust),
        (less.walls, stated.walls, more.walls),
    )


def _rebuilt(job: Job, vault: Barrel, governs: _Governs) -> _Answers:
    try:
        return _asked(job, shape_vault(job, vault.room), governs)
    except TimbrelError:
        return _Answers()


def _asked(job: Job, vault: Barrel, governs: _Governs) -> _Answers:
    """Reserve, greatest thrust and walls of a strip under what governed them as stated."""
    acts = actions_under(job, vault, governs.v, fill_levels(job, vault))
    every = {c.key: c for c in combinations(acts, job.loads)}
    if governs.vault not in every:
        return _Answers()
    reserve, thrust = _under(acts, every[governs.vault])
    walls = None
    if governs.side is not None and governs.walls in every:
        walls = _walls(job, vault, acts, governs, every[governs.walls])
    return _Answers(reserve, thrust, walls)


def _under(acts: StripActions, combination: Combination) -> tuple[float | None, float | None]:
    variable = variable_loads(acts)
    loads = combination.dead * acts.dead + np.tensordot(combination.factors, variable, axes=1)
    needed = least_thickness(acts.strip, loads)
    found = ThrustProgram(acts.strip, acts.dead, variable).greatest_thrust(
        combination.dead, combination.factors
    )
    reserve = None if needed is None else 1 / needed.share
    return reserve, None if found is None else found.line.thrust


def _walls(
    job: Job, vault: Barrel, acts: StripActions, governs: _Governs, combination: Combination
) -> float | None:
    """Factor of the governing support under the same combination and bound of thrust."""
    side = governs.side
    assert side is not None
    program = ThrustProgram(acts.strip, acts.dead, variable_loads(acts))
    ask = program.least_thrust if governs.bound == "least" else program.greatest_thrust
    found = ask(combination.dead, combination.factors)
    if found is None:
        return None
    force = wall_frame(vault, governs.v, side).force(found.line)
    parts = (force.level, force.along, force.down, force.into, force.over, combination.dead)
    push = beside_ties(Push(*(np.array([part]) for part in parts)), job.walls.ties)
    profile = wall_profile(getattr(job.walls, side), side, wall_length(vault, side))
    return float(overturning_factor(profile, push, 0))


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
        (None, None, None),
    )
