"""The other bound: mechanisms of a strip, judged by virtual work.

Nothing here is taken from the linear program but a place to start looking. A mechanism is a few
joints that open or slide; each gives the part on its right a small rigid motion against the part on
its left:

- a hinge at the intrados or extrados end opens the joint at the other end;
- a hinge inside the thickness, where crushing is limited, dissipates f d^2 / 2 a radian over the
  depth d that is crushed;
- a slide moves along the friction cone's normal (associated rule). It bounds a real, dilation-free
  joint from above all the same (Radenkovic 1961).

The motions must bring the right springing back to where it stands. The work of the dead load, of
the load that grows and of what is dissipated then bounds the factor from above, the least thrust
from below and the greatest thrust from above (Heyman 1966: uniqueness and unsafe theorem).

Four motions are enough for a factor, three and a shift of a springing for a thrust (a basis of the
three equations of closure). The search changes one joint of a mechanism at a time for the best of
all joints, all tried at once, until none helps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.strip import Array, Strip, ThrustLine

SWEEPS = 60
REST = 1e-10  # share by which a share of the thickness at rest may be off
SAME = 1e-9  # share by which bounds may differ that are the same


@dataclass(frozen=True)
class Mechanism:
    """Joints that open or slide together, and the bound that their work gives.

    bound: factor, thrust (N/m) or share of thickness. joints: where. places: (k, 2) centres of the
    hinges, m; nan where the joint slides. outer: at the extrados. turns: relative motions, scaled
    so that the greatest is 1.
    """

    bound: float
    joints: tuple[int, ...]
    places: Array
    outer: tuple[bool, ...]
    turns: Array


@dataclass(frozen=True)
class Motions:
    """Every motion that a joint may make: k of them.

    twist: (k, 3) rotation (anticlockwise) and velocity of the origin, of the part on the right.
    lost: (k,) work dissipated. joint: (k,). outer: (k,). place: (k, 2).
    """

    twist: Array
    lost: Array
    joint: NDArray[np.intp]
    outer: NDArray[np.bool_]
    place: Array

    def work(self, wrench: Array) -> Array:
        """(k,) work of loads ((n, 3) on voussoirs) over each motion of all that lies right."""
        right = np.zeros((len(wrench) + 1, 3))
        right[:-1] = np.cumsum(wrench[::-1], axis=0)[::-1]
        resultant = right[self.joint]
        return (
            resultant[:, 2] * self.twist[:, 0]
            + resultant[:, 0] * self.twist[:, 1]
            + resultant[:, 1] * self.twist[:, 2]
        )


def _hinges(strip: Strip, depth: Array, outer: bool) -> Motions:
    """Hinges at a depth below one face. At the extrados the right part turns anticlockwise."""
    ends, inward = (strip.outer, -strip.along) if outer else (strip.inner, strip.along)
    place = ends + inward * depth[:, None]
    turn = 1.0 if outer else -1.0
    twist = turn * np.column_stack([np.ones(len(place)), place[:, 1], -place[:, 0]])
    strength = strip.crushing or 0.0
    count = len(place)
    return Motions(twist, strength * depth**2 / 2, np.arange(count), np.full(count, outer), place)


def _slides(strip: Strip, upward: bool) -> Motions:
    """The right part slides along the joint, opening it by the friction angle."""
    way = strip.along if upward else -strip.along
    move = way + strip.grip * strip.across
    count = len(move)
    twist = np.column_stack([np.zeros(count), move])
    nowhere = np.full((count, 2), np.nan)
    return Motions(twist, np.zeros(count), np.arange(count), np.full(count, upward), nowhere)


def motions(strip: Strip, line: ThrustLine | None = None) -> Motions:
    """All motions of all joints. With crushing, hinges stand also at the depth a line asks for."""
    nought = np.zeros(strip.voussoirs + 1)
    parts = [_hinges(strip, nought, outer) for outer in (False, True)]
    if strip.crushing is not None and line is not None:
        block = np.clip(line.normal / strip.crushing, 0.0, strip.thickness)
        parts += [
            _hinges(strip, block * share, outer)
            for share in (0.9, 1.0, 1.1)
            for outer in (False, True)
        ]
    if strip.friction is not None:
        parts += [_slides(strip, upward) for upward in (False, True)]
    return Motions(
        *(
            np.concatenate([getattr(p, name) for p in parts])
            for name in ("twist", "lost", "joint", "outer", "place")
        )
    )


def _starts(every: Motions, line: ThrustLine, size: int) -> list[list[int]]:
    """Sets of hinges to start from: alternate touches of a line, then evenly spaced joints."""
    share = line.position / line.thickness
    inner = [(float(share[j]), j, False) for j in _least_places(share)]
    outer = [(float(1 - share[j]), j, True) for j in _least_places(1 - share)]
    alternate: list[tuple[int, bool]] = []
    for j, out in sorted((j, out) for _, j, out in sorted(inner + outer)[: size + 2]):
        if not alternate or alternate[-1][1] != out:
            alternate.append((j, out))
    wanted = [alternate[i : i + size] for i in range(max(len(alternate) - size, 0) + 1)]
    n = len(share) - 1
    even = [round(n * i / (size - 1)) for i in range(size)]
    wanted += [[(j, bool((i + k) % 2)) for i, j in enumerate(even)] for k in (0, 1)]
    return [[j + (n + 1) * out for j, out in ws] for ws in wanted if len(ws) == size]


def _least_places(values: Array) -> list[int]:
    """Places where an array has a local least value, both ends included."""
    padded = np.concatenate([[np.inf], values, [np.inf]])
    return [int(i) for i in np.flatnonzero((values <= padded[:-2]) & (values < padded[2:]))]


@dataclass(frozen=True)
class _Search:
    """The least of (lost less work of the dead load) over work of what grows, for sets of motions.

    twist (3, k), cost (k,) and gain (k,) of each motion; `held` are motions that stay in the set
    (the shift of a springing).
    """

    twist: Array
    cost: Array
    gain: Array
    held: tuple[int, ...] = ()

    def best(self, start: list[int]) -> tuple[float, list[int], Array]:
        """Change one motion of the set at a time, for the best of all, until none helps."""
        chosen = [*start, *self.held]
        value, turns = np.inf, np.zeros(len(chosen))
        for _ in range(SWEEPS):
            least, motion, share, place = self._exchange(chosen, len(start))
            if not least < value - 1e-12 * abs(value if np.isfinite(value) else 0.0):
                break
            value = least
            chosen[place] = motion
            turns = np.insert(share, place, 1.0)
        return value, chosen, turns

    def _exchange(self, chosen: list[int], places: int) -> tuple[float, int, Array, int]:
        """The best motion for the best place of the set: value, which, turns of the rest, place."""
        rest = np.array([chosen[:p] + chosen[p + 1 :] for p in range(places)])
        matrix = self.twist[:, rest].transpose(1, 0, 2)
        size = np.linalg.norm(matrix, axis=1).prod(axis=1)
        sound = np.flatnonzero(np.abs(np.linalg.det(matrix)) >= 1e-13 * size)
        if not len(sound):
            return np.inf, -1, np.zeros(len(chosen) - 1), 0
        rest = rest[sound]
        turns = -np.einsum("pij,jk->pik", np.linalg.inv(matrix[sound]), self.twist)
        gain = self.gain + np.einsum("pi,pik->pk", self.gain[rest], turns)
        cost = self.cost + np.einsum("pi,pik->pk", self.cost[rest], turns)
        admissible = (turns.min(axis=1) >= -1e-12) & (gain > 1e-12 * np.abs(self.gain).max())
        ratio = np.full(gain.shape, np.inf)
        np.divide(cost, gain, out=ratio, where=admissible)
        p, motion = divmod(int(np.argmin(ratio)), ratio.shape[1])
        return float(ratio[p, motion]), motion, turns[p, :, motion], int(sound[p])


def _columns(twist: Array) -> Array:
    """(3, k) of (k, 3), each row in one piece of memory: the sweep over all motions is long."""
    return np.ascontiguousarray(twist.T)


def _mechanism(bound: float, every: Motions, chosen: list[int], turns: Array) -> Mechanism:
    order = sorted(range(len(chosen)), key=lambda i: int(every.joint[chosen[i]]))
    picked = [chosen[i] for i in order]
    size = np.abs(turns).max() or 1.0
    return Mechanism(
        bound,
        tuple(int(every.joint[i]) for i in picked),
        every.place[picked],
        tuple(bool(every.outer[i]) for i in picked),
        turns[order] / size,
    )


def _search(
    search: _Search, every: Motions, line: ThrustLine, enough: float | None
) -> tuple[float, list[int], Array] | None:
    """The best set over several starts.

    Stops early once the bound is within 0.01 % of enough, or two starts have come to the same.
    """
    size = 4 - len(search.held)
    best: tuple[float, list[int], Array] | None = None
    for start in _starts(every, line, size):
        found = search.best(start)
        if not np.isfinite(found[0]):
            continue
        if best is not None and abs(found[0] - best[0]) <= SAME * abs(best[0]):
            break
        if best is None or found[0] < best[0]:
            best = found
        if enough is not None and abs(best[0] - enough) <= 1e-4 * abs(enough):
            break
    return best


def bound_factor(
    strip: Strip, dead: Array, variable: Array, line: ThrustLine, enough: float | None = None
) -> Mechanism | None:
    """The least factor on a variable load at which a mechanism works: no more can be carried.

    line: a thrust line to start the search from. enough: a factor; the search may stop once it is
    met within 0.01 %. None when no mechanism is found: there is no upper bound.
    """
    every = motions(strip, line)
    cost = every.lost - every.work(dead)
    search = _Search(_columns(every.twist), cost, every.work(variable))
    found = _search(search, every, line, enough)
    return _mechanism(found[0], every, found[1], found[2]) if found else None


def bound_thrust(
    strip: Strip, loads: Array, line: ThrustLine, *, least: bool, enough: float | None = None
) -> Mechanism | None:
    """A thrust (at the left springing) that the least cannot go below, or the greatest above.

    The right springing moves out (least) or in (greatest) by one; three joints give way.
    """
    every = motions(strip, line)
    outward = 1.0 if least else -1.0
    spread = np.array([[0.0, -outward, 0.0]])
    pushed = float(loads[:, 0].sum())  # thrust on the right less thrust on the left
    cost = np.append(every.lost - every.work(loads), outward * pushed)
    gain = np.append(np.zeros(len(every.joint)), 1.0)
    twist = _columns(np.vstack([every.twist, spread]))
    wanted = None if enough is None else -outward * enough
    found = _search(_Search(twist, cost, gain, (len(every.joint),)), every, line, wanted)
    if not found:
        return None
    return _mechanism(-outward * found[0], every, found[1][:3], found[2][:3])


def bound_thickness(strip: Strip, loads: Array, line: ThrustLine, share: float) -> Mechanism | None:
    """A share of the thickness at which a mechanism works under the loads: less does not stand.

    share: a share at which the strip stands; the search goes below it by steps until a mechanism
    works, then finds the share at which its work is nothing.
    """
    plain = replace(strip, crushing=None)
    for step in (1e-4, 1e-3, 5e-3, 2e-2):
        found = _working(plain.thinned(share * (1 - step)), loads, line)
        if found:
            every, chosen, turns = found
            bound = _standstill(plain, loads, chosen, share * (1 - step), share)
            return _mechanism(bound, every, chosen, turns)
    return None


def _working(
    strip: Strip, loads: Array, line: ThrustLine
) -> tuple[Motions, list[int], Array] | None:
    """A mechanism of the strip over which the loads work, if there is one."""
    every = motions(strip)
    gain = np.ones(len(every.joint))
    search = _Search(_columns(every.twist), -every.work(loads), gain)
    found = _search(search, every, line, None)
    return (every, found[1], found[2]) if found and found[0] < 0 else None


def _work_at(strip: Strip, loads: Array, chosen: list[int], share: float) -> float:
    """Work of the loads over one mechanism (same joints and faces) at a share of the thickness."""
    every = motions(strip.thinned(share))
    twist = every.twist[chosen]
    turns = -np.linalg.solve(twist[:3].T, twist[3])
    work = every.work(loads)[chosen]
    return float(work[:3] @ turns + work[3])


def _standstill(strip: Strip, loads: Array, chosen: list[int], low: float, high: float) -> float:
    """The share between low (it works) and high at which a mechanism no longer works.

    False position with the idle end's value halved (Illinois), stopped on the working side. No step
    is shorter than half of what is asked for, so that the ends close in on each other.
    """
    work_low, work_high = (_work_at(strip, loads, chosen, s) for s in (low, high))
    if work_high >= 0:
        return high
    for _ in range(20):
        middle = (low * work_high - high * work_low) / (work_high - work_low)
        middle = min(max(middle, low + REST * high / 2), high - REST * high / 2)
        work = _work_at(strip, loads, chosen, middle)
        if work > 0:
            low, work_low, work_high = middle, work, work_high / 2
        else:
            high, work_high, work_low = middle, work, work_low / 2
        if high - low < REST * high:
            break
    return low
