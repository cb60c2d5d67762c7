"""What a tenth more or less does to a vault on a plan: each time its coarsest net is drawn again.

The reserve is the thickness over the least found to stand under the dead load and the arrangement of
the imposed load that governs, unfactored. The support that governs as stated is asked again under the
combination that governs it, at the least thrust of the whole vault.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from timbrel.job.model import Job
from timbrel.shape.vault import shape_vault
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_carrying import NetCarrying
from timbrel.statics.net_combinations import NetCombination
from timbrel.statics.net_reserve import CoarseNet, coarse_net, loaded
from timbrel.statics.net_states import asked_pushes, mixed
from timbrel.statics.net_support_factor import bears_of, one_factor, thrust_of, ties_hold
from timbrel.statics.net_supports import PushState, push_on
from timbrel.statics.processes import in_processes
from timbrel.statics.sensitivity import SWING, Swing
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.tenths import busier, heavier, higher, thicker
from timbrel.statics.walls import Bound, LoadCase
from timbrel.words import Message, Progress, TimbrelError, say, silent

CHANGES: dict[str, Callable[[Job, float], Job]] = {
    "thickness": thicker,
    "rise": higher,
    "density": heavier,
    "imposed": busier,
}


@dataclass(frozen=True)
class Governing:
    """What is asked again: the arrangement of the imposed load that governs the vault (None: no
    imposed load), and the support with the combination and bound that govern it (None where no
    support is known)."""

    vault: str | None
    support: str | None
    by: NetCombination | None
    bound: Bound


@dataclass(frozen=True)
class _Answers:
    reserve: float | None = None
    thrust: float | None = None
    support: float | None = None


def governing_of(carried: NetCarrying, net: CoarseNet) -> Governing | None:
    """What governs a vault on a plan as stated; None where its coarse net carries no dead load."""
    share = net.least_share(net.acts.dead, 0.5)
    if share is None:
        return None
    pattern = net.governing(share)
    key = None if pattern is None else pattern.key
    known: list[tuple[Governed, str]] = [(w.overturning, w.side) for w in carried.walls]
    known += [(p.overturning, p.corner) for p in carried.piers]
    if not known:
        return Governing(key, None, None, "least")
    over, name = min(known, key=lambda one: (one[0].value, one[1]))
    found = next(c.combination for c in carried.pushed if c.combination.key == over.combination)
    return Governing(key, name, found, "greatest" if over.bound == "greatest" else "least")


def net_sensitivity(
    job: Job,
    vault: Any,
    carried: NetCarrying,
    progress: Progress = silent,
    *,
    workers: int | None = None,
) -> tuple[Swing, ...]:
    """Every input by a tenth either way; nothing where the coarse net carries no dead load.

    workers: processes; 1 works them here.
    """
    net = coarse_net(job, vault)
    governs = governing_of(carried, net)
    if governs is None:
        return ()
    stated = _asked(job, vault, net, governs, 1.0)
    tasks = [
        (change(job, factor), vault.room, governs, stated.reserve)
        for change in CHANGES.values()
        for factor in (1 - SWING, 1 + SWING)
    ]
    found: list[_Answers] = []
    for answer in in_processes(_rebuilt, tasks, workers or os.cpu_count() or 1):
        found.append(answer)
        progress(say("What a tenth more or less does"), len(found) / len(tasks))
    return tuple(
        _swing(key, _title(key), found[2 * i], stated, found[2 * i + 1])
        for i, key in enumerate(CHANGES)
    )


def _title(key: str) -> Message:
    return {
        "thickness": say("Thickness of the shell"),
        "rise": say("Rise"),
        "density": say("Densities"),
        "imposed": say("Imposed load"),
    }[key]


def _swing(key: str, title: Message, less: _Answers, stated: _Answers, more: _Answers) -> Swing:
    return Swing(
        key,
        title,
        (less.reserve, stated.reserve, more.reserve),
        (less.thrust, stated.thrust, more.thrust),
        (less.support, stated.support, more.support),
    )


def _rebuilt(job: Job, room: Any, governs: Governing, reserve: float | None) -> _Answers:
    """A changed job shaped and asked; nothing where it cannot be built so."""
    try:
        vault = shape_vault(job, room)
        return _asked(job, vault, coarse_net(job, vault), governs, 1 / reserve if reserve else 1.0)
    except TimbrelError:
        return _Answers()


def _asked(job: Job, vault: Any, net: CoarseNet, governs: Governing, near: float) -> _Answers:
    """near: share of the thickness that is thought to be the least."""
    load = loaded(net.acts, net.pattern(governs.vault))
    share = net.least_share(load, near)
    reserve = None if share is None else 1 / share
    by = governs.by
    if by is None:
        return _Answers(reserve)
    whole = net.drawn(1.0)
    variable = mixed(net.acts, asked_pushes(job, whole, net.acts), by.mixture)
    question = NetQuestion(whole, net.acts.dead, variable)
    answer = question.thrust(least=governs.bound == "least", factor=by.ratio)
    if answer is None:
        return _Answers(reserve)
    loads = [(net.acts.dead, 1.0)] + ([(variable, by.ratio)] if variable else [])
    state = PushState(LoadCase(by.key, by.title, governs.bound), answer, tuple(loads))
    support = next(s for s in whole.grid.supports if s.name == governs.support)
    push = push_on(vault, whole, support, state)
    bears = bears_of(job, support.name, support.kind, float(support.length.sum()))
    factor = None
    if bears is not None and not ties_hold(job, vault.family):
        factor = one_factor(bears, push, by.dead)
    return _Answers(reserve, thrust_of(push) * by.dead, factor)
