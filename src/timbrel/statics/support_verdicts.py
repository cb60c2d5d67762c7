"""Verdicts on one support under the combinations, each with its clause and what governs it."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Wall
from timbrel.statics.walls import Side
from timbrel.verdict import Check, judge
from timbrel.words import Message, say


@dataclass(frozen=True)
class Governed:
    """A value, and the combination and bound of thrust under which it is worst."""

    value: float
    combination: str
    bound: str


def support_verdicts(
    wall: Wall,
    side: Side,
    strong: bool,
    over: Governed,
    values: dict[str, Governed | None],
    sliding: Governed,
) -> tuple[Check, ...]:
    """All verdicts of a support. strong: is the strength of its masonry known."""
    where = say("Left support") if side == "left" else say("Right support")
    no_strength = say(
        "The job states neither walls.{side}.masonry.strength nor unit and mortar.",
        side=side,
    )
    reasons = dict.fromkeys(("crushing", "vertical", "shear", "springer"), no_strength)
    reasons["bearing"] = say("The job does not state walls.{side}.ground.bearing.", side=side)
    if wall.buttress is not None and strong:
        reasons["vertical"] = say("A wall with buttresses is judged by its crushing alone.")
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
    return tuple(found)


def _titles(where: Message) -> dict[str, tuple[Message, str]]:
    return {
        "crushing": (
            say("{where}: crushing, share used", where=where),
            "EN 1996-1-1 6.1.1, stress block",
        ),
        "vertical": (
            say("{where}: vertical resistance, share used", where=where),
            "EN 1996-1-1 6.1.2, annex G",
        ),
        "shear": (say("{where}: shear of a bed, share used", where=where), "EN 1996-1-1 6.2"),
        "springer": (
            say("{where}: bearing of the springing, share used", where=where),
            "EN 1996-1-1 6.1.3",
        ),
        "bearing": (
            say("{where}: bearing of the ground, share used", where=where),
            "Meyerhof 1953, effective width; EN 1997-1 annex D",
        ),
    }


def _by(value: Governed) -> Message:
    bound = say("least thrust") if value.bound == "least" else say("greatest thrust")
    return say("Governed by {combination}, {bound}.", combination=value.combination, bound=bound)
