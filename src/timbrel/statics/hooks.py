"""Hooks: a load from below on one strip, and the pull of its plate through the layers.

The plate bears on the back of the shell; its load spreads at 45 degrees through the thickness
(common practice), which gives the width of strip that carries it. Neighbouring strips do not help.
Through the layers the plate pulls a cone at 45 degrees: its mean girth is that of a square half a
thickness out, 4 (a + d), and shear acts on it over the thickness d, with the initial shear
strength of the masonry over its partial factor (EN 1996-1-1:2005, 3.6.2, without the help of
compression). The rod by EN 1993-1-8:2005, table 3.4, on the stressed area of a thread.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from timbrel.job.model import Job
from timbrel.job.openings import Hook
from timbrel.shape.opened import PlacedHook, axis_between, place_hooks, place_openings
from timbrel.statics.actions import StripActions, actions_under
from timbrel.statics.floor import FillLevels
from timbrel.statics.strip import Array, StripLoad
from timbrel.statics.strip_answer import STANDS
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

SOURCE = "safe theorem, Heyman 1966; limit loads.factors.load_factor_least"
THREAD = 0.78
"""Stressed area of a metric thread over the area of its rod (from memory)."""
WALK = 3


@dataclass(frozen=True)
class HookProof:
    """One hook. v: its station. width: of the strip that carries it (m). load: N; line: N a metre
    of that strip. by_itself: its load factor beside the dead load; with_it: least load factor of
    the imposed load while it hangs there, title: of which pattern. cone: what the plate holds
    through the layers, rod: what the rod holds, N. point: (3,) on the intrados.
    """

    number: int
    name: str
    v: float
    width: float
    load: float
    line: float
    by_itself: float | None
    with_it: float | None
    title: Message
    cone: float
    rod: float
    point: Array
    checks: tuple[Check, ...]


def cone_resistance(plate: float, thickness: float, shear: float) -> float:
    """Pull, N, at which a plate of side `plate` shears a 45 degree cone out of the shell."""
    return 4 * (plate + thickness) * thickness * shear


def rod_resistance(diameter: float, ultimate: float, yielding: float, partial: float) -> float:
    """Pull, N, that a threaded rod takes: 0.9 fu As / gamma M2, or its yield where that is less."""
    area = math.pi * diameter**2 / 4
    return min(0.9 * ultimate * THREAD * area / partial, yielding * area)


def hook_width(plate: float, thickness: float, *ends: float) -> float:
    """Width of strip that carries a hook: the plate, and the shell's thickness to both sides, less
    what lies beyond an end. ends: distances of the hook from the ends (m)."""
    half = plate / 2 + thickness
    return 2 * half - sum(max(half - end, 0.0) for end in ends)


def prove_hooks(job: Job, vault: Barrel, top: FillLevels) -> tuple[HookProof, ...]:
    """Every hook of a barrel or a flight."""
    if not job.hooks:
        return ()
    placed = place_hooks(job, vault, place_openings(job, vault))
    return tuple(_prove(job, vault, hook, top) for hook in placed)


def hook_on_strip(acts: StripActions, vault: Barrel, hook: PlacedHook, line: float) -> StripLoad:
    """The hook as a load on its strip, N/m, plumb through the voussoir that it hangs from."""
    plane, strip = vault.plane(acts.v), acts.strip
    x = float((hook.point - plane.left) @ plane.across)
    force = np.zeros((strip.voussoirs, 2))
    at = (strip.outer[1:] + strip.outer[:-1]) / 2
    which = int(np.clip(np.searchsorted(strip.outer[:, 0], x) - 1, 0, strip.voussoirs - 1))
    force[which, 1], at[which, 0] = -line, x
    return StripLoad(hook.key, say("{name}", name=hook.name), force, at)


def _prove(job: Job, vault: Barrel, hook: PlacedHook, top: FillLevels) -> HookProof:
    stated = job.hooks[hook.number - 1]
    acts = actions_under(job, vault, hook.v, top)
    near = axis_between(vault, hook.u, 0.0, hook.v)
    far = axis_between(vault, hook.u, hook.v, 1.0)
    width = hook_width(stated.plate, vault.thickness, near, far)
    line = stated.load / width
    load = hook_on_strip(acts, vault, hook, line)
    favourable = job.loads.factors.permanent_favourable
    alone = ThrustProgram(acts.strip, acts.dead, load.wrench[None])
    by_itself = with_it = None
    title = say("Dead load alone")
    if alone.share_of_dead() >= STANDS:
        found = alone.load_factor(0, favourable)
        by_itself = None if found is None else float(found.factors[0])
        with_it, title = _imposed(acts, load, favourable)
    cone, rod = pulls(job, stated, vault.thickness)
    proof = HookProof(
        number=hook.number,
        name=hook.name,
        v=hook.v,
        width=width,
        load=stated.load,
        line=line,
        by_itself=by_itself,
        with_it=with_it,
        title=title,
        cone=cone,
        rod=rod,
        point=hook.point,
        checks=(),
    )
    return replace(proof, checks=hook_checks(job, stated, proof))


def _imposed(
    acts: StripActions, load: StripLoad, favourable: float
) -> tuple[float | None, Message]:
    """Least load factor of the imposed load while the hook carries all that it may."""
    tried = [
        pattern
        for kind in ("full", "half", "placed")
        for pattern in acts.patterns
        if pattern.kind == kind
    ]
    tried += [pattern for pattern in acts.patterns if pattern.kind == "line"][::WALK]
    if not tried:
        return None, say("Dead load alone")
    moving = np.stack([pattern.load.wrench for pattern in tried])
    # The hook's load is not eased by the favourable factor: it is set beside it in full.
    program = ThrustProgram(acts.strip, favourable * acts.dead + load.wrench, moving)
    found = [program.load_factor(i) for i in range(len(tried))]
    factors = [0.0 if f is None else float(f.factors[i]) for i, f in enumerate(found)]
    worst = int(np.argmin(factors))
    return factors[worst], tried[worst].load.title


class Pulled(Protocol):
    """A hook whose plate and rod are known: number and name, load, what cone and rod hold (N)."""

    @property
    def number(self) -> int: ...
    @property
    def name(self) -> str: ...
    @property
    def load(self) -> float: ...
    @property
    def cone(self) -> float: ...
    @property
    def rod(self) -> float: ...


def hook_checks(job: Job, stated: Hook, proof: HookProof) -> tuple[Check, ...]:
    """The strip that carries it, the cone, the rod."""
    strip = say(
        "Strip {width:length} wide at {share:percent} from the near end carries {line:line_load}.",
        width=proof.width,
        share=proof.v,
        line=proof.line,
    )
    checks = [own_check(job, proof, proof.by_itself, strip), *pull_checks(job, stated, proof)]
    if proof.with_it is not None or proof.by_itself is None:
        governed = say("Governed by: {load}.", load=proof.title)
        checks.append(imposed_check(job, proof, proof.with_it or 0.0, governed))
    return tuple(checks)


def own_check(job: Job, hook: Pulled, factor: float | None, reason: Message) -> Check:
    """Does the vault carry the hook itself beside its dead load."""
    return judge(
        f"hooks.{hook.number}.load_factor",
        say("Load factor of {name}", name=hook.name),
        0.0 if factor is None else factor,
        job.loads.factors.load_factor_least,
        kind="ratio",
        reason=reason,
        source=SOURCE,
    )


def imposed_check(job: Job, hook: Pulled, factor: float, reason: Message) -> Check:
    """Does it carry the imposed load while the hook hangs."""
    return judge(
        f"hooks.{hook.number}.imposed",
        say("Load factor of the imposed load while {name} hangs", name=hook.name),
        factor,
        job.loads.factors.load_factor_least,
        kind="ratio",
        reason=reason,
        source=SOURCE,
    )


def pull_checks(job: Job, stated: Hook, hook: Pulled) -> tuple[Check, Check]:
    """The cone through the layers, and the rod."""
    factors, key = job.loads.factors, f"hooks.{hook.number}"
    pull = (factors.permanent if stated.permanent else factors.variable) * hook.load
    return (
        judge(
            f"{key}.cone",
            say("Pull of {name} through the layers", name=hook.name),
            pull,
            hook.cone,
            kind="force",
            at_least=False,
            reason=say(
                "Plate of {plate:length}; a cone at 45 degrees through all layers.",
                plate=stated.plate,
            ),
            source="EN 1996-1-1:2005 3.6.2 and table 3.4, over loads.national.masonry",
        ),
        judge(
            f"{key}.rod",
            say("Pull of {name} on its rod", name=hook.name),
            pull,
            hook.rod,
            kind="force",
            at_least=False,
            reason=say("Threaded rod of {rod:length}.", rod=stated.rod),
            source="EN 1993-1-8:2005 table 3.4; EN 1993-1-1:2005 6.2.3",
        ),
    )


def pulls(job: Job, stated: Hook, thickness: float) -> tuple[float, float]:
    """What cone and rod of a hook hold, N."""
    national = job.loads.national
    return (
        cone_resistance(stated.plate, thickness, national.initial_shear / national.masonry),
        rod_resistance(stated.rod, stated.rod_ultimate, stated.rod_yield, national.steel_net),
    )
