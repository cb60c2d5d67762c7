"""Hooks of a vault on a plan: what its net carries of each, and the pull of its plate.

A hook bears on the lines round its plate, spread by 45 degrees through the shell, so the whole vault
carries it and no strip is cut out. Hooks that hang for good are in the dead load of the whole proof,
supports and combinations too; because they may be unhung, the imposed load is asked without them as
well. Hooks that come and go are an arrangement of their own in the proof, and the imposed load is
asked again while each hangs in full. Cone and rod are those of a strip's hooks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from timbrel.job.model import Job
from timbrel.shape.opened_plan import hooks_of
from timbrel.shape.planecurve import Array
from timbrel.statics.hooks import imposed_check, own_check, pull_checks, pulls
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_actions import together
from timbrel.statics.net_placed import hung_on_net
from timbrel.verdict import Check
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.net_factors import NetFactor
    from timbrel.statics.net_loads import NetLoad
    from timbrel.statics.net_rungs import Rung

FOLLOWED = 10.0
"""Times the wanted factor: past it a hook is not followed."""
HUNG = "hooks."


@dataclass(frozen=True)
class NetHook:
    """One hook of a vault on a plan. load: N. by_itself: its load factor beside the dead load (no
    further than FOLLOWED times the wanted one), None without equilibrium; with_it: least load factor of
    the imposed load while it hangs, and if it hangs for good also before; None without imposed load.
    title: of which arrangement. steps: fineness of the net that was asked. cone: what the plate
    holds through the layers, rod: what the rod holds, N. point: (3,) on the intrados.
    """

    number: int
    name: str
    load: float
    by_itself: float | None
    with_it: float | None
    title: Message
    steps: int
    cone: float
    rod: float
    point: Array
    checks: tuple[Check, ...]


def prove_net_hooks(
    job: Job, vault: Any, rungs: tuple[Rung, ...], worst: NetFactor | None
) -> tuple[NetHook, ...]:
    """Every hook of a vault on a plan.

    rungs: nets to be asked, coarse to fine: a finer one only where the coarser does not reach what
    is wanted. worst: the arrangement that governs with all hooks that hang for good.
    """
    if not job.hooks:
        return ()
    before = None
    if any(hook.permanent for hook in job.hooks) and worst is not None:
        before = _least(job, rungs, _dead)
    found = []
    for hook in hooks_of(job, vault):
        stated = job.hooks[hook.number - 1]
        steps, by_itself = _by_itself(job, vault, rungs, hook.key)
        with_it, title = None, say("Dead load alone")
        if stated.permanent and before is not None and worst is not None:
            with_it, title = before[0], say("{load}, before anything hangs", load=before[1])
            if worst.static <= before[0]:
                with_it, title = worst.static, worst.title
        elif not stated.permanent:
            asked = _least(job, rungs, lambda rung, key=hook.key: _with(rung, key))
            if asked is not None:
                with_it, title = asked
        cone, rod = pulls(job, stated, vault.thickness)
        proof = NetHook(
            hook.number, hook.name, stated.load, by_itself, with_it, title, steps, cone, rod,
            hook.point, (),
        )  # fmt: skip
        checks = list(_net_checks(job, proof))
        checks[1:1] = pull_checks(job, stated, proof)
        found.append(replace(proof, checks=tuple(checks)))
    return tuple(found)


def _net_checks(job: Job, proof: NetHook) -> Iterator[Check]:
    most = FOLLOWED * job.loads.factors.load_factor_least
    told = say(
        "By a net in {steps:count} steps, the hook spread over its plate.", steps=proof.steps
    )
    if proof.by_itself is not None and proof.by_itself >= most * (1 - 1e-6):
        told = say(
            "By a net in {steps:count} steps; the hook was followed no further.", steps=proof.steps
        )
    yield own_check(job, proof, proof.by_itself, told)
    if proof.with_it is not None or proof.by_itself is None:
        governed = say("Governed by: {load}.", load=proof.title)
        yield imposed_check(job, proof, proof.with_it or 0.0, governed)


def _dead(rung: Rung, *without: str) -> NetLoad:
    """The dead load less some hooks; less all of them where none is named."""
    gone = without or tuple(load.key for load in rung.acts.permanent if load.key.startswith(HUNG))
    kept = tuple(load for load in rung.acts.permanent if load.key not in gone)
    return together("dead", say("All permanent loads"), kept)


def _with(rung: Rung, key: str) -> NetLoad:
    """The dead load and a hook that comes and goes, in full."""
    pull = rung.pattern(key)
    assert pull is not None
    return together("dead", say("All permanent loads"), (*rung.acts.permanent, pull))


def _by_itself(job: Job, vault: Any, rungs: tuple[Rung, ...], key: str) -> tuple[int, float | None]:
    """The steps of the net that was asked last, and the load factor of a hook on it."""
    wanted, factor, steps = job.loads.factors.load_factor_least, None, 0
    for rung in rungs:
        stay, come = hung_on_net(job, vault, rung.net.grid, len(rung.net.solid.beds))
        pull = next(load for load in (*stay, *come) if load.key == key)
        question = NetQuestion(rung.net, _dead(rung, key), pull, crushing=rung.crushing)
        answer = question.load_factor(FOLLOWED * wanted)
        steps, factor = rung.steps, None if answer is None else answer.factor
        if factor is not None and factor >= wanted:
            break
    return steps, factor


def _least(job: Job, rungs: tuple[Rung, ...], dead: Any) -> tuple[float, Message] | None:
    """The least load factor of the imposed load beside a dead load of each net, and its arrangement."""
    wanted, least = job.loads.factors.load_factor_least, None
    for rung in rungs:
        patterns = [load for load in rung.acts.patterns if not load.key.startswith(HUNG)]
        if not patterns:
            return None
        held, found = dead(rung), []
        for load in patterns:
            question = NetQuestion(rung.net, held, load, crushing=rung.crushing)
            answer = question.load_factor(FOLLOWED * wanted)
            found.append((0.0 if answer is None else answer.factor, load.title))
        least = min(found, key=lambda one: one[0])
        if least[0] >= wanted:
            break
    return least
