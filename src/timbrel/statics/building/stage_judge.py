"""Does a stage of a vault on a plan stand, and on what?

First the safe theorem: is there a net of struts inside what has set, with its free edges? Then
nothing is asked of the bond. If there is none, or if an open course hangs on its glue, an elastic
shell says what tension the joints must carry. Bond is brittle, so the worse of even stiffness and
of young joints as hinges (those of the key that closed the last course) counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.building.elastic_shell import ElasticShell, ShellAnswer
from timbrel.statics.building.opened_grids import kerb_weight
from timbrel.statics.building.stage_model import ShellState, StageModel, springer_nodes
from timbrel.statics.building.stage_verdict import holds_bare, judged_stage
from timbrel.statics.building.surface_stage import Array, Index, Stage, StageAnswer, StageStruts
from timbrel.statics.maturity import BondStrength
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_fineness import reach_over
from timbrel.statics.net_loads import NetLoad, lump
from timbrel.statics.net_opened import grids_over
from timbrel.statics.net_resting import RestingNet
from timbrel.statics.net_stage import StageNet, layer_net, stage_of, stage_point, stage_weight
from timbrel.statics.net_symmetry import of_loads
from timbrel.statics.net_vaults import solid_of
from timbrel.verdict import Verdict
from timbrel.words import Message, say

STANDS = 1 - 1e-6
HINGED = 0.02
"""Stiffness in bending of a key whose joints are taken as hinges, over that of older work."""


@dataclass
class _Spot:
    """A place: weights (n,) of one newton there, greatest force (N) carried, least that was not."""

    unit: Array
    carried: float = 0.0
    failed: float = math.inf


class StageJudge:
    """Answers stages of one vault. Nets and shells asked before are not asked again."""

    def __init__(self, job: Job, model: StageModel, strength: BondStrength | None) -> None:
        self.job, self.model, self.strength = job, model, strength
        self._stands: dict[bytes, bool] = {}
        self._spots: dict[bytes, list[_Spot]] = {}
        self._last: tuple[bytes, tuple[StageNet, NetLoad]] | None = None

    def answer(self, stage: Stage) -> StageAnswer:
        """The whole answer, verdict included."""
        stands = stage.operation != "open" and self.stands(stage)
        if stage.operation == "struck":
            return self._struck(stage, stands)
        bare = stands and stage.operation in ("use", "layer")
        found = self._by_net_alone(stage) if bare else self._elastic(stage, stands)
        return judged_stage(found, self.job, self.strength)

    def _by_net_alone(self, stage: Stage) -> StageAnswer:
        nothing = np.zeros(len(stage.acting))
        reason = say("a net of struts lies inside what has set")
        holder = self._holds_by(stage, True)
        return StageAnswer(stage, True, 0.0, reason, 0, nothing, None, None, None, holder)

    def _struck(self, stage: Stage, stands: bool) -> StageAnswer:
        """What stands for good may lean on no bond: a net must lie in it, be it a finer one."""
        if stands or self._stands_by_proof(stage):
            return judged_stage(self._by_net_alone(stage), self.job, self.strength)
        found = self._elastic(stage, False)
        return replace(
            found,
            verdict=Verdict.FAILS,
            reason=say(
                "no net of struts lies in it without the boxes, and no bond may hold it for good"
            ),
            holds_by=say("the boxes of the openings on their props: leave them"),
        )

    def _stands_by_proof(self, stage: Stage) -> bool:
        """Does one of the nets of the final proof carry it?"""
        job, vault = self.job, self.model.vault
        solid = solid_of(vault)
        for steps, grid in grids_over(job, solid).items():
            layer = layer_net(vault, stage.layers, steps, reach_over(solid), grid)
            parts = layer.pieces
            force = parts.area * float(self.model.weights[: stage.layers].sum())
            dead = lump(grid, parts, stage.key, stage.title, force, ())
            if stage.kerbs:
                dead = replace(dead, weight=dead.weight + kerb_weight(job, vault, grid))
            if NetQuestion(layer.net, dead).share_of_dead() >= STANDS:
                return True
        return False

    def stands(self, stage: Stage) -> bool:
        """Is there a net inside what has set? What stands without boxes stands with them."""
        if stage.box and self._key(replace(stage, box=False)) in self._stands:
            without = replace(stage, box=False)
            if self.stands(without):
                return True
        key = self._key(stage)
        if key not in self._stands:
            self._stands[key] = self._carried(stage, *self._part(stage))
        if not self._stands[key] or stage.place is None:
            return self._stands[key]
        return self._stands_under(key, stage, stage.place)

    def _key(self, stage: Stage) -> bytes:
        """What tells a stage's net from others, whatever is set down on it."""
        told = bytes([stage.layers, stage.box, stage.kerbs])
        return stage.acting.tobytes() + stage.weight.tobytes() + told

    def _stands_under(self, key: bytes, stage: Stage, place: Array) -> bool:
        """With something set down. What stands under nothing and under a load stands under all
        between (states of equilibrium mix); places that a symmetry makes alike are asked once."""
        part, dead = self._part(stage)
        point = stage_point(part, "spot", say("A load on one spot"), place, stage.force)
        unit = point.weight / max(stage.force, 1e-9)
        group = of_loads(part.net.group, dead.weight)
        known = self._spots.setdefault(key, [])
        spot = next((s for s in known if any(np.allclose(s.unit[g], unit) for g in group)), None)
        if spot is None:
            spot = _Spot(unit)
            known.append(spot)
        if stage.force <= spot.carried:
            return True
        if stage.force >= spot.failed:
            return False
        both = replace(dead, weight=dead.weight + point.weight)
        stands = self._carried(stage, part, both)
        if stands:
            spot.carried = stage.force
        else:
            spot.failed = stage.force
        return stands

    def struts(self, stage: Stage) -> StageStruts | None:
        """Those that carry in the state of least thrust; None without a net."""
        part, dead = self._part(stage)
        if stage.place is not None:
            title = say("A load on one spot")
            point = stage_point(part, "spot", title, stage.place, stage.force)
            dead = replace(dead, weight=dead.weight + point.weight)
        force: Array | None
        if stage.box:
            force = RestingNet(part.net, dead, self._props(part)).least_thrust()
        else:
            found = NetQuestion(part.net, dead).thrust(least=True)
            force = None if found is None else found.force
        if force is None:
            return None
        carries = force > 0
        start, end = part.net.struts.ends(part.net.grid)
        return StageStruts(start[carries], end[carries], force[carries])

    def _part(self, stage: Stage) -> tuple[StageNet, NetLoad]:
        """The net of a stage and what lies on it, but for what is set down; the last is kept."""
        key = self._key(stage)
        if self._last is None or self._last[0] != key:
            self._last = key, self._drawn(stage)
        return self._last[1]

    def _drawn(self, stage: Stage) -> tuple[StageNet, NetLoad]:
        layer = self.model.net(stage.layers)
        part = stage_of(layer, stage.acting)
        laid = stage.acting
        dead = stage_weight(layer, part, stage.key, stage.title, laid, stage.weight)
        if stage.kerbs:
            dead = replace(dead, weight=dead.weight + self.model.kerbs[part.there])
        return part, dead

    def _props(self, part: StageNet) -> Index:
        """Nodes of a stage that rest on the boxes of openings."""
        return part.own(np.flatnonzero(self.model.box))

    def _carried(self, stage: Stage, part: StageNet, dead: NetLoad) -> bool:
        net = part.net
        if not net.struts.size or not net.grid.supports:
            return False
        if stage.box:
            return RestingNet(net, dead, self._props(part)).share_of_dead() >= STANDS
        return NetQuestion(net, dead).share_of_dead() >= STANDS

    def _elastic(self, stage: Stage, stands: bool) -> StageAnswer:
        model = self.model
        thickness = np.where(
            stage.doubled, model.top(min(stage.layers + 1, len(model.vault.layers))),
            model.top(stage.layers),
        )  # fmt: skip
        even = np.ones(len(stage.acting))
        cases = [(say("even stiffness"), even)]
        if not stands and stage.youngest.any() and (stage.acting & ~stage.youngest).any():
            hinged = np.where(stage.youngest & stage.acting, HINGED, even)
            cases.append((say("young joints as hinges"), hinged))
        weight = model.nodal(stage.weight * stage.acting)
        hung, moment = model.hung(stage.hanging, stage.arms, stage.acting)
        weight = weight + hung
        if stage.kerbs:
            weight = weight + model.kerbs
        if stage.place is not None:
            weight = weight + model.point(stage.place, stage.force)
        best: tuple[Message, Array, ShellAnswer] | None = None
        for name, bending in cases:
            state = ShellState(stage.acting, bending, thickness)
            answer = self._ask(model.shell(state), stage, weight, moment)
            along = np.zeros(len(even))
            np.maximum.at(along, model.cells_of(state), answer.tension)
            if best is None or along.max() > best[1].max():
                best = (name, along, answer)
        assert best is not None
        name, along, answer = best
        press = float(answer.press.mean())
        thin = float(thickness[stage.acting].min()) if stage.acting.any() else model.top(1)
        critical = model.buckling_force(thin)
        return StageAnswer(
            stage,
            stands,
            0.0 if stands else float(along.max()),
            say("a net of struts lies inside what has set") if stands else name,
            int(np.argmax(along)),
            np.zeros_like(along) if stands else along,
            press,
            max(float(-answer.moved[:, 2].min(initial=0.0)), 0.0),
            critical / press if press > 0 else math.inf,
            self._holds_by(stage, stands),
            props=self._on_props(stage, answer),
        )

    def on_props(self, stage: Stage) -> tuple[float, ...]:
        """What the box of each opening carries at a stage by the elastic shell, N."""
        return self._elastic(stage, True).props

    def _on_props(self, stage: Stage, answer: ShellAnswer) -> tuple[float, ...]:
        """What the box of each opening carries, N."""
        if not stage.box or self.model.opened is None:
            return ()
        return tuple(float(answer.guides[box].sum()) for box in self.model.opened.boxes)

    def _ask(self, shell: ElasticShell, stage: Stage, weight: Array, moment: Array) -> ShellAnswer:
        resting = (self.model.guides & stage.guides) | (self.model.box & stage.box)
        guides = resting if resting.any() else None
        return shell.answer(weight, moment=moment, guides=guides, shift=self.shift(stage))

    def shift(self, stage: Stage) -> Array | None:
        """(n, 3) how far springings that spread take what they hold, m; None where they do not."""
        if not stage.spread:
            return None
        grid = self.model.grid
        found = np.zeros_like(grid.middle)
        for support in grid.supports:
            out = support.outward * stage.spread / 2
            if support.kind == "pier":
                # The solid springer goes with its pier, and not its corner alone.
                found[springer_nodes(self.job, grid, support), :2] = out[0]
            else:
                found[support.nodes, :2] = out
        return found

    def _holds_by(self, stage: Stage, stands: bool) -> Message:
        ribs = self.job.building.middle_ribs
        if stage.operation == "open":
            if not stage.guides:
                return say("the glue of its bed and a hand, until the ring is closed")
            return (
                say("the glue of its bed, a hand, guides and the rib under its middle")
                if ribs
                else say("the glue of its bed, a hand, and the guides under its ends")
            )
        if stands or not stage.guides:
            return holds_bare(stage, stands)
        return (
            say("guides and middle ribs, wedged tight, and the bond between them")
            if ribs
            else say("the guides, wedged tight, and the bond between them")
        )
