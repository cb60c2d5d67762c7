"""The level budget: what must fit between the floor below and the floor or roof above.

All levels stand above one datum. The springings are where the room was measured; the rise is what
the mason can still choose, so the budget also says which rise would fit.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.barrel import Barrel
from timbrel.shape.crossed import CrossedVault
from timbrel.shape.curves import rise_range
from timbrel.shape.dome import Dome
from timbrel.shape.flight import Flight
from timbrel.shape.planecurve import Array
from timbrel.shape.surface import Surface
from timbrel.shape.vault import shape_vault
from timbrel.verdict import Check, judge
from timbrel.words import Message, TimbrelError, say

STATIONS = (0.0, 0.5, 1.0)
"""Where the lowest crown is sought along the axis; the highest stands at an end, because a point
of the ruled surface climbs evenly from end to end."""

ENOUGH = 1e-5
"""A rise is found to this, m."""
SOUGHT = 33
"""Points each way among which the crown of a sail is sought, three times ever closer."""
HALVINGS = 12
"""The greatest rise that a family accepts is found to this part of the curve's own range."""


@dataclass(frozen=True)
class LevelLine:
    """One level of the budget. name: stable key. level: above the datum, m."""

    name: str
    title: Message
    level: float


@dataclass(frozen=True)
class LevelBudget:
    """Levels from the floor below to the floor or roof above, bottom to top.

    spare: what is left over of the tightest requirement, m (negative: what is short).
    least_rise, greatest_rise: rises of the curve that fit, m; None when the curve has no rise to
    choose; least over greatest when no rise fits. summary: whether it fits, in one sentence.
    """

    lines: tuple[LevelLine, ...]
    spare: float
    least_rise: float | None
    greatest_rise: float | None
    summary: Message
    checks: tuple[Check, ...]

    def level(self, name: str) -> float:
        """The level of a named line. Raises KeyError."""
        return {line.name: line.level for line in self.lines}[name]


@dataclass(frozen=True)
class Crowns:
    """Heights of a vault that the budget asks for, m above the datum.

    springing: lowest intrados springing. low, high: lowest and highest intrados crown along the
    axis. tops: highest crown of each layer's upper face.
    """

    springing: float
    low: float
    high: float
    tops: tuple[float, ...]


def level_budget(job: Job, vault: Surface) -> LevelBudget:
    """Levels of the vault against the heights that the job asks for."""
    crowns = crowns_of(vault)
    lines = _lines(job, crowns)
    stated = job.levels
    finish = lines["finish"].level
    needs = [
        (crowns.springing - stated.floor_below, stated.headroom_springing),
        (crowns.low - stated.floor_below, stated.headroom_crown),
    ]
    spare = min(have - want for have, want in needs)
    if stated.top is not None:
        spare = min(spare, stated.top - finish)
    rises = rises_that_fit(job, vault)
    return LevelBudget(
        lines=tuple(sorted(lines.values(), key=lambda line: line.level)),
        spare=spare,
        least_rise=None if rises is None else rises[0],
        greatest_rise=None if rises is None else rises[1],
        summary=_summary(spare, rises),
        checks=_checks(job, crowns, finish, rises),
    )


def crowns_of(vault: Surface) -> Crowns:
    """Springing and crown levels of a vault of any family."""
    return Crowns(
        springing=_lowest_springing(vault),
        low=lowest_crown(vault),
        high=highest_crown(vault, 0.0),
        tops=tuple(highest_crown(vault, place.outer) for place in vault.layers),
    )


def _lowest_springing(vault: Surface) -> float:
    """Lowest point of the intrados on its seats: springing lines, or the feet of wall arches."""
    if isinstance(vault, Barrel):
        ends = vault.surface.point(np.array([0.0, 1.0, 0.0, 1.0]), np.array([0.0, 0.0, 1.0, 1.0]))
        return float(np.min(ends[:, 2]))
    seats = [e.points for e in vault.edges if e.kind in ("springing", "wall arch")]
    return float(np.min(np.concatenate(seats)[:, 2]))


def lowest_crown(vault: Surface) -> float:
    """Lowest crown of the intrados, above the datum: along the axis of a barrel, else its top."""
    if isinstance(vault, Barrel):
        return float(np.min(_crowns(vault, STATIONS, 0.0)))
    return _top(vault, 0.0)


