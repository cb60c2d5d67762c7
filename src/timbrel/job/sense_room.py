"""Do the room's measures and levels make sense? (Closure is judged where it is solved.)"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.model import Job
from timbrel.job.points import read_point
from timbrel.job.refusals import Fault, given_text
from timbrel.job.units import LIKELY_SLIPS, QuantityError, in_plain_unit, read_quantity
from timbrel.words import say

LEVEL_SPREAD = 0.25
"""Springing levels of a barrel or a dome further apart than this are a slip of the staff, m.
Common practice: a springing is levelled to millimetres; a real difference of floors is the work of a
flight."""
LEVEL = ("barrel", "dome")
"""Families whose springing is level. A dome's ring stands at the highest corner: the walls are built
up to it. Webs and sails take what their rise admits, which is judged where they are shaped."""


def room_faults(job: Job) -> Iterator[Fault]:
    room = job.room
    if room.warn > room.refuse:
        yield Fault(
            "room.warn",
            say(
                "room.warn is {warn:length}; accepted: room.refuse, {refuse:length}, at most.",
                warn=room.warn,
                refuse=room.refuse,
            ),
        )
    sides = {"AB": room.AB, "BC": room.BC, "CD": room.CD, "DA": room.DA}
    for number, measure in enumerate(room.further, 1):
        for own in ("start", "end"):
            key, given = f"room.further.{number}.{own}", getattr(measure, own)
            try:
                side, distance = read_point(given)
            except QuantityError as error:
                yield Fault(
                    key,
                    say(
                        '{key} is {given}: {reason}; accepted: a point such as "A" or "AB 2000".',
                        key=key,
                        given=given_text(given),
                        reason=error.reason,
                    ),
                )
                continue
            if not 0 <= distance <= sides[side]:
                yield Fault(
                    key,
                    say(
                        "{key} is {given}; accepted: 0 to {most:length} along {side}.",
                        key=key,
                        given=given_text(given),
                        most=sides[side],
                        side=side,
                    ),
                )
    for number, wall in enumerate(room.wall_offsets, 1):
        reach = wall.step * (len(wall.offsets) - 1)
        if reach > sides[wall.side] + 1e-6:
            yield Fault(
                f"room.wall_offsets.{number}.offsets",
                say(
                    "room.wall_offsets.{number} has {count} readings every {step:length}, which "
                    "reach {reach:length}; accepted: no further than {side}, {most:length}.",
                    number=number,
                    count=len(wall.offsets),
                    step=wall.step,
                    reach=reach,
                    side=wall.side,
                    most=sides[wall.side],
                ),
            )


def level_faults(job: Job) -> Iterator[Fault]:
    """Springing levels that cannot be, and heights that are not by the same datum."""
    levels = {name: float(getattr(job.room.levels, name)) for name in "ABCD"}
    low, high = min(levels.values()), max(levels.values())
    if job.curve.family in LEVEL and high - low > LEVEL_SPREAD:
        yield _spread(levels, job.curve.family)
        return
    if job.levels.floor_below >= low:
        yield Fault(
            "levels.floor_below",
            say(
                "levels.floor_below is {floor:length}; accepted: under the lowest springing, "
                "{low:length}, by the same datum.",
                floor=job.levels.floor_below,
                low=low,
            ),
        )
    if job.levels.top is not None and job.levels.top <= high:
        yield Fault(
            "levels.top",
            say(
                "levels.top is {top:length}; accepted: over the highest springing, {high:length}, "
                "by the same datum.",
                top=job.levels.top,
                high=high,
            ),
        )
    elif job.levels.top is not None:
        clear = job.levels.floor_below + job.levels.headroom_crown
        if clear >= job.levels.top:
            yield Fault(
                "levels.headroom_crown",
                say(
                    "levels.headroom_crown is {given:length}, which reaches {clear:length} by the "
                    "datum, and levels.top is {top:length}: no vault is so thin; accepted: less "
                    "headroom, or a higher top.",
                    given=job.levels.headroom_crown,
                    clear=clear,
                    top=job.levels.top,
                ),
            )


def _spread(levels: dict[str, float], family: str) -> Fault:
    """The level that stands furthest from the middle of the four, and what was perhaps meant."""
    middle = sum(sorted(levels.values())[1:3]) / 2
    odd = max(levels, key=lambda name: abs(levels[name] - middle))
    key, given = f"room.levels.{odd}", f"{in_plain_unit(levels[odd], 'mm'):.12g}"
    others = [level for name, level in levels.items() if name != odd]
    for unit in LIKELY_SLIPS["mm"]:
        level = read_quantity(f"{given} {unit}", "mm")
        if max(*others, level) - min(*others, level) <= LEVEL_SPREAD:
            return Fault(
                key,
                say(
                    "{key} is {given} mm, which is {off:length} from the other corners; accepted: "
                    '{most:length} at most. Perhaps "{given} {unit}" was meant: write it so; '
                    "timbrel does not guess.",
                    key=key,
                    given=given,
                    off=abs(levels[odd] - middle),
                    most=LEVEL_SPREAD,
                    unit=unit,
                ),
            )
    return Fault(
        key,
        say(
            "{key} is {given} mm, which is {off:length} from the other corners; accepted for a "
            "vault of kind {family}: {most:length} at most between the highest and the lowest.",
            key=key,
            family=family,
            given=given,
            off=abs(levels[odd] - middle),
            most=LEVEL_SPREAD,
        ),
    )
