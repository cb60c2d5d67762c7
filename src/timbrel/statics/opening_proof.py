"""What an opening asks of the shell round it: load factors, the trimmers, their bars, verdicts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.bond.layout import TrimmedOpening
from timbrel.bond.ring import trim_opening
from timbrel.job.model import Job
from timbrel.shape.opened import PlacedOpening, place_openings
from timbrel.statics.expressions import by_pair, design_pairs
from timbrel.statics.floor import FillLevels
from timbrel.statics.kinematic import bound_factor
from timbrel.statics.strip import Array, ThrustLine
from timbrel.statics.trimmed import Beside, KerbLoad, sides_of
from timbrel.statics.trimmed_program import State, TrimmedProgram
from timbrel.statics.trimmer import (
    BLOCK,
    FlatArch,
    bar_needed,
    bar_resistance,
    flat_arch,
    ring_thrust,
)
from timbrel.verdict import Check, judge
from timbrel.words import Message, cite, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

STANDS = 1 - 1e-6
HALVINGS = 9
BAR_ROOM = 0.005
"""Thickness of a joint over the diameter of a bar in it (m)."""
THINNEST = 0.02
SAFE = cite("safe theorem, Heyman 1966; effective width by 45 degrees (common practice, no source)")
SAFE_WITHIN = cite(
    "safe theorem, Heyman 1966; effective width by 45 degrees (common practice, no source); limit "
    "loads.factors.load_factor_least"
)


@dataclass(frozen=True)
class OpeningSide:
    """One side of an opening. See :class:`timbrel.statics.trimmed.Beside`.

    share_of_dead: that is carried. load_factor: least over the patterns, by a state of equilibrium;
    pattern, title: which. kinematic: by a mechanism of the strip beside under what it is handed in
    that state; None when none was found or asked. geometric: thickness over least thickness under
    that pattern. thrust: of the strip beside at its springing, and thrust_arch: of the cut arches,
    N/m, in the state of least thrust on the trimmers under the dead load. beside, left, right:
    lines of that state; middle: of the strip's joints, and cut_middle: of the cut arches'.
    """

    side: str
    name: Message
    v: float
    width: float
    room: float
    ratio: float
    share_of_dead: float
    load_factor: float | None
    kinematic: float | None
    geometric: float | None
    pattern: str
    title: Message
    thrust: float | None
    thrust_arch: float | None
    beside: ThrustLine | None
    left: ThrustLine | None
    right: ThrustLine | None


@dataclass(frozen=True)
class OpeningProof:
    """One opening. kerb: what stands on its girth. trimmers: left and right, under the design
    loads. ring_thrust: of a round ring pressed alike all round by the greater of their loads, N;
    None where it is not round. bar_needed: diameter (m). bar_takes: N, None without a bar.
    wall_thrust: greatest level push of strip and cut arches on a metre of the walls, mean over
    their width, under the dead load and the imposed load on the full span, N/m. props: what the
    props under each trimmer carry until the ring has cured, left and right, N."""

    number: int
    name: str
    kerb: KerbLoad
    sides: tuple[OpeningSide, OpeningSide]
    trimmers: tuple[FlatArch, FlatArch] | None
    ring_thrust: float | None
    bar_needed: float | None
    bar_takes: float | None
    wall_thrust: float | None
    props: tuple[float, float]
    checks: tuple[Check, ...]


def prove_openings(job: Job, vault: Barrel, top: FillLevels) -> tuple[OpeningProof, ...]:
    """Every opening of a barrel or a flight."""
    if not job.openings:
        return ()
    placed = place_openings(job, vault)
    return tuple(_prove(job, vault, one, placed, top) for one in placed)


def _prove(
    job: Job,
    vault: Barrel,
    placed: PlacedOpening,
    others: tuple[PlacedOpening, ...],
    top: FillLevels,
) -> OpeningProof:
    opening = trim_opening(job, vault, placed)
    sides = sides_of(job, vault, placed, others, opening, top)
    near, far = (side.program(*(side.pattern(i) for i in side.tried())) for side in sides)
    answers = _answer(job, sides[0], near), _answer(job, sides[1], far)
    loads = [_design_loads(job, program) for program in (near, far)]
    trimmers = bars = takes = thrust = None
    stated = job.openings[placed.number - 1].trimmer
    if all(load is not None for load in loads):
        pressed = np.max([load for load in loads if load is not None], axis=0)
        strength = job.masonry.crushing
        made = [
            flat_arch(float(w), placed.along, placed.ring, vault.thickness, strength)
            for w in pressed
        ]
        trimmers = made[0], made[1]
        push = max(made[0].push, made[1].push)
        bars = bar_needed(push, stated.bar_yield)
        takes = None if stated.bar is None else bar_resistance(stated.bar, stated.bar_yield)
        thrust = ring_thrust(float(pressed.max()), placed.along / 2) if placed.round else None
    proof = OpeningProof(
        placed.number,
        placed.name,
        sides[0].kerb,
        answers,
        trimmers,
        thrust,
        bars,
        takes,
        _wall_thrust(sides, (near, far)),
        _props(placed, sides[0]),
        (),
    )
    checks = (*_strip_checks(job, proof), *_ring_checks(job, vault, opening, proof))
    return OpeningProof(**{**proof.__dict__, "checks": checks})


def _wall_thrust(
    sides: tuple[Beside, Beside], programs: tuple[TrimmedProgram, TrimmedProgram]
) -> float | None:
    """Greatest mean push on a metre of wall over the strip beside and half of the opening."""
    found: list[float] = []
    for side, program in zip(sides, programs, strict=True):
        kinds = [side.acts.patterns[i].kind for i in side.tried()]
        asked = [(0.0, 0), *((1.0, k) for k, kind in enumerate(kinds) if kind == "full")]
        for factor, pattern in asked:
            state = program.state(1.0, factor, pattern)
            if state is None:
                return None
            for beside, arch in ((state.beside.force[0], state.left.force[0]),
                                 (state.beside.force[-1], state.right.force[-1])):  # fmt: skip
                push = float(beside[0]) + side.ratio * float(arch[0])
                found.append(push / (1 + side.ratio))
    return max(found)


def _props(placed: PlacedOpening, side: Beside) -> tuple[float, float]:
    """Half of the weight of each cut arch, over the opening's length: what its props carry.

    The layers alone: fill and kerb come when the ring has cured.
    """
    layers = next(load for load in side.cut.permanent if load.key == "layers")
    a, b = side.at
    left, right = (-layers.force[part, 1].sum() for part in (slice(None, a), slice(b, None)))
    half = placed.along / 2
    return float(left) * half, float(right) * half


def _answer(job: Job, side: Beside, program: TrimmedProgram) -> OpeningSide:
    """All that is asked of one side. program: under every pattern that is tried."""
    tried = side.tried()
    dead = side.dead()
    favourable = job.loads.factors.permanent_favourable
    share = program.share_of_dead()
    rest = program.state(1.0, 0.0) if share >= STANDS else None
    worst: tuple[float, int, State] | None = None
    if share >= STANDS:
        for k, index in enumerate(tried):
            found = program.load_factor(k, favourable)
            if found is not None and (worst is None or found.factor < worst[0]):
                worst = found.factor, index, found
    kinematic = geometric = None
    if worst is not None:
        factor, index, found = worst
        loads = side.pattern(index)
        if np.isfinite(factor):
            mechanism = bound_factor(
                side.acts.strip,
                favourable * dead.beside + found.handed,
                loads.beside,
                found.beside,
                factor,
            )
            kinematic = mechanism.bound if mechanism else None
        geometric = _geometric(side, index)
    elif share >= STANDS:
        geometric = _geometric(side, None)
    load = side.acts.patterns[worst[1]].load if worst else None
    return OpeningSide(
        side.side,
        side.title,
        side.v,
        side.width,
        side.room,
        side.ratio,
        share,
        worst[0] if worst else None,
        kinematic,
        geometric,
        load.key if load else "dead",
        load.title if load else say("Dead load alone"),
        rest.beside.thrust if rest else None,
        float(rest.on_left[0]) if rest else None,
        rest.beside if rest else None,
        rest.left if rest else None,
        rest.right if rest else None,
    )


def _geometric(side: Beside, index: int | None) -> float:
    """Thickness over the least one at which the dead load and a pattern are carried."""
    dead = side.dead()
    variable = dead.times(0.0) if index is None else side.pattern(index)

    def carried(share: float) -> bool:
        return side.program(variable, share=share).state(1.0, 1.0) is not None

    low, high = THINNEST, 1.0
    if not carried(high):
        return 0.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if carried(middle) else (middle, high)
    return 1 / high


def _design_loads(job: Job, program: TrimmedProgram) -> Array | None:
    """Greatest load on the left and on the right trimmer under the design loads, N/m: (2,)."""
    found = []
    states = [(job.loads.factors.permanent, 0.0, 0)]
    for pair in design_pairs(job.loads):
        states += [(pair.permanent, pair.imposed, k) for k in range(len(program.variable))]
    for dead, factor, pattern in states:
        state = program.state(dead, factor, pattern)
        if state is None:
            return None
        found.append([np.hypot(*state.on_left), np.hypot(*state.on_right)])
    return np.asarray(np.max(found, axis=0))


def _strip_checks(job: Job, proof: OpeningProof) -> list[Check]:
    factors = job.loads.factors
    key = f"openings.{proof.number}"
    carried = min(proof.sides, key=lambda s: s.share_of_dead)
    checks = [
        judge(
            f"{key}.stands",
            say("Share of the dead load carried round {name}", name=proof.name),
            carried.share_of_dead,
            STANDS,
            kind="percent",
            reason=say(
                "Cut arches on their trimmers, and the strip on the {side}, {width:length} wide, "
                "that takes what they hand over.",
                side=carried.name,
                width=carried.width,
            ),
            source=SAFE,
            led=True,
        )
    ]
    stands = carried.share_of_dead >= STANDS
    asked = [s for s in proof.sides if s.load_factor is not None]
    worst = min(asked, key=lambda s: s.load_factor or 0.0, default=None)
    reason = say("The shell round the opening does not carry its dead load.")
    if worst is not None:
        bound = worst.kinematic
        reason = (
            say(
                "Governed by: {load}, on the {side}; no upper bound by a mechanism.",
                load=worst.title,
                side=worst.name,
            )
            if bound is None
            else say(
                "Governed by: {load}, on the {side}; a mechanism of the strip beside under what it "
                "is handed gives {bound:ratio}.",
                load=worst.title,
                side=worst.name,
                bound=bound,
            )
        )
    elif stands:
        reason = say("The job states no imposed load.")
    value = worst.load_factor if worst else (None if stands else 0.0)
    checks.append(
        judge(
            f"{key}.load_factor",
            say("Load factor beside {name}", name=proof.name),
            value,
            factors.load_factor_least,
            kind="ratio",
            reason=reason,
            source=SAFE_WITHIN,
        )
    )
    thin = min(proof.sides, key=lambda s: s.geometric or 0.0)
    checks.append(
        judge(
            f"{key}.geometric",
            say("Geometric factor beside {name}", name=proof.name),
            thin.geometric if stands else 0.0,
            factors.geometric_least,
            kind="ratio",
            reason=say(
                "Strip beside and cut arches thinned alike about their middle, under: {load}.",
                load=thin.title,
            ),
            source="Heyman 1966; limit loads.factors.geometric_least",
        )
    )
    return checks


def _ring_checks(
    job: Job, vault: Barrel, opening: TrimmedOpening, proof: OpeningProof
) -> list[Check]:
    key = f"openings.{proof.number}"
    strength = job.masonry.crushing
    if proof.trimmers is None:
        return [
            judge(
                f"{key}.trimmer",
                say("Trimmers of {name}", name=proof.name),
                float("inf"),
                1.0,
                kind="percent",
                at_least=False,
                reason=say("Under the design loads nothing stands round the opening."),
                source="EN 1990 expressions 6.10a and 6.10b"
                if by_pair(job.loads)
                else "EN 1990 expression 6.10",
            )
        ]
    worst = max(proof.trimmers, key=lambda t: t.push)
    block = BLOCK * vault.thickness * opening.ring_width
    why = say("No crushing strength is stated (masonry.crushing).")
    checks = [
        judge(
            f"{key}.trimmer",
            say("Flat arch of the trimmer of {name}, share of its strength", name=proof.name),
            worst.use,
            1.0,
            kind="percent",
            at_least=False,
            reason=why
            if worst.use is None
            else say(
                "Pressed by {load:line_load} over {length:length}; lever arm {arm:length} in a "
                "ring {width:length} wide.",
                load=worst.load,
                length=worst.length,
                arm=worst.arm,
                width=opening.ring_width,
            ),
            source="w L2/8 against the stress block of the ring, EN 1990 expressions 6.10a and 6.10b"
            if by_pair(job.loads)
            else "w L2/8 against the stress block of the ring, EN 1990 expression 6.10",
        ),
        judge(
            f"{key}.bearing",
            say("Bearing of the trimmer of {name} on the shell beside", name=proof.name),
            worst.reaction / block,
            strength,
            kind="stress",
            at_least=False,
            reason=why
            if strength is None
            else say(
                "{force:force} on two thirds of the thickness, over the width of the ring.",
                force=worst.reaction,
            ),
            source="stress block, EN 1996-1-1:2005 6.1.1",
        ),
        judge(
            f"{key}.bars",
            say("Push of the trimmer of {name} along the axis, on one bar", name=proof.name),
            worst.push,
            proof.bar_takes,
            kind="force",
            at_least=False,
            reason=say(
                "w L2/(8 f) at each corner. Without a bar only the bond of the tiles would hold it, "
                "which is not reckoned on; a bar of {need:length} would do "
                "(openings.{number}.trimmer.bar).",
                need=proof.bar_needed,
                number=proof.number,
            )
            if proof.bar_takes is None
            else say("w L2/(8 f) at each corner; a bar of {need:length} is needed.",
                     need=proof.bar_needed),
            source="EN 1992-1-1:2004 3.2.7, partial factor 1.15",
        ),
    ]  # fmt: skip
    trimmer = job.openings[proof.number - 1].trimmer
    if trimmer.bar is not None:
        checks.append(
            judge(
                f"{key}.bed",
                say("Bed that takes the bars of {name}", name=proof.name),
                trimmer.bed,
                trimmer.bar + BAR_ROOM,
                kind="length",
                reason=say("A joint is thicker than its bar by {room:length}.", room=BAR_ROOM),
                source="EN 1996-1-1:2005 8.2 (from memory)",
            )
        )
    if proof.ring_thrust is not None:
        checks.append(
            judge(
                f"{key}.ring",
                say("Round ring of {name}, pressed alike all round", name=proof.name),
                proof.ring_thrust / block,
                strength,
                kind="stress",
                at_least=False,
                reason=why
                if strength is None
                else say("Thrust p r of {force:force}.", force=proof.ring_thrust),
                source="thin ring, N = p r",
            )
        )
    return checks
