"""One sample of an uncertain vault on a plan, worked with nets of its own.

Inputs are in standard deviations: thickness, two waves of the curve, densities, imposed load; snow and
wind stand beside it as stated. The supports are asked at the least thrust of the whole vault under the
dead load, the governing load and the full one, and on piers at the greatest too; ties that stay take
their part by the rules that judge them. The curve's error is a half and a whole wave square to the
surface, nought where the vault stands: along the walls of a cloister, round a dome, at the corners of a
groin or a sail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.job.supports import Uncertainty
from timbrel.statics.combinations import Situation
from timbrel.statics.corner_ties import rest_of_piers
from timbrel.statics.net import Net, NetQuestion
from timbrel.statics.net_carrying import left_of
from timbrel.statics.net_level import parted
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_reserve import STANDS, CoarseNet, carries, weighing
from timbrel.statics.net_sampled_loads import Standing, loaded_with
from timbrel.statics.net_solid import Array
from timbrel.statics.net_support_factor import Bears, PierBears, figures, thrust_of
from timbrel.statics.net_supports import PushState, push_on
from timbrel.statics.net_ties import net_ties
from timbrel.statics.support_push import SupportPush
from timbrel.statics.tied_plan import NetTies, PushRow
from timbrel.statics.walls import Bound, LoadCase
from timbrel.words import say

LEAST = 0.1  # of the stated value, under which none is drawn
LITTLE = 1e-3  # of what ties resist: less is told as this
SPARE = 1.01  # times the least thickness found to stand, at which there is room to be followed
LAYERS = "layers"  # the load that grows with the thickness


@dataclass(frozen=True)
class SampleTrial:
    """All that a process needs to work a sample.

    net: of the vault as stated. stated: how far the real vault may be from it. strength: N/m2, None
    where none is stated. governing: what stands on it when it is asked how thin it might be. full: the
    full imposed load, where that is another. near: share of the thickness that is the least as stated.
    bears: what every support does, None where it is not known. tied: do ties stay.
    """

    job: Job
    vault: Any
    net: CoarseNet
    stated: Uncertainty
    strength: float | None
    governing: Standing
    full: Standing | None
    near: float
    bears: tuple[Bears | None, ...]
    tied: bool


@dataclass(frozen=True)
class NetSample:
    """reserve: thickness over the least. strength: multiple of all loads that the stated strength
    bears, infinite where none is stated. pushes: (s, c, 5) on every support in c states, beside the
    ties, as :func:`timbrel.statics.net_support_factor.figures` tells them. thrust: (s, c) before the
    ties take their part, N or N/m. cracks: share of the factor of a block that the worst pier has, 1
    where there is none. ties: multiple of their force that the ties bear, and of the push the walls
    between them; infinite where there are none."""

    reserve: float
    strength: float
    pushes: Array
    thrust: Array
    cracks: float
    ties: float


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
    share = net.least_share(loads[1], trial.near)
    if share is None:
        return None
    # What does not stand at its own thickness pushes as the least that does: it fails anyway.
    thick = max(drawn.thick, SPARE * share)
    whole = net.drawn(thick)
    rows = _states(trial, whole, loads)
    if rows is None:
        return None
    left = np.inf
    if trial.strength is not None:
        left = net.strength_left(loads[1], thick, trial.strength)
    pushes = _pushes(trial, rows)
    cracks = _cracks(trial, pushes, drawn.dense)
    thrust = np.array([[thrust_of(push) for push in row] for row in rows]).T
    ties = _ties(trial, whole, rows)
    return NetSample(drawn.thick / share, left, pushes, thrust, cracks, ties)


def sample_stands(trial: SampleTrial, row: Array, strength: float | None) -> bool:
    """Does one sample stand, within its own strength (N/m2) where one is drawn."""
    drawn, net = factors(trial.stated, row), _moved(trial, row)
    load = _loads(trial, drawn)[1]
    if not carries(net.drawn(drawn.thick), load):
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


def _loads(trial: SampleTrial, drawn: Drawn) -> tuple[NetLoad, ...]:
    """The dead load; with what governs; with the full imposed load where that is another."""
    acts = trial.net.acts
    layers = np.sum([p.weight for p in acts.permanent if p.key == LAYERS], axis=0)
    dead = weighing(acts, drawn.dense * (acts.dead.weight + (drawn.thick - 1) * layers))
    over = [trial.governing, *([trial.full] if trial.full else [])]
    return (dead, *(loaded_with(dead, one.variable(drawn.imposed)) for one in over))


def _states(
    trial: SampleTrial, whole: Net, loads: tuple[NetLoad, ...]
) -> tuple[tuple[SupportPush, ...], ...] | None:
    """What every support takes in every state that is asked; None where one of least thrust is
    missing."""
    on_piers = all(s.kind == "pier" for s in whole.grid.supports)
    found = []
    for k, load in enumerate(loads):
        # The full load, which is the last, pushes most; nothing bounds the greatest of walls all round.
        last: tuple[Bound, ...] = ("least", "greatest")
        bounds = last if on_piers and k == len(loads) - 1 else last[:1]
        plumb, level = parted(load)
        question = NetQuestion(whole, plumb, level)
        for bound in bounds:
            answer = question.thrust(least=bound == "least", factor=0.0 if level is None else 1.0)
            if answer is None:
                return None
            told = ((plumb, 1.0), *(((level, 1.0),) if level is not None else ()))
            state = PushState(LoadCase(f"{k}.{bound}", say("Sample"), bound), answer, told)
            found.append(tuple(push_on(trial.vault, whole, s, state) for s in whole.grid.supports))
    return tuple(found)


def _pushes(trial: SampleTrial, rows: tuple[tuple[SupportPush, ...], ...]) -> Array:
    """(s, c, 5) of every support in every state, beside the ties from pier to pier."""
    ties = trial.job.walls.ties if trial.tied else None
    found = []
    for row in rows:
        rests = rest_of_piers(trial.vault, ties, row)
        found.append([figures(left_of(push, rests) if trial.tied else push) for push in row])
    return np.swapaxes(np.array(found), 0, 1)


def ties_help(trial: SampleTrial) -> bool:
    """Do walls and piers lean on the ties of the vault as stated."""
    drawn = factors(trial.stated, np.zeros(5))
    whole = trial.net.drawn(max(1.0, SPARE * trial.near))
    rows = _states(trial, whole, _loads(trial, drawn))
    tied = None if rows is None else _tied(trial, whole, rows)
    return tied is not None and tied.helps


def _tied(
    trial: SampleTrial, whole: Net, rows: tuple[tuple[SupportPush, ...], ...]
) -> NetTies | None:
    """The ties in all states that are asked, unfactored."""
    situations: tuple[Situation, ...] = ("STR", "characteristic")
    asked = tuple(
        PushRow(row[0].case.load, situation, row[0].case.bound, row)
        for row in rows
        for situation in situations
    )
    return net_ties(trial.job, trial.vault, whole, asked, lost=False)


def _ties(trial: SampleTrial, whole: Net, rows: tuple[tuple[SupportPush, ...], ...]) -> float:
    """Least multiple of their force that the ties bear, and of the push the walls between them."""
    tied = _tied(trial, whole, rows) if trial.tied else None
    if tied is None:
        return np.inf
    used = [tie.answer.use for tie in tied.ties] + [arch.use for _, arch in tied.arches]
    if tied.ring is not None:
        used.append(tied.ring.force / tied.ring.resistance)
    return 1 / max(max(used, default=0.0), LITTLE)


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