def highest_crown(vault: Surface, offset: float) -> float:
    """Highest level of the surface at an offset, above the datum."""
    if isinstance(vault, Barrel):
        return float(np.max(_crowns(vault, STATIONS[::2], offset)))
    return _top(vault, offset)


def _top(vault: Surface, offset: float) -> float:
    """Top of a vault over a whole plan: its middle, the rim of an oculus, or where a sail is
    highest."""
    if isinstance(vault, Dome):
        if vault.oculus:
            return float(vault.rings(1.0, offset).level)
        return float(vault.height(vault.centre[0], vault.centre[1], offset)[0])
    if isinstance(vault, CrossedVault):
        return float(vault.height(vault.plan.middle[0], vault.plan.middle[1], offset)[0])
    low, high, top = np.zeros(2), np.ones(2), -np.inf
    for _ in range(3):
        u, v = (np.linspace(a, b, SOUGHT) for a, b in zip(low, high, strict=True))
        z = vault.webs[0].point(u[:, None], v[None, :], offset)[..., 2]
        best = np.unravel_index(int(np.argmax(z)), z.shape)
        at = np.array([u[best[0]], v[best[1]]])
        step = (high - low) / (SOUGHT - 1)
        low, high, top = np.maximum(at - step, 0.0), np.minimum(at + step, 1.0), float(z[best])
    return top


def _crowns(vault: Barrel, stations: tuple[float, ...], offset: float) -> Array:
    """Highest level at each station: sought coarsely, then about the best found."""
    v = np.array(stations)
    corners = vault.surface.breaks[1:-1]
    low, high = 0.0, 1.0
    for _ in range(2):
        u = np.union1d(np.linspace(low, high, 33), corners[(corners > low) & (corners < high)])
        z = vault.point(u[:, None], v[None, :], offset)[..., 2]
        best = np.argmax(z, axis=0)
        low = float(u[max(int(np.min(best)) - 1, 0)])
        high = float(u[min(int(np.max(best)) + 1, len(u) - 1)])
    return np.asarray(np.max(z, axis=0))


def rises_that_fit(job: Job, vault: Surface) -> tuple[float, float] | None:
    """Least and greatest rise that keep the headroom and the top; least over greatest: none does.

    The crown rises very nearly by as much as the rise, so a secant on the vault itself is exact
    after a few steps. None when the curve leaves no rise to choose (a semicircle), or when the rise
    does not move the top (a flight ends at its upper landing).
    """
    if job.curve.rise is None or isinstance(vault, Flight):
        return None
    least, most = _range(job, vault)
    levels = job.levels
    crown = levels.floor_below + levels.headroom_crown
    lowest = max(least, _rise_where(job, vault, lowest_crown, crown, (least, most)))
    if levels.top is None:
        return lowest, most
    top = levels.top - levels.crown_cover - levels.finish
    extrados = partial(highest_crown, offset=vault.thickness)
    return lowest, min(most, _rise_where(job, vault, extrados, top, (least, most)))


def _range(job: Job, vault: Surface) -> tuple[float, float]:
    """Least and greatest rise of the curve that this family accepts over this plan."""
    assert job.curve.rise is not None
    if isinstance(vault, Dome):
        span = vault.base.span
    else:
        A, B = np.asarray(vault.room.corners, float)[:2]
        span = float(np.linalg.norm(B - A))
    least, most = rise_range(job.curve.directrix, span)
    if isinstance(vault, Barrel) or _accepted(job, vault, most):
        return least, most
    low, high = job.curve.rise, most
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _accepted(job, vault, middle) else (low, middle)
    return least, low


def _accepted(job: Job, vault: Surface, rise: float) -> bool:
    try:
        _with_rise(job, vault, rise)
    except TimbrelError:
        return False
    return True


def _rise_where(
    job: Job,
    vault: Surface,
    crown: Callable[[Surface], float],
    wanted: float,
    allowed: tuple[float, float],
) -> float:
    """The rise that brings a crown to the wanted level; carried on straight beyond the curve."""
    assert job.curve.rise is not None
    rise, level, slope = job.curve.rise, crown(vault), 1.0
    for _ in range(6):
        step = (wanted - level) / slope
        trial = float(np.clip(rise + step, *allowed))
        if abs(step) < ENOUGH or trial == rise:
            break
        try:
            there = crown(_with_rise(job, vault, trial))
        except TimbrelError:
            break  # the far end or the shell's thickness does not allow what the near end does
        slope = (there - level) / (trial - rise)
        rise, level = trial, there
    return rise + (wanted - level) / slope


