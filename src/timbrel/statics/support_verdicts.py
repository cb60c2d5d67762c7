"""Verdicts on one support under the combinations, each with its clause and what governs it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from timbrel.job.model import Job
from timbrel.statics.slenderness import Slenderness
from timbrel.statics.walls import AnySide, wall_key, wall_of
from timbrel.verdict import Check, judge
from timbrel.words import Message, cite, say


@dataclass(frozen=True)
class Governed:
    """A value, and the combination and bound of thrust under which it is worst."""

    value: float
    combination: str
    bound: str


def support_verdicts(
    job: Job,
    side: AnySide,
    slender: Slenderness,
    over: Governed,
    values: dict[str, Governed | None],
    sliding: Governed,
    level: Governed | None = None,
    *,
    pier: bool = False,
) -> tuple[Check, ...]:
    """All verdicts of a support. level: None where the job asks for no level acceleration. pier: it is
    the pier at the ends of a wall."""
    where = _where(side, pier)
    no_strength = say(
        "The job states neither {wall}.masonry.strength nor unit and mortar.",
        wall=wall_key(job, side),
    )
    reasons = dict.fromkeys(("crushing", "vertical", "shear", "springer"), no_strength)
    reasons["bearing"] = say(
        "The job does not state {keys}.", keys=f"{wall_key(job, side)}.ground.bearing"
    )
    found = [
        judge(
            f"supports.{side}.overturning",
            say("{where}: cracked, against overturning (EQU)", where=where),
            over.value,
            1.0,
            kind="ratio",
            reason=_by(over),
            source="EN 1990 table A1.2(A); cracked support, derived",
        )
    ]
    if level is not None:
        found.append(_level(f"supports.{side}.level", where, level))
    for name, (title, source) in _titles(where).items():
        value = values[name]
        found.append(
            judge(
                f"supports.{side}.{name}",
                title,
                None if value is None else value.value,
                1.0,
                kind="percent",
                reason=reasons[name] if value is None else _by(value),
                source=source,
                at_least=False,
            )
        )
    found.append(
        judge(
            f"supports.{side}.ground_sliding",
            say("{where}: sliding on the ground", where=where),
            sliding.value,
            1.0,
            kind="ratio",
            reason=_by(sliding),
            source="EN 1997-1 6.5.3",
        )
    )
    found.append(_slender(job, side, where, slender))
    if pier:
        # A pier is no wall of a slenderness that the clause speaks of; its names stand apart.
        prefix = f"supports.{side}."
        return tuple(replace(c, name=c.name.replace(prefix, f"{prefix}pier.")) for c in found[:-1])
    return tuple(found)


def _level(name: str, where: Message, level: Governed) -> Check:
    return judge(
        name,
        say("{where}: multiple of the level acceleration that it bears, cracked", where=where),
        level.value,
        1.0,
        kind="ratio",
        reason=_by(level),
        source="EN 1990 6.4.3.3; own weight swaying, cracked support, derived",
    )


def _where(side: AnySide, pier: bool) -> Message:
    if pier:
        return say("Left corner piers") if side == "left" else say("Right corner piers")
    names = {
        "left": say("Left support"),
        "right": say("Right support"),
        "near": say("Near support"),
        "far": say("Far support"),
        "ring": say("Drum under the ring"),
    }
    return names[side]


def _slender(job: Job, side: AnySide, where: Message, slender: Slenderness) -> Check:
    """Slenderness, which needs no strength to be known."""
    held = wall_of(job, side).masonry.head == "held"
    values = {"height": slender.height, "thickness": slender.thickness}
    if held:
        reason = say(
            "Effective height {height:length}, head held; effective thickness {thickness:length}.",
            **values,
        )
    else:
        reason = say(
            "Effective height {height:length}, head free, twice the height; effective thickness "
            "{thickness:length}.",
            **values,
        )
    return judge(
        f"supports.{side}.slenderness",
        say("{where}: slenderness, effective height over thickness", where=where),
        slender.ratio,
        job.loads.national.slenderness_most,
        kind="ratio",
        reason=reason,
        source="EN 1996-1-1 5.5.1.4; 5.5.1.2, 5.5.1.3, table 5.1 (from memory)",
        at_least=False,
    )


def _titles(where: Message) -> dict[str, tuple[Message, str]]:
    return {
        "crushing": (
            say("{where}: crushing, share used", where=where),
            cite("EN 1996-1-1 6.1.1, stress block"),
        ),
        "vertical": (
            say("{where}: vertical resistance, share used", where=where),
            cite("EN 1996-1-1 6.1.2, annex G"),
        ),
        "shear": (
            say("{where}: shear of a bed, share used", where=where),
            cite("EN 1996-1-1 6.2"),
        ),
        "springer": (
            say("{where}: bearing of the springing, share used", where=where),
            cite("EN 1996-1-1 6.1.3"),
        ),
        "bearing": (
            say("{where}: bearing of the ground, share used", where=where),
            cite("Meyerhof 1953, effective width; EN 1997-1 annex D"),
        ),
    }


def _by(value: Governed) -> Message:
    bound = say("least thrust") if value.bound == "least" else say("greatest thrust")
    return say("Governed by {combination}, {bound}.", combination=value.combination, bound=bound)
