"""Piers under a vault's corners, under every combination: cracked, crushing, ground.

The vault's force acts over the middle of its pier and pushes along any direction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.statics.combinations import Situation
from timbrel.statics.cracked_pier import PierLoads, Shaft, pier_factor
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Array
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.wall_en1996 import Strength, wall_strength
from timbrel.verdict import Check, judge
from timbrel.words import Message, say


@dataclass(frozen=True)
class PierPush:
    """A combination at one pier. key, situation: its own. dead: its factor on the pier's weight.
    force: (3,) N of the vault, factored."""

    key: str
    situation: Situation
    dead: float
    force: Array


@dataclass(frozen=True)
class CarriedPier:
    """A pier under every combination.

    overturning: multiple of the push that the cracked pier bears under EQU. crushing, bearing:
    share of the resistance used (None: not stated). sliding: friction over push on the ground.
    """

    corner: str
    side: float
    height: float
    strength: Strength | None
    overturning: Governed
    crushing: Governed | None
    bearing: Governed | None
    sliding: Governed
    checks: tuple[Check, ...]


def carried_pier(
    job: Job, wall: Wall, corner: str, side: str, pushes: tuple[PierPush, ...]
) -> CarriedPier | None:
    """A pier whose side and height are known; None without them or without pushes."""
    if wall.pier is None or wall.height is None or not pushes:
        return None
    strength = wall_strength(wall.masonry, job.loads.national)
    ultimate = [p for p in pushes if p.situation == "STR"]
    over = _least([(pier_multiple(wall, p), p.key) for p in pushes if p.situation == "EQU"])
    crushing = None
    if strength is not None:
        crushing = _most([(_crushed(wall, p, strength.design), p.key) for p in ultimate])
    ground = [(*_on_ground(wall, p), p.key) for p in ultimate]
    bearing = None
    if wall.ground.bearing is not None:
        limit = wall.ground.bearing
        bearing = _most([(pressure / limit, key) for pressure, _, key in ground])
    sliding = _least([(factor, key) for _, factor, key in ground])
    values = {"crushing": crushing, "bearing": bearing}
    checks = _checks(corner, side, over, values, sliding)
    return CarriedPier(
        corner, wall.pier, wall.height, strength, over, crushing, bearing, sliding, checks
    )


def pier_multiple(wall: Wall, push: PierPush) -> float:
    """Multiple of a push that the cracked pier bears."""
    assert wall.pier is not None and wall.height is not None
    weight = wall.density * GRAVITY * push.dead
    over = weight * wall.pier**2 * wall.above
    loads = PierLoads(over - float(push.force[2]), np.asarray(push.force[:2], float))
    return pier_factor(Shaft(wall.pier, wall.height, weight), loads)


def _base(wall: Wall, push: PierPush) -> tuple[float, Array]:
    """Normal force (N) and moments (2,) about the middle at the pier's base, nothing cracked."""
    assert wall.pier is not None and wall.height is not None
    weight = wall.density * GRAVITY * push.dead * wall.pier**2 * (wall.height + wall.above)
    return weight - float(push.force[2]), np.asarray(push.force[:2], float) * wall.height


def _crushed(wall: Wall, push: PierPush, design: float) -> float:
    """Share of the block of stress used at the base: its middle lies on the resultant."""
    assert wall.pier is not None
    normal, moments = _base(wall, push)
    block = np.maximum(wall.pier - 2 * np.abs(moments) / normal, 0.0)
    area = float(block[0] * block[1])
    return normal / (area * design) if area > 0 else np.inf


def _on_ground(wall: Wall, push: PierPush) -> tuple[float, float]:
    """Pressure (N/m2) on the part of the footing centred on the load, and factor against sliding.

    The footing is as much wider than the pier as that of the wall is than the wall.
    """
    assert wall.pier is not None
    ground = wall.ground
    wider = 0.0
    if ground.footing is not None and wall.thickness is not None:
        wider = ground.footing - wall.thickness
    width = max(wall.pier + wider, wall.pier)
    normal, moments = _base(wall, push)
    level = np.asarray(push.force[:2], float)
    total = normal + push.dead * ground.density * GRAVITY * width**2 * ground.depth
    away = np.abs(moments + level * ground.depth) / total
    sides = np.maximum(width - 2 * away, 0.0)
    area = float(sides[0] * sides[1])
    pushed = float(np.hypot(*level))
    return (
        total / area if area > 0 else np.inf,
        ground.friction * total / pushed if pushed > 0 else np.inf,
    )


def _least(found: list[tuple[float, str]]) -> Governed:
    value, key = min(found)
    return Governed(value, key, "least")


def _most(found: list[tuple[float, str]]) -> Governed:
    value, key = max(found)
    return Governed(value, key, "least")


def _checks(
    corner: str,
    side: str,
    over: Governed,
    values: dict[str, Governed | None],
    sliding: Governed,
) -> tuple[Check, ...]:
    strength = say(
        "The job states neither {wall}.masonry.strength nor unit and mortar.", wall=f"walls.{side}"
    )
    ground = say("The job does not state {keys}.", keys=f"walls.{side}.ground.bearing")
    shares = (
        ("crushing", say("Pier {corner}: crushing at its base, share used", corner=corner),
         "EN 1996-1-1 6.1.1, stress block about both middle lines", strength),
        ("bearing", say("Pier {corner}: bearing of the ground, share used", corner=corner),
         "Meyerhof 1953, effective width both ways; EN 1997-1 annex D", ground),
    )  # fmt: skip
    return (
        judge(
            f"supports.pier.{corner}.overturning",
            say("Pier {corner}: cracked, against overturning (EQU)", corner=corner),
            over.value,
            1.0,
            kind="ratio",
            reason=_by(over),
            source="EN 1990 table A1.2(A); cracked pier, derived",
        ),
        *(
            judge(
                f"supports.pier.{corner}.{name}",
                title,
                None if value is None else value.value,
                1.0,
                kind="percent",
                at_least=False,
                reason=missing if value is None else _by(value),
                source=source,
            )
            for name, title, source, missing in shares
            for value in (values[name],)
        ),
        judge(
            f"supports.pier.{corner}.ground_sliding",
            say("Pier {corner}: sliding on the ground", corner=corner),
            sliding.value,
            1.0,
            kind="ratio",
            reason=_by(sliding),
            source="EN 1997-1 6.5.3",
        ),
    )


def _by(found: Governed) -> Message:
    return say(
        "Governed by {combination}, {bound}.",
        combination=found.combination,
        bound=say("least thrust"),
    )
