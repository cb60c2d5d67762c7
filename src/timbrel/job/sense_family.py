"""Does what is stated of the curve and the ends belong to the stated kind of vault?

What another kind would heed is refused, not passed over: a mason who wrote it counts on it.
"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.model import Job
from timbrel.job.refusals import Fault, given_text
from timbrel.words import Message, say

SPANNING = ("barrel", "flight")
"""Families that run from one end to the other, and may taper on the way."""
LEAST_OCULUS = 0.1
"""Least diameter of an oculus, m: no ring of tiles closes round less (common practice, no source)."""
ENDS: dict[str, tuple[str, ...]] = {"cloister": ("wall", "carrying wall"), "dome": ("wall",)}
"""Kinds of end of the families that stand on something all round."""


def family_faults(job: Job) -> Iterator[Fault]:
    """Keys of the curve, and ends of the room, that the stated kind of vault cannot heed."""
    curve = job.curve
    dome = curve.family == "dome"
    if curve.oculus and not dome:
        yield Fault(
            "curve.oculus",
            say(
                "curve.oculus is {given:length} for a vault of kind {family}; accepted: in a dome "
                "only; other vaults take [[openings]].",
                given=curve.oculus,
                family=curve.family,
            ),
        )
    if dome and 0 < curve.oculus < LEAST_OCULUS:
        yield Fault(
            "curve.oculus",
            say(
                "curve.oculus is {given:length}; accepted: 0 for none, or {least:length} and more: no "
                "ring of tiles closes round less.",
                given=curve.oculus,
                least=LEAST_OCULUS,
            ),
        )
    if curve.diameter is not None and not dome:
        yield _foreign(job, "curve.diameter", curve.diameter, say("a dome"))
    arched = curve.family == "sail" and curve.sail == "translation"
    if curve.cross_rise is not None and not arched:
        yield _foreign(
            job, "curve.cross_rise", curve.cross_rise, say('a sail with curve.sail "translation"')
        )
    if curve.sail == "translation" and curve.family != "sail":
        yield _foreign_text(job, "curve.sail", curve.sail, say("a sail"))
    if curve.keep != "rise" and curve.family not in SPANNING:
        yield _foreign_text(job, "curve.keep", curve.keep, say("a barrel or a flight"))
    for number, opening in enumerate(job.openings, 1):
        if opening.trimmer.until_cured != "box" and curve.family not in SPANNING:
            key = f"openings.{number}.trimmer.until_cured"
            given = opening.trimmer.until_cured
            yield _foreign_text(job, key, given, say("a barrel or a flight"))
    for number, layer in enumerate(job.layers, 1):
        if dome and layer.direction == "diagonal":
            yield Fault(
                f"layers.{number}.direction",
                say(
                    "layers.{number}.direction is {given}, but a dome is laid in rings; accepted: "
                    '"along axis" (round the ring) or "along arc" (up the meridian).',
                    number=number,
                    given=given_text(layer.direction),
                ),
            )
    yield from _ends(job)
    yield from _climb(job)
    yield from _wind(job)


def _wind(job: Job) -> Iterator[Fault]:
    """A barrel or a flight has a left and a right half for the wind, and ends that its strips do not
    know."""
    if job.curve.family not in SPANNING:
        return
    for name in ("wind_near", "wind_far"):
        given = getattr(job.loads, name)
        if given is not None:
            yield Fault(
                f"loads.{name}",
                say(
                    "loads.{name} is {given:pressure} for a vault of kind {family}; accepted: under a "
                    "groin, a cloister, a sail or a dome only; here wind_left and wind_right.",
                    name=name,
                    given=given,
                    family=job.curve.family,
                ),
            )


def _climb(job: Job) -> Iterator[Fault]:
    """Courses of a flight are counted and laid from the lower landing up: it climbs from DA to BC."""
    if job.curve.family != "flight":
        return
    levels = job.room.levels
    left, right = (levels.A + levels.D) / 2, (levels.B + levels.C) / 2
    if left > right:
        yield Fault(
            "room.levels",
            say(
                "room.levels has A and D at {left:length} and B and C at {right:length} on the mean; "
                "accepted for a flight: A and D on the lower landing: letter the corners from there.",
                left=left,
                right=right,
            ),
        )


def _foreign(job: Job, key: str, given: float, where: Message) -> Fault:
    return Fault(
        key,
        say(
            "{key} is {given:length} for a vault of kind {family}; accepted: in {where} only.",
            key=key,
            given=given,
            family=job.curve.family,
            where=where,
        ),
    )


def _foreign_text(job: Job, key: str, given: str, where: Message) -> Fault:
    return Fault(
        key,
        say(
            "{key} is {given} for a vault of kind {family}; accepted: in {where} only.",
            key=key,
            given=given_text(given),
            family=job.curve.family,
            where=where,
        ),
    )


def _ends(job: Job) -> Iterator[Fault]:
    fitting = ENDS.get(job.curve.family)
    if fitting is None:
        return
    for name in ("near_end", "far_end"):
        end = getattr(job.room, name)
        if end not in fitting:
            yield Fault(
                f"room.{name}",
                say(
                    "room.{name} is {given} for a vault of kind {family}, whose springing runs "
                    "all round; accepted: {accepted}.",
                    name=name,
                    given=given_text(end),
                    family=job.curve.family,
                    accepted=", ".join(given_text(kind) for kind in fitting),
                ),
            )
