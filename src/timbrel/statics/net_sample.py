"""One sample of an uncertain vault on a plan, worked with nets of its own.

Inputs are in standard deviations: thickness, two waves of the curve, densities, imposed load. The
curve's error is a half and a whole wave square to the surface, nought where the vault stands: along
the walls of a cloister, round a dome, at the corners of a groin or a sail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.supports import Uncertainty
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_reserve import STANDS, CoarseNet, weighing
from timbrel.statics.net_solid import Array
from timbrel.statics.net_support_factor import Bears, PierBears, figures
from timbrel.statics.net_supports import PushState, push_on
from timbrel.statics.walls import LoadCase
from timbrel.words import say

LEAST = 0.1  # of the stated value, under which none is drawn
SPARE = 1.01  # times the least thickness found to stand, at which there is room to be followed
LAYERS = "layers"  # the load that grows with the thickness


@dataclass(frozen=True)
class SampleTrial:
    """All that a process needs to work a sample.

    net: of the vault as stated. stated: how far the real vault may be from it. strength: N/m2, None
    where none is stated. pattern: key of the imposed load, None without. near: share of the thickness
    that is the least as stated. bears: what every support does, None where it is not known.
    """

    vault: Any
    net: CoarseNet
    stated: Uncertainty
    strength: float | None
    pattern: str | None
    near: float
    bears: tuple[Bears | None, ...]


@dataclass(frozen=True)
class NetSample:
    """reserve: thickness over the least. strength: multiple of all loads that the stated strength
    bears, infinite where none is stated. pushes: (s, 2, 5) on every support under the dead load alone
    and with the imposed load, as :func:`timbrel.statics.net_support_factor.figures` tells them. cracks:
    share of the factor of a block that the worst pier has, 1 where there is none."""

    reserve: float
    strength: float
    pushes: Array
    cracks: float


@dataclass(frozen=True)
class Drawn:
    """What an input row comes to: factors on thickness, densities and imposed load."""

    thick: float
    dense: float
    imposed: float


def factors(stated: Uncertainty, row: Array) -> Drawn:
    """row: (5,) in standard deviations."""
    return Drawn(
        max(1 + stated.thickness * float(row[0]), LEAST),
        max(1 + stated.density * float(row[3]), LEAST),
        max(1 + stated.imposed * float(row[4]), 0.0),
    )


def work_sample(trial: SampleTrial, row: Array) -> NetSample | None:
    """One sample by nets of its own; None where it has no state of equilibrium."""
    drawn, net = factors(trial.stated, row), _moved(trial, row)
    loads = _loads(trial, drawn)
    share = net.least_share(loads[-1], trial.near)
    if share is None:
        return None
    # What does not stand at its own thickness pushes as the least that does: it fails anyway.
    thick = max(drawn.thick, SPARE * share)
    pushes = _pushes(trial, net, thick, loads)
    if pushes is None:
        return None
    left = np.inf
    if trial.strength is not None:
        left = net.strength_left(loads[-1], thick, trial.strength)
    return NetSample(drawn.thick / share, left, pushes, _cracks(trial, pushes, drawn.dense))


def sample_stands(trial: SampleTrial, row: Array, strength: float | None) -> bool:
    """Does one sample stand, within its own strength (N/m2) where one is drawn."""
    drawn, net = factors(trial.stated, row), _moved(trial, row)
    load = _loads(trial, drawn)[-1]
    if NetQuestion(net.drawn(drawn.thick), load).share_of_dead() < STANDS:
        return False
    return strength is None or net.strength_left(load, drawn.thick, strength) >= STANDS


def _moved(trial: SampleTrial, row: Array) -> CoarseNet:
    """The shell with its curve off by two waves."""
    half, whole = trial.stated.shape * float(row[1]), trial.stated.shape * float(row[2])

    def deviation(plan: Array) -> Array:
        humped, tipped = waves(trial.vault.family, trial.net.grid.middle[:, :2], plan)
        return half * humped + whole * tipped

    return trial.net.moved(deviation)


def waves(family: str, whole: Array, plan: Array) -> tuple[Array, Array]:
    """A half and a whole wave (n,) at places (n, 2) in plan, at most one each. whole: (m, 2) places
    that tell how far the vault reaches."""
    low, high = whole.min(axis=0), whole.max(axis=0)
    share = np.clip((plan - low) / (high - low), 0.0, 1.0)
    if family == "dome":
        away = np.hypot(*(2 * share - 1).T)
        humped = np.cos(np.pi / 2 * np.minimum(away, 1.0))
    else:
        by_x, by_y = np.sin(np.pi * share).T
        humped = by_x * by_y
        if family in ("groin", "sail"):
            humped = by_x + by_y - by_x * by_y
    return humped, humped * np.sin(2 * np.pi * share[:, 0])


def _loads(trial: SampleTrial, drawn: Drawn) -> tuple[NetLoad, NetLoad]:
    """The dead load, and all loads together."""
    acts = trial.net.acts
    layers = np.sum([p.weight for p in acts.permanent if p.key == LAYERS], axis=0)
    dead = drawn.dense * (acts.dead.weight + (drawn.thick - 1) * layers)
    pattern = trial.net.pattern(trial.pattern)
    every = dead if pattern is None else dead + drawn.imposed * pattern.weight
    return weighing(acts, dead), weighing(acts, every)


def _pushes(
    trial: SampleTrial, net: CoarseNet, thick: float, loads: tuple[NetLoad, NetLoad]
) -> Array | None:
    """What every support takes at the least thrust of the whole vault."""
    whole = net.drawn(thick)
    found = []
    for load in loads:
        answer = NetQuestion(whole, load).thrust(least=True)
        if answer is None:
            return None
        state = PushState(LoadCase(load.key, say("Sample"), "least"), answer, ((load, 1.0),))
        found.append([figures(push_on(trial.vault, whole, s, state)) for s in whole.grid.supports])
    return np.swapaxes(np.array(found), 0, 1)


def _cracks(trial: SampleTrial, pushes: Array, dense: float) -> float:
    """Of the pier and the load that a block would bear least of."""
    piers = [
        (float(bears.blocks(push[None], np.array([dense]))[0]), bears, push)
        for bears, every in zip(trial.bears, pushes, strict=True)
        if isinstance(bears, PierBears)
        for push in every
    ]
    if not piers:
        return 1.0
    _, bears, push = min(piers, key=lambda one: one[0])
    return bears.left_by_cracks(push, dense)
