"""Verdicts on a pier under the combinations, each with its clause and what governs it."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Job, Wall
from timbrel.statics.support_verdicts import Governed
from timbrel.verdict import Check, judge
from timbrel.words import Message, cite, say


@dataclass(frozen=True)
class PierValues:
    """What a pier comes to; None where data are missing. slenderness: h_ef over its side. level: None
    where the job asks for no level acceleration."""

    overturning: Governed
    inward: Governed
    crushing: Governed | None
    vertical: Governed | None
    shear: Governed | None
    springer: Governed | None
    bearing: Governed | None
    sliding: Governed
    slenderness: float
    level: Governed | None = None


def pier_verdicts(
    job: Job, wall: Wall, corner: str, side: str, values: PierValues
) -> tuple[Check, ...]:
    """All verdicts of a pier. side: of the wall that states it."""
    return (
        judge(
            f"supports.pier.{corner}.overturning",
            say("Pier {corner}: cracked, against overturning (EQU)", corner=corner),
            values.overturning.value,
            1.0,
            kind="ratio",
            reason=governed_by(values.overturning),
            source="EN 1990 table A1.2(A); cracked pier, derived",
        ),
        judge(
            f"supports.pier.{corner}.inward",
            say("Pier {corner}: cracked, against turning into the room (EQU)", corner=corner),
            values.inward.value,
            1.0,
            kind="ratio",
            reason=governed_by(values.inward),
            source="EN 1990 table A1.2(A); cracked pier, derived",
        ),
        *_level(corner, values.level),
        *_shares(corner, side, values),
        judge(
            f"supports.pier.{corner}.ground_sliding",
            say("Pier {corner}: sliding on the ground", corner=corner),
            values.sliding.value,
            1.0,
            kind="ratio",
            reason=governed_by(values.sliding),
            source="EN 1997-1 6.5.3",
        ),
        _slender(job, wall, corner, values.slenderness),
    )


def _level(corner: str, level: Governed | None) -> tuple[Check, ...]:
    if level is None:
        return ()
    return (
        judge(
            f"supports.pier.{corner}.level",
            say(
                "Pier {corner}: multiple of the level acceleration that it bears, cracked",
                corner=corner,
            ),
            level.value,
            1.0,
            kind="ratio",
            reason=governed_by(level),
            source="EN 1990 6.4.3.3; own weight swaying, cracked pier, derived",
        ),
    )


def _shares(corner: str, side: str, values: PierValues) -> list[Check]:
    strength = say(
        "The job states neither {wall}.masonry.strength nor unit and mortar.", wall=f"walls.{side}"
    )

    ground = say("The job does not state {keys}.", keys=f"walls.{side}.ground.bearing")
    rows: tuple[tuple[str, Message, str, Governed | None, Message], ...] = (
        ("crushing", say("Pier {corner}: crushing of a bed, share used", corner=corner),
         cite("EN 1996-1-1 6.1.1, stress block about both middle lines"), values.crushing, strength),
        ("vertical", say("Pier {corner}: vertical resistance, share used", corner=corner),
         cite("EN 1996-1-1 6.1.2, annex G; both ways at once, derived"), values.vertical, strength),
        ("shear", say("Pier {corner}: shear of a bed, share used", corner=corner),
         cite("EN 1996-1-1 6.2"), values.shear, strength),
        ("springer", say("Pier {corner}: bed under the springer, share used", corner=corner),
         cite("EN 1996-1-1 6.1.3"), values.springer, strength),
        ("bearing", say("Pier {corner}: bearing of the ground, share used", corner=corner),
         cite("Meyerhof 1953, effective width both ways; EN 1997-1 annex D"), values.bearing,
         ground),
    )  # fmt: skip
    return [
        judge(
            f"supports.pier.{corner}.{name}",
            title,
            None if value is None else value.value,
            1.0,
            kind="percent",
            at_least=False,
            reason=reason if value is None else governed_by(value),
            source=source,
        )
        for name, title, source, value, reason in rows
    ]


def _slender(job: Job, wall: Wall, corner: str, slenderness: float) -> Check:
    assert wall.pier is not None and wall.height is not None
    held = wall.masonry.head == "held"
    sizes = {"height": wall.height if held else 2 * wall.height, "side": wall.pier}
    return judge(
        f"supports.pier.{corner}.slenderness",
        say("Pier {corner}: slenderness, effective height over side", corner=corner),
        slenderness,
        job.loads.national.slenderness_most,
        kind="ratio",
        at_least=False,
        reason=say("Effective height {height:length}, head held; side {side:length}.", **sizes)
        if held
        else say(
            "Effective height {height:length}, head free, twice the height; side {side:length}.",
            **sizes,
        ),
        source="EN 1996-1-1 5.5.1.2, 5.5.1.4 (from memory)",
    )


def governed_by(found: Governed) -> Message:
    bound = say("least thrust") if found.bound == "least" else say("greatest thrust")
    return say("Governed by {combination}, {bound}.", combination=found.combination, bound=bound)
