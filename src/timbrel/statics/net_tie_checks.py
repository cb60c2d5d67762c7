"""Verdicts on the ties of a vault on a plan."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.statics.level_arch import LevelArch
from timbrel.statics.tie_checks import DROP_SHARE, PLATE_ENHANCEMENT
from timbrel.statics.tied_plan import NetRing, NetTie, NetTies
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.walls import wall_key, wall_of
from timbrel.verdict import Check, judge
from timbrel.words import Message, say


def net_tie_checks(job: Job, tied: NetTies | None) -> tuple[Check, ...]:
    """Section, plate, the walls between the corners, and what the stretch costs."""
    ties = job.walls.ties
    if ties is None:
        return ()
    if tied is None:
        reason = say("The vault has no state of compression, so its thrust is not known.")
        return (_unjudged(reason),)
    if tied.lacking:
        key = f"walls.{tied.lacking}"
        return (
            _unjudged(
                say(
                    "A tie round four walls holds only what they bear to the corners as level "
                    "arches, and for that the job does not state {key}; the walls are judged as if "
                    "there were none.",
                    key=key,
                )
            ),
        )
    found = [_arch(side, arch) for side, arch in tied.arches]
    if tied.ring is not None:
        found += _ring(job, tied.ring)
    for tie in tied.ties:
        found += _straight(ties, tie)
    if tied.ties or tied.ring is not None:
        found.append(_drop(job, ties, tied))
    return tuple(found)


def _unjudged(reason: Message) -> Check:
    return judge(
        "supports.ties",
        say("Ties at the springing"),
        None,
        1.0,
        kind="ratio",
        reason=reason,
        source="docs/load-path.md",
    )


def _arch(side: str, arch: LevelArch) -> Check:
    names = {
        "left": say("Left wall"),
        "right": say("Right wall"),
        "near": say("Near wall"),
        "far": say("Far wall"),
    }
    values = {"band": arch.band, "thickness": arch.thickness, "push": arch.push}
    reason = say(
        "A band {band:length} high bears {push:line_load} level to the corners in its thickness of "
        "{thickness:length}, pushing {thrust:force} along the wall.",
        thrust=arch.thrust,
        **values,
    )
    if arch.use > 1:
        reason = say(
            "A band {band:length} high cannot bear {push:line_load} level to the corners in its "
            "thickness of {thickness:length}: the ties hold nothing between the corners, and the "
            "walls are judged as if there were none.",
            **values,
        )
    return judge(
        f"supports.tie.{side}.arch",
        say("{wall}: level arch between the ties, share used", wall=names[side]),
        arch.use,
        1.0,
        kind="percent",
        at_least=False,
        reason=reason,
        source="flat arch in the thickness of the wall, block of stress (derived)",
    )


def _held_until(ties: Ties) -> Message:
    if ties.stay == "until cured":
        return say("Until the mortar has cured, under the dead load alone; then it may go.")
    return say("For good; in a fire a bare tie is lost, and the masonry alone must hold.")


def _straight(ties: Ties, tie: NetTie) -> list[Check]:
    answer = tie.answer
    found = [
        judge(
            f"supports.tie.{tie.name}.section",
            say("{tie}: share of the resistance used", tie=tie_name(tie.name)),
            answer.use,
            1.0,
            kind="percent",
            at_least=False,
            reason=say(
                "{force:force} under {combination}; section {gross:force}, thread or hole "
                "{net:force}. {stay}",
                force=answer.force,
                combination=tie.combination,
                gross=answer.gross,
                net=answer.net,
                stay=_held_until(ties),
            ),
            source="EN 1993-1-1 6.2.3, EN 1993-1-8 table 3.4",
        )
    ]
    weakest = tie.strength
    bearing = say("Strength of the weaker end under a plate, enhancement 1.25.")
    if weakest is None:
        bearing = say("The job does not state the strength of the masonry behind the plates.")
    assert ties.anchor is not None
    return [
        *found,
        judge(
            f"supports.tie.{tie.name}.bearing",
            say("{tie}: pressure of the plate on the masonry", tie=tie_name(tie.name)),
            answer.plate_pressure,
            None if weakest is None else PLATE_ENHANCEMENT * weakest,
            kind="stress",
            at_least=False,
            reason=bearing,
            source="EN 1996-1-1 6.1.3",
        ),
        judge(
            f"supports.tie.{tie.name}.plate",
            say("{tie}: thickness of the plate", tie=tie_name(tie.name)),
            ties.anchor.thickness,
            answer.plate_needed,
            kind="length",
            reason=say("The plate bends as a cantilever from the nut to its edge."),
            source="EN 1993-1-1 6.2.5, elastic section",
        ),
    ]


def _ring(job: Job, ring: NetRing) -> list[Check]:
    strength = wall_strength(wall_of(job, "ring").masonry, job.loads.national)
    weakest = None if strength is None else strength.design
    missing = say(
        "The job states neither {wall}.masonry.strength nor unit and mortar.",
        wall=wall_key(job, "ring"),
    )
    return [
        judge(
            "supports.ring",
            say("Ring round the dome: tension"),
            ring.force,
            ring.resistance,
            kind="force",
            at_least=False,
            reason=say(
                "The push under {combination} times the radius of {radius:metres}; the ring is "
                "closed, lies in the springing and is tight before the centring is eased. In a fire "
                "a bare ring is lost, and the drum alone must hold.",
                combination=ring.combination,
                radius=ring.radius,
            ),
            source="equilibrium of a ring; EN 1993-1-1 6.2.3, EN 1993-1-8 table 3.4",
        ),
        judge(
            "supports.tie.ring.bearing",
            say("Ring round the dome: pressure on the masonry behind it"),
            ring.pressing,
            weakest,
            kind="stress",
            at_least=False,
            reason=missing
            if weakest is None
            else say("The push of a metre on the thinner side of the ring."),
            source="N / (r b); EN 1996-1-1 6.1.3 without enhancement",
        ),
    ]


def _drop(job: Job, ties: Ties, tied: NetTies) -> Check:
    values = {"x": tied.apart[0], "y": tied.apart[1], "warmer": ties.warmer}
    if tied.ring is not None:
        reason = say(
            "The springing goes out by {grown:length} all round, by load and by {warmer} K of "
            "warmth.",
            grown=tied.ring.grown,
            warmer=ties.warmer,
        )
    elif tied.arches:
        reason = say(
            "The springings move apart {x:length} and {y:length} both ways, by load, by {warmer} K "
            "of warmth and by the bow of the walls.",
            **values,
        )
    else:
        reason = say(
            "The springings move apart {x:length} and {y:length} both ways, by load and by "
            "{warmer} K of warmth.",
            **values,
        )
    return judge(
        "supports.tie.drop",
        say("Ties: drop of the crown that their stretch costs"),
        tied.drop,
        min(tied.across) * DROP_SHARE,
        kind="length",
        at_least=False,
        reason=reason,
        source="elastic stretch, two rigid halves (derived); span/500, common practice",
    )


def tie_name(name: str) -> Message:
    """A tie as it is called on paper."""
    across = {"x": say("Ties from left to right"), "y": say("Ties from near to far")}
    return across.get(name) or say("Tie {side}", side=name)
