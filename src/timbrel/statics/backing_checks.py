"""Verdicts on what backs the haunches: is it pressed within its strength, and does it lean on walls
that stand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import StripActions
from timbrel.statics.combinations import variable_loads
from timbrel.statics.envelope import Envelope
from timbrel.statics.strip import Array, Strip, ThrustLine
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.verdict import Check, judge
from timbrel.words import say

WEAK, STRONG = 1e3, 1e9  # N/m2, between which the strength is looked for
CLOSE = 0.02
ROUNDS = 6


def needed_strength(strip: Strip, loads: Array) -> float | None:
    """Least strength of the backing (N/m2) with which a strip carries loads ((n, 3) wrenches).

    A line in the backing keeps half the depth of its block of stress, N / (2 f), off the far face;
    joints are cut short by that under the greatest normal force, and the line looked for afresh.
    Found by halving on the logarithm, on the safe side; None when no strength would do.
    """
    if _line(strip, loads, STRONG) is None:
        return None
    low, high = WEAK, STRONG
    while high / low > 1 + CLOSE:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if _line(strip, loads, middle) else (middle, high)
    return high


def _line(strip: Strip, loads: Array, strength: float) -> ThrustLine | None:
    """A line that leaves room for its block in the backing, whatever its normal force."""
    assert strip.backing is not None
    nothing = np.zeros((0, strip.voussoirs, 3))
    most = 0.0
    for _ in range(ROUNDS):
        kept = np.maximum(strip.backing - most / (2 * strength), 0.0)
        outer = strip.shell_outer + strip.along * kept[:, None]
        found = ThrustProgram(
            replace(strip, outer=outer, backing=kept), loads, nothing
        ).least_thrust()
        if found is None:
            return None
        normal = float(found.line.normal[strip.backing > 0].max(initial=0.0))
        if normal <= most:
            return found.line
        most = normal * (1 + CLOSE)
    return None


def backing_checks(job: Job, acts: StripActions, every: Envelope) -> tuple[Check, ...]:
    """Nothing without backing, or where no combination governs."""
    stated, strip = job.loads.fill.backing, acts.strip
    if stated is None or strip.backing is None or every.governing is None:
        return ()
    row = next(r for r in every.rows if r.combination.key == every.governing.key)
    loads = row.combination.dead * acts.dead
    loads = loads + np.tensordot(row.combination.factors, variable_loads(acts), axes=1)
    stress = needed_strength(strip, loads)
    if stress is None:
        reason = say("Under {combination} no line is left.", combination=every.governing.key)
    else:
        reason = say(
            "Needed for a line under {combination}. It must be solid masonry in mortar, bonded to "
            "the vault.",
            combination=every.governing.key,
        )
    found = [
        judge(
            "supports.backing",
            say("Backing of the haunches: strength needed"),
            math.inf if stress is None else stress,
            stated.strength,
            kind="stress",
            reason=reason,
            source="stress block, EN 1996-1-1 6.1.1; loads.fill.backing.strength",
            at_least=False,
        )
    ]
    if stated.against_walls:
        found += _walls(job, strip)
    return tuple(found)


def _walls(job: Job, strip: Strip) -> list[Check]:
    """Walls that the backing leans on must be as strong as it, and go up at least as high."""
    found = []
    for side, title in (
        ("left", say("Left wall over the springing, against the backing: strength")),
        ("right", say("Right wall over the springing, against the backing: strength")),
    ):
        wall = getattr(job.walls, side)
        half = len(strip.inner) // 2
        leaned = strip.backing is not None and wall.thickness is not None
        reach = strip.outer[:half, 0] if side == "left" else -strip.outer[half:, 0]
        face = strip.shell_outer[0, 0] if side == "left" else -strip.shell_outer[-1, 0]
        if not leaned or not (reach < face - 1e-6).any():
            continue
        masonry = wall_strength(wall.masonry, job.loads.national)
        strength = None if masonry is None else masonry.design
        found.append(
            judge(
                f"supports.{side}.backed",
                title,
                strength,
                job.loads.fill.backing.strength if job.loads.fill.backing else None,
                kind="stress",
                reason=say("The thrust may run on through the backing into this wall.")
                if strength is not None
                else say(
                    "The job states neither walls.{side}.masonry.strength nor unit and mortar.",
                    side=side,
                ),
                source="EN 1996-1-1 2.4.1; at least loads.fill.backing.strength",
            )
        )
    return found
