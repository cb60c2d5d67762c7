"""What carries the vault: every combination followed from the strip into walls, ties and ground."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.along import SpringingThrust, springing_thrusts
from timbrel.statics.backing_checks import backing_checks
from timbrel.statics.carried_length import wall_length
from timbrel.statics.corner_piers import pier_profile, pier_wall
from timbrel.statics.envelope import Envelope, envelope
from timbrel.statics.level_push import LevelShares, level_shares
from timbrel.statics.notes import Note
from timbrel.statics.proof import SIDES, Statics
from timbrel.statics.pushes import Pushes, gather
from timbrel.statics.sliding import friction_needed, sliding_check
from timbrel.statics.spread import Moved, after_movement, greatest_spread
from timbrel.statics.station import Station
from timbrel.statics.support_checks import SupportAnswer, support_answer
from timbrel.statics.support_notes import load_path_notes
from timbrel.statics.supports import wall_profile
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.tie_checks import tie_checks
from timbrel.statics.ties import TieAnswer, refuse_unmade, tie_answer
from timbrel.statics.untied_walls import untied_walls
from timbrel.statics.walls import Side, WallFrame, missing_data, wall_frame
from timbrel.verdict import Check, Verdict, judge
from timbrel.words import Progress, say, silent

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

FARTHEST = 0.3  # spread up to which the vault is followed, m


@dataclass(frozen=True)
class Carrying:
    """The load path at the station of greatest thrust.

    v: station. envelope: all combinations. friction: least that leaves a line under what governs.
    supports: left and right and their corner piers, those whose data are known.
    tie: None without ties. moved: after the stated spread and settlement; None when the parts do
    not reach. spread_most: greatest spread that leaves a thrust line, m. level: shares of weight
    borne level. along: thrust at even stations of both springings. notes: the calculation, step by
    step. checks: all verdicts.
    """

    v: float
    envelope: Envelope
    friction: float | None
    supports: tuple[SupportAnswer, ...]
    tie: TieAnswer | None
    moved: Moved | None
    spread_most: float | None
    level: LevelShares
    along: tuple[SpringingThrust, ...]
    notes: tuple[Note, ...]
    checks: tuple[Check, ...]


def carry(job: Job, vault: Barrel, statics: Statics, progress: Progress = silent) -> Carrying:
    """Follow every combination into the walls, the ties and the ground.

    statics: the proof of the same job. Raises TimbrelError when the data of a wall or tie
    contradict each other.
    """
    station = pushing_hardest(statics)
    if job.walls.ties is not None:
        refuse_unmade(job.walls.ties)
    progress(say("Every combination of loads"), 0.0)
    every = envelope(station.actions, job.loads)
    progress(say("Walls, ties and ground"), 0.6)
    frames = {side: wall_frame(vault, station.v, side) for side in SIDES}
    pushes = {
        side: gather(every, frames[side], job.walls.ties, job.loads.horizontal) for side in SIDES
    }
    supports, checks = _supports(job, vault, station, pushes, frames)
    tie = _tie(job, station, pushes["left"])
    moved, farthest = _movement(job, station)
    level = level_shares(station.actions)
    friction = _friction(station, every)
    checks = [_combinations(every), *_sliding(job, every, friction), *checks]
    checks += backing_checks(job, station.actions, every)
    alone = None
    if tie is not None and job.walls.ties is not None and job.walls.ties.stay == "for good":
        alone = untied_walls(job, vault, pushes)
    checks += tie_checks(job, tie, supports, alone)
    checks += [_spread(job, moved, farthest), _level(job, level)]
    notes = load_path_notes(job, station, every, friction, supports, tie, moved)
    progress(say("Walls, ties and ground"), 1.0)
    return Carrying(
        station.v,
        every,
        friction,
        supports,
        tie,
        moved,
        farthest,
        level,
        springing_thrusts(job, vault),
        notes,
        tuple(checks),
    )


def pushing_hardest(statics: Statics) -> Station:
    """The station of greatest thrust; the worst one when none is known."""
    with_forces = [s for s in statics.stations if s.forces]
    if not with_forces:
        return statics.worst
    return max(with_forces, key=lambda s: max(c.force.level for c in s.forces))


def springing_width(job: Job, station: Station, side: Side) -> float:
    """Width of the springing's bearing on the wall, m: its joint seen from above, or its seat."""
    strip = station.actions.strip
    joint = 0 if side == "left" else -1
    across = abs(float(strip.shell_outer[joint, 0] - strip.inner[joint, 0]))
    return max(across, job.seat.depth)


def _supports(
    job: Job,
    vault: Barrel,
    station: Station,
    pushes: dict[Side, Pushes],
    frames: dict[Side, WallFrame],
) -> tuple[tuple[SupportAnswer, ...], list[Check]]:
    found: list[SupportAnswer] = []
    checks: list[Check] = []
    for side in SIDES:
        wall = getattr(job.walls, side)
        reason = missing_data(wall, side)
        if reason is None and not pushes[side].keys:
            reason = say("The vault has no thrust line, so its thrust is not known.")
        if reason is not None:
            where = say("Left support") if side == "left" else say("Right support")
            checks.append(
                judge(
                    f"supports.{side}.overturning",
                    say("{where}: cracked, against overturning (EQU)", where=where),
                    None,
                    1.0,
                    kind="ratio",
                    reason=reason,
                    source="EN 1990 table A1.2(A)",
                )
            )
            continue
        profile = wall_profile(wall, side, wall_length(vault, side))
        answer = support_answer(
            job, wall, side, profile, pushes[side], springing_width(job, station, side)
        )
        found.append(answer)
        checks += answer.checks
        if wall.pier is not None:
            pier = support_answer(
                job,
                pier_wall(wall),
                side,
                pier_profile(wall, side, wall_length(vault, side)),
                pushes[side],
                springing_width(job, station, side),
                pier=True,
            )
            found.append(pier)
            checks += pier.checks
    return tuple(found), checks


