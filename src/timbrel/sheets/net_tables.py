"""The strut net in tables: load factors with both bounds and two finenesses, thrusts, the beds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.support_names import support_name
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.statics.net_factors import NetFactor
    from timbrel.statics.net_proof import NetProof
    from timbrel.statics.net_supports import NetSupports
    from timbrel.statics.net_thrusts import SupportThrust


def net_blocks(net: NetProof, supports: NetSupports | None, voice: Voice) -> list[Block]:
    """Load factors with both bounds and two finenesses, thrusts on the supports, the beds."""
    spots = min((s.load for s in net.spots), default=None)
    return [
        blocks.words(voice, net.wording),
        blocks.heading(voice, say("Load factors")),
        _factors(net, voice),
        blocks.words(
            voice,
            say(
                "Net of {steps:count} steps. Greatest load on one spot, anywhere: {load}.",
                steps=net.steps,
                load="–" if spots is None or not np.isfinite(spots)
                else voice.quantity(spots, "force"),
            ),
        ),
        blocks.bullets(voice, why_bounds(net.factors, voice)),
        blocks.heading(voice, say("Thrust on the supports")),
        *_thrusts(net, supports, voice),
    ]  # fmt: skip


def _factors(net: NetProof, voice: Voice) -> Block:
    rows = []
    for factor in net.factors:
        coarser = "–" if factor.coarser is None else voice.quantity(factor.coarser, "ratio")
        upper = (
            voice(say("no upper bound"))
            if factor.kinematic is None
            else voice.quantity(factor.kinematic, "ratio")
        )
        carried = voice.quantity(factor.static, "ratio")
        gap = "–" if factor.gap is None else voice.quantity(factor.gap, "percent")
        if factor.more:
            carried = f"≥ {carried}"
            gap = gap if factor.gap is None else f"≤ {gap}"
        apart = factor.difference
        between = "–" if apart is None else voice.quantity(apart, "percent")
        rows.append((factor.title, f"{factor.steps}", carried, coarser, between, upper, gap))
    head = [say("Load"), say("Steps"), say("Net"), say("Coarser net"), say("Difference"),
            say("Mechanism"), say("Gap")]  # fmt: skip
    return blocks.table(voice, head, rows, align="lrrrrrr", widths=[FILL, *[-1] * 6])


def why_bounds(factors: tuple[NetFactor, ...], voice: Voice) -> list[Message]:
    """What each upper bound is, or why there is none: every reason once, with its loads."""
    loads: dict[str, list[NetFactor]] = {}
    for factor in factors:
        loads.setdefault(voice(factor.upper.reason), []).append(factor)
    return [
        _why(", ".join(voice(factor.title) for factor in alike), reason, alike[0].kinematic)
        for reason, alike in loads.items()
    ]


def _why(loads: str, reason: str, bound: float | None) -> Message:
    if bound is None:
        return say("{loads}: no upper bound. {why}", loads=loads, why=reason)
    return say("{loads}: {why}", loads=loads, why=reason)


def _thrusts(net: NetProof, supports: NetSupports | None, voice: Voice) -> list[Block]:
    return [
        blocks.table(
            voice,
            [say("Support"), say("Load"), say("Bound"), say("Outward"), say("Down")],
            [
                (
                    support_name(push.support),
                    push.case.title,
                    say("least") if push.case.bound == "least" else say("greatest"),
                    voice.quantity(float(np.hypot(*push.total[:2])), "force")
                    if push.force is None
                    else voice.quantity(push.force.level, "line_load"),
                    voice.quantity(-float(push.total[2]), "force")
                    if push.force is None
                    else voice.quantity(push.force.down, "line_load"),
                )
                for push in (supports.pushes if supports else ())
            ],
            align="lllrr",
        ),
        blocks.heading(voice, say("Range of each support by itself, dead load alone")),
        blocks.table(
            voice,
            [say("Support"), say("Least thrust"), say("Greatest thrust")],
            [(support_name(one.support), *_range(one, voice)) for one in net.thrusts],
            align="lrr",
        ),
        *(
            [blocks.words(voice, _unbounded(), small=True)]
            if any(one.greatest is None for one in net.thrusts)
            else []
        ),
    ]


def _unbounded() -> Message:
    return say(
        "Where struts press straight from wall to wall nothing but the strength of the shell bounds "
        "the greatest thrust. The figure is what a coarse net presses when every face of it is at its "
        "strength. Supports that give a little bring the thrust down towards the least, so no wall is "
        "judged under it; a vault squeezed between walls that move inward may reach it."
    )


def _range(thrust: SupportThrust, voice: Voice) -> tuple[str, str]:
    kind = "line_load" if thrust.length else "force"
    least = voice.quantity(thrust.least, kind)
    if thrust.greatest is not None:
        return least, voice.quantity(thrust.greatest, kind)
    alone = voice(say("bounded by the strength alone"))
    if thrust.by_strength is None:
        return least, alone
    return least, f"≥ {voice.quantity(thrust.by_strength, kind)}, {alone}"
