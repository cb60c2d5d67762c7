"""A load test with bags: steps, waiting, what to read, when to stop. Never before the plan holds.

Practice, from memory: equal steps, a day's wait under the full load, three quarters of the
movement comes back. The test proves one vault under one load; it replaces no calculation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.barrel import Barrel
from timbrel.shape.dome import Dome
from timbrel.shape.surface import Surface
from timbrel.statics.floor import GRAVITY
from timbrel.statics.imposed import imposed_load
from timbrel.verdict import Check, judge
from timbrel.words import Message, cite, say

if TYPE_CHECKING:
    from timbrel.statics.net_proof import NetProof
    from timbrel.statics.proof import Statics


@dataclass(frozen=True)
class TestStep:
    """One step. number: from 1. what: which part is loaded. bags: on the vault when it is done.
    pressure: then, N/m2 of the loaded part. wait: s, before the next."""

    __test__ = False

    number: int
    what: Message
    bags: int
    pressure: float
    wait: float


@dataclass(frozen=True)
class Criterion:
    """What must be true, and where the rule comes from. stop: broken, it ends the test."""

    what: Message
    origin: str
    stop: bool


@dataclass(frozen=True)
class LoadTestPlan:
    """The test. area: plan area loaded, m2. load: full test load, N/m2. bags: in all. mass: of all
    bags, kg. earliest: s from the last tile. steps: full span first, off again, then one half.
    criteria; readings: columns of the sheet that is filled in. cautions."""

    area: float
    load: float
    bags: int
    mass: float
    earliest: float
    steps: tuple[TestStep, ...]
    criteria: tuple[Criterion, ...]
    readings: tuple[Message, ...]
    cautions: tuple[Message, ...]


def plan_area(vault: Surface) -> float:
    """Plan area under the vault inside the walls, m2."""
    if isinstance(vault, Dome):
        rim, oculus = vault.rings([0.0, 1.0]).radius
        return float(np.pi * (rim**2 - oculus**2))
    x, y = np.asarray(vault.room.corners)[:, :2].T
    if isinstance(vault, Barrel):  # inside the intrados, where the measured line is another one
        u, v = np.array([0.0, 1.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0, 1.0])
        x, y = vault.point(u, v)[:, :2].T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def plan_load_test(job: Job, vault: Surface) -> LoadTestPlan | None:
    """The test of a vault; None when it carries no imposed load."""
    imposed, _ = imposed_load(job.loads)
    if imposed <= 0:
        return None
    stated = job.load_test
    area = plan_area(vault)
    load = imposed * stated.share
    bags = math.ceil(load * area / GRAVITY / stated.bag - 1e-9)
    return LoadTestPlan(
        area=area,
        load=load,
        bags=bags,
        mass=bags * stated.bag,
        earliest=job.site.wait_load,
        steps=tuple(_steps(job, bags, area, spanning=isinstance(vault, Barrel))),
        criteria=_criteria(job),
        readings=(
            say("Time"),
            say("Bags on the vault"),
            *_gauges(vault),
            say("Cracks seen, where"),
            say("Read by"),
        ),
        cautions=(
            say("Nobody stands under the vault, or on it beyond the one who sets the bags down."),
            say("Catch-props stand a hand's breadth under the vault, touching nothing."),
            say("A licensed engineer sets the load, watches the test and signs the sheet."),
        ),
    )


def _gauges(vault: Surface) -> tuple[Message, ...]:
    """What is read besides time and bags: where a vault of this family moves first."""
    if isinstance(vault, Barrel):
        return (
            say("Crown, gauge at near end, middle and far end"),
            say("Quarter points, left and right"),
            say("Left wall and right wall, out of plumb"),
        )
    if isinstance(vault, Dome):
        upright = say("Drum at four places, out of plumb")
    elif vault.on_corners:
        upright = say("Piers A, B, C, D, out of plumb")
    else:
        upright = say("Walls on all sides, out of plumb")
    return say("Crown, gauge"), say("Half way up, on all four sides"), upright


def _steps(job: Job, bags: int, area: float, *, spanning: bool) -> list[TestStep]:
    """spanning: from wall to wall, as a barrel does; else on all sides."""
    whole, part = (
        (
            say("Whole span, from both springings to the crown, both sides alike"),
            say("Left half only, from the springing to the crown"),
        )
        if spanning
        else (
            say("Whole vault, from the springings to the crown, all sides alike"),
            say("Left half only, all that lies nearer to wall DA, from the springing to the crown"),
        )
    )
    stated = job.load_test
    weight = stated.bag * GRAVITY
    steps = []
    for k in range(1, stated.steps + 1):
        on = math.ceil(bags * k / stated.steps - 1e-9)
        last = k == stated.steps
        wait = stated.wait_full if last else stated.wait_step
        steps.append(TestStep(k, whole, on, on * weight / area, wait))
    off = say("All off, crown first; read at once and after the wait")
    steps.append(TestStep(stated.steps + 1, off, 0, 0.0, stated.wait_full))
    half = math.ceil(bags / 2)
    for k in (1, 2):
        on = math.ceil(half * k / 2)
        wait = stated.wait_full if k == 2 else stated.wait_step
        steps.append(TestStep(stated.steps + 1 + k, part, on, on * weight / (area / 2), wait))
    steps.append(TestStep(stated.steps + 4, off, 0, 0.0, stated.wait_full))
    return steps


def _criteria(job: Job) -> tuple[Criterion, ...]:
    stated = job.load_test
    return (
        Criterion(
            say("Stop and unload: the crown drops by {most:length}.", most=stated.drop_most),
            cite("common practice, no source"),
            True,
        ),
        Criterion(
            say("Stop and unload: a new crack, a tile that sounds hollow, a tie that slackens."),
            cite("common practice, no source"),
            True,
        ),
        Criterion(
            say("Stop and unload: the movement does not come to rest within the wait."),
            cite("common practice, no source"),
            True,
        ),
        Criterion(
            say(
                "Passed: {share:percent} of the movement has come back after {wait:hours} without "
                "load.",
                share=stated.recovery,
                wait=stated.wait_full,
            ),
            cite("common practice, from memory"),
            False,
        ),
    )


def recovered(loaded: float, unloaded: float) -> float:
    """Share of a movement that has come back: reading under load and after unloading, both from
    the reading before the test. 1 when nothing moved."""
    return 1.0 if loaded == 0 else 1.0 - unloaded / loaded


def load_test_checks(
    job: Job, plan: LoadTestPlan | None, statics: Statics | None
) -> tuple[Check, ...]:
    """May the vault be tested at all: does the plan give it the load factor under the test load?"""
    if plan is None or statics is None:
        return ()
    factors = [
        p.static
        for station in statics.stations
        for p in station.answer.patterns
        if p.kind in ("full", "half")
    ]
    return (_safe(job, factors),)


def net_test_checks(
    job: Job, plan: LoadTestPlan | None, proof: NetProof | None
) -> tuple[Check, ...]:
    """The same of a vault that is proved by a net: under every pattern of the imposed load."""
    if plan is None or proof is None:
        return ()
    return (_safe(job, [factor.static for factor in proof.factors]),)


def _safe(job: Job, factors: list[float]) -> Check:
    """The least load factor over the test's share of the imposed load."""
    worst = min(factors) / job.load_test.share if factors else None
    reason = (
        say("The vault has no thrust line: it may not be tested.")
        if worst is None
        else say(
            "The least load factor of the plan, full or half span, over the test's share of the "
            "imposed load."
        )
    )
    return judge(
        "site.load-test.safe",
        say("Load factor under the test load"),
        worst,
        job.loads.factors.load_factor_least,
        kind="ratio",
        reason=reason,
        source="loads.factors.load_factor_least",
    )
