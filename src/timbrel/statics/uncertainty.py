"""How often would the vault fail, if it is not quite what was stated; and what matters most.

Thickness, curve, densities, imposed load, strength and spread vary about the stated values; each
sample is a strip of its own, asked for its least thickness under the dead load with each spread
pattern and the governing line load, unfactored, and for the factor of its walls. The curve's error
is a half and a whole wave square to it; the spread opens three hinges (to first order).
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import StripActions, actions_under, fill_levels
from timbrel.statics.built_walls import COARSE, takes_all
from timbrel.statics.carried_length import wall_length
from timbrel.statics.cracked_wall import overturning_factor
from timbrel.statics.descent import Push
from timbrel.statics.descent import overturning_factor as built_factor
from timbrel.statics.processes import in_processes
from timbrel.statics.proof import SIDES, Statics
from timbrel.statics.pushes import beside_ties
from timbrel.statics.sampled import Uncertain, failing_share, influences
from timbrel.statics.sampling import normal_samples
from timbrel.statics.station import Station
from timbrel.statics.strip import Array, Strip, ThrustLine
from timbrel.statics.supports import wall_profile
from timbrel.statics.thickness import least_thickness, least_thicknesses
from timbrel.statics.thrust_program import Question, ThrustProgram, answers
from timbrel.statics.walls import (
    Side,
    SpringingCase,
    ThrustCase,
    WallFrame,
    missing_data,
    wall_frame,
    wall_stem,
)
from timbrel.words import Message, Progress, say, silent

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

JOINTS = 49
CHUNK = 50
WEAKEST = 1e3  # N/m2, under which no strength is drawn
NAMES = (
    "thickness",
    "curve, half wave",
    "curve, whole wave",
    "density",
    "imposed",
    "strength",
    "spread",
)


@dataclass(frozen=True)
class _Trial:
    """All that a process needs to work a sample."""

    strip: Strip
    layers: Array
    other: Array
    patterns: Array
    frames: tuple[WallFrame, ...]
    lengths: dict[Side, float]
    job: Job


def uncertain(
    job: Job,
    vault: Barrel,
    statics: Statics,
    progress: Progress = silent,
    *,
    samples: int | None = None,
    seed: int | None = None,
    workers: int | None = None,
) -> Uncertain:
    """Draw samples and work them in processes.

    samples, seed: in the place of the job's. workers: processes; 1 works them here. What progress
    raises stops the work at once.
    """
    stated = job.uncertainty
    count = samples or stated.samples
    chosen = stated.seed if seed is None else seed
    trial = _trial(job, vault, statics.worst)
    drawn = normal_samples(count, len(NAMES), chosen)
    results: list[Array] = []
    done = 0
    for chunk in _worked(trial, drawn, workers or os.cpu_count() or 1):
        results.append(chunk)
        done += len(chunk)
        progress(say("Samples of the uncertain vault"), done / count)
    found = np.vstack(results)
    reserve, walls = found[:, 0], found[:, 1]
    failing, error = failing_share((reserve < 1) | (walls < 1))
    inputs, titles = _inputs(drawn), _titles()
    known = bool(np.isfinite(walls).all())
    on_walls = influences(inputs, NAMES, titles, walls) if known else ()
    return Uncertain(
        reserve, walls, failing, error, influences(inputs, NAMES, titles, reserve), chosen,
        supports=on_walls,
    )  # fmt: skip


def _worked(trial: _Trial, drawn: Array, workers: int) -> Iterator[Array]:
    """Results of the samples in their order, chunk by chunk."""
    chunks = [drawn[i : i + CHUNK] for i in range(0, len(drawn), CHUNK)]
    yield from in_processes(_work, [(trial, chunk) for chunk in chunks], workers)


def _trial(job: Job, vault: Barrel, station: Station) -> _Trial:
    joints = np.linspace(0.0, 1.0, JOINTS)
    acts = actions_under(job, vault, station.v, fill_levels(job, vault), joints)
    layers = acts.permanent[0].wrench
    kept = tuple(
        wall_frame(vault, station.v, side)
        for side in SIDES
        if missing_data(getattr(job.walls, side), side) is None
    )
    lengths = {side: wall_length(vault, side) for side in SIDES}
    return _Trial(
        acts.strip, layers, acts.dead - layers, _patterns(acts, station), kept, lengths, job
    )


def _patterns(acts: StripActions, station: Station) -> Array:
    """(p, n, 3) spread patterns and the worst line load of the station, most needy first."""
    worst = station.answer.worst("line")
    keep = [p.load.wrench for p in acts.patterns if p.kind != "line"]
    keep += [p.load.wrench for p in acts.patterns if worst and p.load.key == worst.pattern]
    if not keep:
        return np.zeros((0, acts.strip.voussoirs, 3))
    needs = [least_thickness(acts.strip, acts.dead + live) for live in keep]
    order = np.argsort([-(need.share if need else np.inf) for need in needs])
    return np.stack([keep[i] for i in order])


def _work(trial: _Trial, drawn: Array) -> Array:
    """(n, 2) reserve of the vault and factor of the walls for each sample; all are asked together."""
    cases = [_case(trial, row) for row in drawn]
    shares = _shares(cases)
    lines = _least_lines(cases)
    return np.array(
        [
            _judged(trial, case, share, found)
            for case, share, found in zip(cases, shares, lines, strict=True)
        ]
    )


@dataclass(frozen=True)
class _Case:
    """One sample: the strip as built, its dead load, its patterns (p, n, 3), factor on densities."""

    strip: Strip
    dead: Array
    patterns: Array
    dense: float


def _case(trial: _Trial, row: Array) -> _Case:
    stated = trial.job.uncertainty
    thick = max(1 + stated.thickness * row[0], 0.1)
    dense = max(1 + stated.density * row[3], 0.1)
    imposed = max(1 + stated.imposed * row[4], 0.0)
    strip = _built(trial.strip, thick, stated.shape * row[1:3], stated.spread * abs(row[6]))
    if trial.strip.crushing is not None:
        weak = max(trial.strip.crushing * (1 + stated.strength * row[5]), WEAKEST)
        strip = replace(strip, crushing=weak)
    dead = dense * (thick * trial.layers + trial.other)
    return _Case(strip, dead, imposed * trial.patterns, dense)


def _shares(cases: list[_Case]) -> list[float | None]:
    """Greatest share of the thickness that the dead load, alone or with a pattern, needs; None when
    no thickness would do. Masonry does not crush here."""
    asked = [
        (case.strip, case.dead + live)
        for case in cases
        for live in (*case.patterns, np.zeros_like(case.dead))
    ]
    needs = iter(least_thicknesses(asked))
    found: list[float | None] = []
    for case in cases:
        own = [next(needs) for _ in range(len(case.patterns) + 1)]
        known = [need.share for need in own if need is not None]
        found.append(max(known) if len(known) == len(own) else None)
    return found


def _least_lines(cases: list[_Case]) -> list[list[ThrustLine | None]]:
    """Lines of least thrust under the dead load alone, then with each pattern."""
    asked = []
    for case in cases:
        program = ThrustProgram(case.strip, case.dead, case.patterns)
        alone = np.zeros(len(case.patterns))
        every = [alone, *np.eye(len(case.patterns))]
        asked += [(program, Question("least thrust", 1.0, held)) for held in every]
    told = iter(answers(asked))
    found: list[list[ThrustLine | None]] = []
    for case in cases:
        own = [next(told) for _ in range(len(case.patterns) + 1)]
        found.append([None if f is None else f.line for f in own])
    return found


def _judged(
    trial: _Trial, case: _Case, share: float | None, found: list[ThrustLine | None]
) -> tuple[float, float]:
    """Reserve of the vault and least factor of the walls in one sample."""
    if share is None:
        return 0.0, np.nan
    lines = [line for line in found if line is not None]
    reserve = 1 / share
    if len(lines) < len(found):
        reserve = min(reserve, 0.999)  # the block of stress finds no room
    if not lines or not trial.frames:
        return reserve, np.nan
    # A wall is worst under the dead load alone or under the greatest thrust.
    asked = (lines[0], max(lines, key=lambda line: line.thrust))
    return reserve, min(
        _wall_factor(trial, f, line, case.dense) for f in trial.frames for line in asked
    )


def _wall_factor(trial: _Trial, frame: WallFrame, line: ThrustLine, dense: float) -> float:
    """Factor of the cracked wall, with its leaves, openings, buttresses and ties where it has any."""
    job, side = trial.job, frame.side
    wall = getattr(job.walls, side)
    force = frame.force(line)
    if takes_all(job, wall):
        heavy = wall.model_copy(update={"density": wall.density * dense})
        case = ThrustCase("sample", say("Sample"), "least", line)
        stem, head, arm = wall_stem(heavy, SpringingCase(side, case, force))
        return overturning_factor(stem, head, arm)
    profile = wall_profile(wall, side, trial.lengths[side]).coarser(COARSE)
    heavy_profile = replace(
        profile, weight=profile.weight * dense, web_weight=profile.web_weight * dense
    )
    parts = (force.level, force.along, force.down, force.into, force.over, 1.0)
    push = beside_ties(Push(*(np.array([p]) for p in parts)), job.walls.ties)
    return float(built_factor(heavy_profile, push, 0))


def _built(strip: Strip, thick: float, shape: Array, spread: float) -> Strip:
    """The strip as it might be built: other thickness, curve off by two waves, springings apart."""
    middle = strip.shell_middle
    s = np.linspace(0.0, 1.0, len(middle))
    off = shape[0] * np.sin(np.pi * s) + shape[1] * np.sin(2 * np.pi * s)
    moved = middle + off[:, None] * strip.along
    share = (moved[:, 0] - moved[0, 0]) / (moved[-1, 0] - moved[0, 0])
    rise = float(np.ptp(middle[:, 1]))
    drop = spread * strip.span / (4 * max(rise, 1e-6))
    moved = moved + np.column_stack([spread * share, -drop * (1 - np.abs(2 * share - 1))])
    half = (strip.shell_outer - strip.inner) * (thick / 2)
    outer = moved + half
    if strip.backing is not None:
        outer = outer + strip.along * strip.backing[:, None]
    return Strip(moved - half, outer, strip.friction, backing=strip.backing)


def _titles() -> tuple[Message, ...]:
    return (
        say("Thickness of the shell"),
        say("Error of the curve, half a wave"),
        say("Error of the curve, a whole wave"),
        say("Densities"),
        say("Imposed load"),
        say("Crushing strength"),
        say("Spread of the springings"),
    )


def _inputs(drawn: Array) -> Array:
    """The samples as they act: the springings never come nearer."""
    inputs = drawn.copy()
    inputs[:, 6] = np.abs(inputs[:, 6])
    return inputs