def _with_rise(job: Job, vault: Surface, rise: float) -> Surface:
    curve = job.curve.model_copy(update={"rise": rise})
    risen: Surface = shape_vault(job.model_copy(update={"curve": curve}), vault.room)
    return risen


def _lines(job: Job, crowns: Crowns) -> dict[str, LevelLine]:
    stated = job.levels
    cover = crowns.tops[-1] + stated.crown_cover
    floor = stated.floor_below
    lines = [
        LevelLine("floor", say("Finished floor below"), floor),
        LevelLine(
            "headroom_springing",
            say("Headroom wanted under the springing"),
            floor + stated.headroom_springing,
        ),
        LevelLine("springing", say("Lowest springing of the intrados"), crowns.springing),
        LevelLine(
            "headroom_crown", say("Headroom wanted at the crown"), floor + stated.headroom_crown
        ),
        LevelLine("crown_low", say("Lowest crown of the intrados"), crowns.low),
        LevelLine("crown", say("Highest crown of the intrados"), crowns.high),
        *(
            LevelLine(f"layer_{n}", say("Top of layer {number:count}, with its bed", number=n), top)
            for n, top in enumerate(crowns.tops, 1)
        ),
        LevelLine("cover", say("Top of the crown cover"), cover),
        LevelLine("finish", say("Finished floor or roof"), cover + stated.finish),
    ]
    if stated.top is not None:
        lines.append(LevelLine("top", say("Level not to be exceeded"), stated.top))
    return {line.name: line for line in lines}


def _summary(spare: float, rises: tuple[float, float] | None) -> Message:
    if rises is None:
        if spare >= 0:
            return say("It fits with {spare:length} to spare.", spare=spare)
        return say(
            "It is {short:length} short, and this curve leaves no rise to choose: choose another "
            "curve or move the springings.",
            short=-spare,
        )
    least, greatest = rises
    if least > greatest:
        return say(
            "No rise fits: the headroom wants {least:length} at least, the top leaves "
            "{greatest:length} at most.",
            least=least,
            greatest=greatest,
        )
    if spare >= 0:
        return say(
            "It fits with {spare:length} to spare; rises from {least:length} to {greatest:length} "
            "fit.",
            spare=spare,
            least=least,
            greatest=greatest,
        )
    return say(
        "It is {short:length} short; rises from {least:length} to {greatest:length} fit between "
        "crown and top.",
        short=-spare,
        least=least,
        greatest=greatest,
    )


def _checks(
    job: Job, crowns: Crowns, finish: float, rises: tuple[float, float] | None
) -> tuple[Check, ...]:
    stated = job.levels
    source = "the job's level budget; all levels above one datum"
    checks = [
        judge(
            "levels.springing",
            say("Headroom under the springing"),
            crowns.springing - stated.floor_below,
            stated.headroom_springing,
            kind="length",
            reason=say(
                "From the floor below to the lowest springing of the intrados; the springings are "
                "where the room was measured."
            ),
            source=source,
        ),
        judge(
            "levels.crown",
            say("Headroom at the crown"),
            crowns.low - stated.floor_below,
            stated.headroom_crown,
            kind="length",
            reason=_crown_reason(rises),
            source=source,
        ),
    ]
    if stated.top is not None:
        checks.append(
            judge(
                "levels.top",
                say("Finished level under the top"),
                finish,
                stated.top,
                kind="length",
                at_least=False,
                reason=_top_reason(rises),
                source=source,
            )
        )
    return tuple(checks)


def _crown_reason(rises: tuple[float, float] | None) -> Message:
    if rises is None:
        return say("From the floor below to the lowest crown of the intrados.")
    return say(
        "From the floor below to the lowest crown of the intrados; a rise of {least:length} or "
        "more gives it.",
        least=rises[0],
    )


def _top_reason(rises: tuple[float, float] | None) -> Message:
    if rises is None:
        return say("Highest crown of the shell, with crown cover and finish.")
    return say(
        "Highest crown of the shell, with crown cover and finish; a rise of {greatest:length} or "
        "less keeps under it.",
        greatest=rises[1],
    )