def _tie(job: Job, station: Station, pushes: Pushes) -> TieAnswer | None:
    ties = job.walls.ties
    if ties is None or not pushes.keys:
        return None
    strength = pushes.of("STR", "accidental")
    service = pushes.of("characteristic")
    if ties.stay == "until cured":
        # Until the mortar has cured it holds the vault's own weight and nothing walks on it.
        service = np.array([i for i in service if pushes.keys[i].endswith("dead")])
        strength = np.array([i for i in strength if pushes.keys[i].endswith("dead")])
    line = station.answer.least_thrust
    rise = 0.0 if line is None else float(np.ptp(line.line.points[:, 1]))
    thickness = sum(w.thickness or 0.0 for w in (job.walls.left, job.walls.right))
    return tie_answer(
        ties,
        job.loads.national,
        design=float(pushes.push.level[strength].max()),
        service=float(pushes.push.level[service].max()),
        length=station.actions.strip.span + thickness,
        rise=rise,
    )


def _movement(job: Job, station: Station) -> tuple[Moved | None, float | None]:
    """The vault after the stated movement, and the greatest spread. Hinges do not crush."""
    acts, loads = station.actions, job.loads
    strip = replace(acts.strip, crushing=None)
    nothing = np.zeros((0, strip.voussoirs, 3))
    least = ThrustProgram(strip, acts.dead, nothing).least_thrust()
    if least is None or not station.answer.stands:
        return None, None
    moved = after_movement(strip, acts.permanent, least.line, loads.spread, -loads.settlement)
    return moved, greatest_spread(strip, acts.permanent, least.line, FARTHEST)


def _combinations(every: Envelope) -> Check:
    title = say("Thickness over least thickness, worst combination of loads")
    if every.governing is None:
        value, reason = 0.0, say("Under some combination joints slide at any thickness.")
        source = "EN 1990 6.4.3"
    else:
        governing = every.governing
        value, source = 1 / governing.share, governing.source
        reason = say("Governed by {combination}.", combination=governing.key)
        if every.fallen:
            keys = ", ".join(r.combination.key for r in every.fallen[:3])
            reason = say("There is no thrust line under {combinations}.", combinations=keys)
            value = min(value, 0.999)
    return judge(
        "supports.combinations", title, value, 1.0, kind="ratio", reason=reason, source=source
    )


def _friction(station: Station, every: Envelope) -> float | None:
    """Least friction under the combination that governs the vault."""
    key = every.governing.key if every.governing else None
    found = next((r.combination for r in every.rows if r.combination.key == key), None)
    return None if found is None else friction_needed(station.actions, found)


def _sliding(job: Job, every: Envelope, needed: float | None) -> tuple[Check, ...]:
    """Nothing to add where some combination has no line at any thickness."""
    if every.governing is None:
        return ()
    return (sliding_check(job, needed, every.governing.key),)


def _spread(job: Job, moved: Moved | None, farthest: float | None) -> Check:
    title = say("Spread of the springings that leaves a thrust line")
    if farthest is None:
        reason = say("The vault has no thrust line.")
    elif moved is None or moved.least is None:
        reason = say("At the stated spread and settlement no thrust line is left.")
        farthest = min(farthest, job.loads.spread * 0.999)
    else:
        reason = say(
            "At a spread of {spread:length} the crown drops {drop:length} and the least thrust is "
            "{thrust:line_load}.",
            spread=job.loads.spread,
            drop=moved.drop,
            thrust=moved.least,
        )
    return judge(
        "supports.spread",
        title,
        farthest,
        job.loads.spread,
        kind="length",
        reason=reason,
        source="three hinges, rigid parts (derived); limit loads.spread",
    )


def _level(job: Job, level: LevelShares) -> Check:
    title = say("Level acceleration borne, share of weight")
    wanted = job.loads.horizontal
    if level.least is None:
        reason = say("The vault has no thrust line.")
    elif wanted > 0:
        reason = say(
            "Least of four directions, of the vault alone. Its push and that of their own weight go "
            "into the checks of the walls, across the vault; along it they are not looked at."
        )
    else:
        reason = say("The job asks for none (loads.horizontal is 0); told for information.")
    return judge(
        "supports.level",
        title,
        level.least,
        wanted,
        kind="percent",
        reason=reason,
        source="mechanism of four hinges, Heyman 1966; friction along the axis",
    )


def fails(carrying: Carrying, side: Side) -> bool:
    """Does any check of one support fail."""
    return any(
        c.verdict is Verdict.FAILS and c.name.startswith(f"supports.{side}.")
        for c in carrying.checks
    )
