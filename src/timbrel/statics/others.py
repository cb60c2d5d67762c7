"""Snow, wind, water in the fill and a level acceleration, on a strip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.floor import Floor
from timbrel.statics.strip import Array, Strip, StripLoad
from timbrel.words import say

OtherKind = Literal["snow", "wind", "water", "level"]


@dataclass(frozen=True)
class Other:
    """One action that is neither permanent nor imposed."""

    kind: OtherKind
    load: StripLoad


def other_actions(
    loads: Loads, strip: Strip, floor: Floor, permanent: tuple[StripLoad, ...]
) -> tuple[Other, ...]:
    """What the job states of them, on one strip."""
    found: list[Other] = []
    if loads.snow:
        down = floor.pressed(loads.snow, *floor.whole)
        found.append(Other("snow", StripLoad("snow", say("Snow"), *down)))
    if loads.wind_left is not None or loads.wind_right is not None:
        push = _wind(strip, floor.middle, loads.wind_left or 0.0, loads.wind_right or 0.0)
        found.append(Other("wind", StripLoad("wind", say("Wind"), *push)))
    water = _water(loads, floor)
    if water is not None:
        found.append(Other("water", water))
    if loads.horizontal > 0:
        for key, title, way in (
            ("level.right", say("Level acceleration to the right"), 1.0),
            ("level.left", say("Level acceleration to the left"), -1.0),
        ):
            found.append(
                Other(
                    "level", StripLoad(key, title, *level_push(permanent, way * loads.horizontal))
                )
            )
    return tuple(found)


def _wind(strip: Strip, middle: float, left: float, right: float) -> tuple[Array, Array]:
    """Pressure square to the extrados, by halves."""
    outer = strip.shell_outer
    run = np.diff(outer, axis=0)
    at = (outer[1:] + outer[:-1]) / 2
    pressure = np.where(at[:, 0] < middle, left, right)
    inward = np.column_stack([run[:, 1], -run[:, 0]])
    return pressure[:, None] * inward, at


def _water(loads: Loads, floor: Floor) -> StripLoad | None:
    """What the fill weighs more when it is full of water."""
    fill = loads.fill
    if fill.saturated is None or fill.kind in ("none", "sleeper walls"):
        return None
    wet, dry = floor.fill(fill.saturated), floor.fill()
    force = wet.force - dry.force
    moment = wet.force[:, 1] * wet.at[:, 0] - dry.force[:, 1] * dry.at[:, 0]
    at = wet.at.copy()
    heavier = np.abs(force[:, 1]) > 1e-9
    at[heavier, 0] = moment[heavier] / force[heavier, 1]
    return StripLoad("water", say("Water in the fill"), force, at)


def level_push(permanent: tuple[StripLoad, ...], share: float) -> tuple[Array, Array]:
    """A level force on every voussoir, a share of its weight, at the middle of its weight."""
    weight = np.sum([-p.force[:, 1] for p in permanent], axis=0)
    moment = np.sum([-p.force[:, 1][:, None] * p.at for p in permanent], axis=0)
    at = moment / np.maximum(weight, 1e-12)[:, None]
    return np.column_stack([share * weight, np.zeros(len(weight))]), at
