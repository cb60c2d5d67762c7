"""The statics of a vault that is proved by a strut net, in two goes.

First a quick answer from a coarse net, so that an edit on the page has its verdict at once; then the
whole proof, whose verdicts take the place of the quick one. A coarse net is a lower bound too: when
it holds, the vault holds; when it does not, only a finer net may say that it fails.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net import Net, NetAnswer, NetQuestion
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_carrying import NetCarrying, carry_net
from timbrel.statics.net_hooks import NetHook, prove_net_hooks
from timbrel.statics.net_proof import NetProof, prove_net, quick_net
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_states import net_states
from timbrel.statics.net_supports import NetSupports, net_supports
from timbrel.statics.net_thrusts import SupportThrust
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.net_verdicts import SOURCE, net_checks
from timbrel.statics.processes import HERE, Aside
from timbrel.verdict import Check, judge
from timbrel.words import Message, Progress, say, silent


@dataclass(frozen=True)
class ShownState:
    """A state of a net that is drawn: the one at the load factor that governs, or where that was
    followed no further the one of least thrust. title: its loads."""

    net: Net
    answer: NetAnswer
    title: Message


@dataclass(frozen=True)
class NetStatics:
    """What the statics of a vault on a plan come to.

    net, answer: of the quick go (None: the coarse net carries no equilibrium). proof, supports,
    carried: of the whole one, None until it has been made; hooks: of the same, none before. shown: what
    is drawn. checks: all verdicts so far.
    """

    net: Net
    answer: NetAnswer | None
    proof: NetProof | None
    supports: NetSupports | None
    carried: NetCarrying | None
    shown: ShownState | None
    checks: tuple[Check, ...]
    hooks: tuple[NetHook, ...] = ()

    @property
    def factor(self) -> float | None:
        """Load factor of the quick go, as far as it was followed."""
        return None if self.answer is None else self.answer.factor

    @property
    def thrusts(self) -> tuple[SupportThrust, ...]:
        """Least and greatest thrust of every support, once proved."""
        return self.proof.thrusts if self.proof else ()


def prove_quickly(job: Job, vault: Any, progress: Progress = silent) -> NetStatics:
    """The answer of a coarse net, half loaded."""
    progress(say("A coarse strut net"), 0.0)
    net, answer = quick_net(job, vault)
    progress(say("A coarse strut net"), 1.0)
    shown = None
    if answer is not None and np.isfinite(answer.factor) and not answer.more:
        shown = ShownState(net, answer, say("half of the vault loaded"))
    elif answer is not None:
        shown = _least_thrust(net, net_actions(job, solid_of(vault), net.grid))
    return NetStatics(net, answer, None, None, None, shown, (quick_check(job, answer),))


def _least_thrust(net: Net, acts: NetActions) -> ShownState | None:
    found = NetQuestion(net, acts.dead).thrust(least=True)
    return None if found is None else ShownState(net, found, say("least thrust, dead load alone"))


def prove_wholly(
    job: Job,
    vault: Any,
    quick: NetStatics,
    progress: Progress = silent,
    aside: Aside = HERE,
) -> NetStatics:
    """The whole proof, and what carries the thrust. aside: other processes that help."""
    rungs = Rungs(job, solid_of(vault))
    second = rungs[max(rungs.first_that_stands()[0], 1)]
    # A lower bound too, and quick: every combination asks it once.
    asked = aside.begin(net_states, job, vault, second.net, second.acts)
    proof = prove_net(job, vault, _until(progress, 0.85), aside, rungs)
    what = say("Walls, piers and ring under the thrust")
    progress(what, 0.85)
    supports = net_supports(job, vault, proof.net, proof.actions)
    known = {f.pattern: f.static for f in proof.factors}
    states = asked.result(lambda: progress(what, 0.9))
    first = rungs[rungs.first_that_stands()[0]]
    carried = carry_net(
        job, vault, second.net, second.acts, crushing=second.crushing, known=known, states=states,
        coarse=(first.net, first.acts),
    )  # fmt: skip
    progress(say("Strut net proved"), 1.0)
    governing = proof.governing
    if governing is not None and np.isfinite(governing.static) and not governing.more:
        shown: ShownState | None = ShownState(governing.net, governing.answer, governing.title)
    else:
        shown = _least_thrust(proof.net, proof.actions)
    nets = (first,) if first is second else (first, second)
    hooks = prove_net_hooks(job, vault, nets, governing)
    hung = [check for hook in hooks for check in hook.checks]
    checks = (*net_checks(job, proof), *hung, *supports.checks, *carried.checks)
    return replace(
        quick,
        proof=proof,
        supports=supports,
        carried=carried,
        shown=shown,
        checks=checks,
        hooks=hooks,
    )


def quick_check(job: Job, answer: NetAnswer | None) -> Check:
    """Holds when the coarse net carries the wanted factor; else the finer nets have to say."""
    wanted = job.loads.factors.load_factor_least
    reached = answer is not None and answer.factor >= wanted
    reason = (
        say("A coarse net, half of the vault loaded: a lower bound, first of several.")
        if reached
        else say("The coarse net does not reach it; a finer one has to say.")
    )
    return judge(
        "net.quick",
        say("Load factor of a coarse strut net"),
        answer.factor if answer is not None and reached else None,
        wanted,
        kind="ratio",
        reason=reason,
        source=SOURCE,
    )


def _until(progress: Progress, end: float) -> Progress:
    def told(what: Message, share: float) -> None:
        progress(what, share * end)

    return told
