"""What is still to be done, planned anew from where the work stands.

The rest of a rod is gauged so that it still closes in whole or half tiles; the drift of its joints
is held against the lap that is left; the ribs are corrected for what the last stations showed; and
what was delivered is held against what is still needed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond, Rod
from timbrel.job.model import Job, JointRange
from timbrel.records.asbuilt import BuiltStation
from timbrel.records.built_surface import BuiltSurface, deviation_over
from timbrel.records.kinds import Course, Delivery, RodReading
from timbrel.shape.surface import Surface
from timbrel.site.guides import Guide
from timbrel.verdict import Check, judge
from timbrel.words import Message, TimbrelError, say

Array = NDArray[np.float64]
MOVE_STEP = 0.003
"""Most that a template is corrected from one move to the next (m), so that no step is seen."""
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Regauge:
    """The rest of one rod.

    wholes: still to be laid; half: does it end in a half; pieces: two equal cut pieces before the
    end where nothing else closes (m each), None otherwise. joint: for the rest (m). marks: near
    edge of each piece still to be laid, from the rod's start, and last the far edge of the last.
    drift: greatest distance of a joint from where it was planned (m). lap: what is left of the lap
    with the layer below (m), None for the first layer or crossing layers.
    """

    layer: int
    rod: str
    done: int
    wholes: int
    half: bool
    pieces: float | None
    joint: float
    marks: Array
    drift: float
    lap: float | None
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class Need:
    """One material: delivered, laid and still needed, in its own unit (tiles)."""

    what: str
    delivered: float
    laid: float
    planned: float

    @property
    def short(self) -> float:
        """What is missing to finish; 0 when there is enough."""
        return max(self.planned - max(self.laid, 0.0) - (self.delivered - self.laid), 0.0)


@dataclass(frozen=True)
class GuideCorrection:
    """One guide: x (k,) along it, add (k,) to its upper edge, outward positive, m."""

    title: Message
    x: Array
    add: Array


def regauge(job: Job, bond: Bond, reading: RodReading) -> Regauge:
    """Gauge the rest of a rod from where the work stands.

    Raises TimbrelError when the reading cannot be, or the rest cannot close within the joint range.
    """
    if reading.layer > len(bond.layers):
        raise _no_rod(reading)
    layer = bond.layers[reading.layer - 1]
    stated = job.layers[reading.layer - 1]
    try:
        rod = layer.gauge.rod(reading.rod)
    except KeyError as error:
        raise _no_rod(reading) from error
    _refuse_impossible(rod, reading)
    rest = _end(rod) - reading.value
    wholes, half, pieces, joint = _close(rest, rod.size, stated.joint, reading)
    sizes = [rod.size] * wholes
    sizes += [pieces, pieces] if pieces is not None else []
    sizes += [(rod.size - joint) / 2] if half else []
    starts = reading.value + joint + np.cumsum([0.0, *(s + joint for s in sizes[:-1])])
    marks = np.append(starts[: len(sizes)], starts[len(sizes) - 1] + sizes[-1] if sizes else [])
    drift = _drift(rod, reading.done, marks)
    lap = next((x for x in bond.laps if x.upper == reading.layer), None)
    left = None if lap is None or lap.reached is None else lap.reached - drift
    checks = (
        judge(
            "replan.lap",
            say("lap over the layer below after the new gauge"),
            left,
            None if lap is None else lap.wanted,
            kind="length",
            reason=say(
                "planned lap less the greatest drift of a joint, {drift:length}", drift=drift
            )
            if left is not None
            else say("there is no layer below whose joints run the same way"),
            source=PRACTICE,
        ),
    )
    return Regauge(
        reading.layer,
        reading.rod,
        reading.done,
        wholes,
        half,
        pieces,
        joint,
        marks,
        drift,
        left,
        checks,
    )


def corrected_template(station: BuiltStation, step: float, moves: int) -> tuple[Array, Array]:
    """How much to add to the rib at each offset for the next moves.

    Answer: shares of the arc (n,) and corrections (moves, n) in m, outward positive: against the
    measured deviation, no more than 3 mm further from one move to the next. step: share of arc.
    """
    u = np.linspace(0, 1, max(2, round(1 / step) + 1))
    known = np.array([0.0, *(d.u for d in station.points), 1.0])
    off = np.array([0.0, *(d.off for d in station.points), 0.0])
    wanted = -np.interp(u, known, off)
    limits = MOVE_STEP * np.arange(1, moves + 1)[:, None]
    return u, np.clip(wanted[None, :], -limits, limits)


def guide_corrections(
    vault: Surface, guides: Iterable[Guide], built: BuiltSurface
) -> tuple[GuideCorrection, ...]:
    """How much to pack up (or plane down) each guide for the courses still to be laid: against the
    measured deviation along it, no more than 3 mm at once."""
    over = deviation_over(vault, built.points)
    found = []
    for guide in guides:
        start, end = np.asarray(guide.start), np.asarray(guide.end)
        away = float(np.linalg.norm(end - start))
        plan = start + (guide.x / away)[:, None] * (end - start)
        add = np.clip(-over(plan), -MOVE_STEP, MOVE_STEP)
        found.append(GuideCorrection(guide.title, guide.x, add))
    return tuple(found)


def needs(
    job: Job, bond: Bond, deliveries: Iterable[Delivery], courses: Iterable[Course]
) -> tuple[Need, ...]:
    """Tiles of each kind: delivered, laid, planned with the breakage that the job allows for."""
    delivered: dict[str, float] = defaultdict(float)
    for delivery in deliveries:
        delivered[delivery.what] += delivery.quantity
    laid: dict[str, float] = defaultdict(float)
    for course in courses:
        if course.layer <= len(job.layers):
            laid[job.layers[course.layer - 1].tile] += course.tiles
    planned: dict[str, float] = defaultdict(float)
    for layer in bond.layers:
        planned[layer.tile] += layer.count * (1 + job.tiles[layer.tile].breakage)
    return tuple(
        Need(name, delivered[name], laid[name], float(np.ceil(planned[name])))
        for name in sorted(planned)
    )


def _close(
    rest: float, size: float, joints: JointRange, reading: RodReading
) -> tuple[int, bool, float | None, float]:
    """Wholes, half, two equal pieces, joint: the neatest way to close the rest."""
    best: tuple[float, int, bool, float] | None = None
    most = int(rest // (size + joints.least)) + 1
    for wholes in range(most + 1):
        for half in (False, True):
            # rest = wholes s + (wholes + 1) j, and a half (s - j)/2 with its joint adds (s + j)/2.
            gaps = wholes + 1 + 0.5 * half
            joint = (rest - wholes * size - half * size / 2) / gaps
            if joints.least <= joint <= joints.most and wholes + half > 0:
                away = abs(joint - joints.best)
                if best is None or away < best[0]:
                    best = (away, wholes, half, joint)
    if best is not None:
        return best[1], best[2], None, best[3]
    joint = joints.best
    wholes = int((rest - joint) // (size + joint))
    piece = rest - joint - wholes * (size + joint) - joint
    if wholes >= 1 and (cut := (size + piece) / 2) >= max(size / 3, 0.070):
        return wholes - 1, False, cut, joint
    raise TimbrelError(
        say(
            "rod: with {done:count} laid, {rest:length} is left and no joint from {least:length} to "
            "{most:length} closes it without a sliver; take up the last course and close earlier.",
            done=reading.done,
            rest=rest,
            least=joints.least,
            most=joints.most,
        ),
        key="rod",
    )


def _end(rod: Rod) -> float:
    """Where the rod's last joint ends: a ring of a dome ends at its own first tile."""
    return rod.length + (float(rod.marks[0]) if rod.key.startswith("ring ") else 0.0)


def _drift(rod: Rod, done: int, marks: Array) -> float:
    planned = rod.marks[done : len(rod.marks)]
    n = min(len(planned), len(marks))
    return float(np.abs(planned[:n] - marks[:n]).max()) if n else 0.0


def _refuse_impossible(rod: Rod, reading: RodReading) -> None:
    # The free edge of the last tile lies a joint before the near edge of the next.
    inside = reading.done < len(rod.marks) - 1
    planned = float(rod.marks[reading.done]) - rod.joint if inside else float(rod.marks[-1])
    if not inside or abs(reading.value - planned) > rod.size:
        raise TimbrelError(
            say(
                "rod: {value:length} was given for {done:count} laid; the plan has {planned:length} "
                "there, and more than a tile away is taken for a slip.",
                value=reading.value,
                done=reading.done,
                planned=planned,
            ),
            key="rod",
        )


def _no_rod(reading: RodReading) -> TimbrelError:
    return TimbrelError(
        say("rod: layer {layer} has no rod {rod}.", layer=reading.layer, rod=repr(reading.rod)),
        key="rod",
    )
