"""Do tiles, joints and binders make sense by themselves and in this room?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from timbrel.job.model import Binder, BondTests, Job, JointRange, SetTimes
from timbrel.job.refusals import Fault
from timbrel.words import say


def tile_faults(job: Job) -> Iterator[Fault]:
    room = job.room
    shortest = min(room.AB, room.BC, room.CD, room.DA)
    for name, tile in job.tiles.items():
        if tile.width > tile.length:
            yield Fault(
                f"tiles.{name}.width",
                say(
                    "tiles.{name}.width is {width:length}; accepted: the length, {length:length}, "
                    "at most (perhaps the two were exchanged).",
                    name=name,
                    width=tile.width,
                    length=tile.length,
                ),
            )
        if tile.thickness > tile.width:
            yield Fault(
                f"tiles.{name}.thickness",
                say(
                    "tiles.{name}.thickness is {given:length}; accepted: the width, "
                    "{width:length}, at most (a tile is laid flat).",
                    name=name,
                    given=tile.thickness,
                    width=tile.width,
                ),
            )
    for number, layer in enumerate(job.layers, 1):
        used = job.tiles.get(layer.tile)
        if used is not None and 2 * used.length > shortest:
            yield Fault(
                f"layers.{number}.tile",
                say(
                    'layers.{number}.tile is "{name}", {length:length} long; accepted: half of '
                    "the shortest side of the room, {shortest:length}, at most (perhaps the room "
                    "was stated in another unit).",
                    number=number,
                    name=layer.tile,
                    length=used.length,
                    shortest=shortest,
                ),
            )


def joint_faults(key: str, joint: JointRange) -> Iterator[Fault]:
    if not joint.least <= joint.best <= joint.most:
        yield Fault(
            key,
            say(
                "{key} runs from least {least:length} over best {best:length} to most "
                "{most:length}; accepted: least, best and most in rising order.",
                key=key,
                least=joint.least,
                best=joint.best,
                most=joint.most,
            ),
        )


def binder_faults(job: Job) -> Iterator[Fault]:
    for name, binder in job.binders.items():
        key = f"binders.{name}"
        for own, times in (("set", binder.set), ("set_retarded", binder.set_retarded)):
            if times is not None:
                yield from _set_times(f"{key}.{own}", times)
        if binder.bond is not None:
            yield from _bond_tests(f"{key}.bond", binder.bond)
        if binder.kind == "mortar":
            yield from _mortar(key, binder)
        if binder.use_retarder and binder.set_retarded is None:
            yield Fault(
                f"{key}.use_retarder",
                say(
                    "{key}.use_retarder is true; accepted: with {key}.set_retarded, its set times.",
                    key=key,
                ),
            )


def _set_times(key: str, times: SetTimes) -> Iterator[Fault]:
    if len(times.degrees_c) != len(times.minutes):
        yield _counts(key, "degrees_c", len(times.degrees_c), "minutes", len(times.minutes))
    elif any(b <= a for a, b in pairwise(times.degrees_c)):
        yield _order(f"{key}.degrees_c", times.degrees_c)
    elif min(times.minutes) <= 0 or any(b > a for a, b in pairwise(times.minutes)):
        minutes = tuple(t / 60 for t in times.minutes)
        yield Fault(
            f"{key}.minutes",
            say(
                "{key} is {given}; accepted: times over zero that fall or stay as it gets warmer.",
                key=f"{key}.minutes",
                given=_listed(minutes),
            ),
        )


def _bond_tests(key: str, tests: BondTests) -> Iterator[Fault]:
    if len(tests.ages_h) != len(tests.strengths):
        yield _counts(key, "ages_h", len(tests.ages_h), "strengths", len(tests.strengths))
    elif any(b <= a for a, b in pairwise(tests.ages_h)):
        yield _order(f"{key}.ages_h", tuple(age / 3600 for age in tests.ages_h))


def _counts(key: str, first: str, n: int, second: str, m: int) -> Fault:
    return Fault(
        key,
        say(
            "{key} has {n} {first} and {m} {second}; accepted: as many of one as of the other.",
            key=key,
            n=n,
            first=first,
            m=m,
            second=second,
        ),
    )


def _order(key: str, values: tuple[float, ...]) -> Fault:
    return Fault(
        key,
        say(
            "{key} is {given}; accepted: values that rise.",
            key=key,
            given=_listed(values),
        ),
    )


def _listed(values: tuple[float, ...]) -> str:
    """Numbers as the job file lists them."""
    return "[" + ", ".join(f"{value:.9g}" for value in values) + "]"


def _mortar(key: str, binder: Binder) -> Iterator[Fault]:
    if binder.cement_parts + binder.lime_parts <= 0:
        yield Fault(
            f"{key}.cement_parts",
            say(
                "{key}.cement_parts and {key}.lime_parts are both 0; accepted: a mortar with some "
                "of either.",
                key=key,
            ),
        )
