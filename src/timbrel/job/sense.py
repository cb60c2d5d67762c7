"""Do the parts of a job fit each other? Checks across keys that no single range can make.

Each function yields the faults of one part. What needs geometry (does the room close, does the
curve allow the rise) is judged where that geometry is computed.
"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.model import Job
from timbrel.job.refusals import Fault, given_text, nearest
from timbrel.job.sense_drum import drum_faults
from timbrel.job.sense_family import family_faults
from timbrel.job.sense_loads import load_faults
from timbrel.job.sense_materials import binder_faults, joint_faults, tile_faults
from timbrel.job.sense_openings import opening_faults
from timbrel.job.sense_piers import crowded_piers, pier_faults
from timbrel.job.sense_room import level_faults, room_faults
from timbrel.job.sense_stands import standing_faults
from timbrel.job.sense_ties import tie_faults
from timbrel.job.sense_walls import wall_faults
from timbrel.words import say

NAME_LONGEST = 40


def faults_between(job: Job) -> Iterator[Fault]:
    """All faults between the parts of a job whose every key is right by itself."""
    yield from _names(job)
    yield from room_faults(job)
    yield from level_faults(job)
    yield from _curve(job)
    yield from family_faults(job)
    yield from standing_faults(job)
    yield from tile_faults(job)
    yield from binder_faults(job)
    yield from _weather(job)
    for number, layer in enumerate(job.layers, 1):
        yield from joint_faults(f"layers.{number}.joint", layer.joint)
    yield from wall_faults(job)
    yield from drum_faults(job)
    yield from load_faults(job)
    yield from _ties(job)
    yield from opening_faults(job)
    yield from _backing(job)


def _backing(job: Job) -> Iterator[Fault]:
    if job.loads.fill.backing is not None and job.curve.family != "barrel":
        yield Fault(
            "loads.fill.backing",
            say(
                "loads.fill.backing is stated for a vault of kind {family}; accepted: a barrel.",
                family=job.curve.family,
            ),
        )


def _names(job: Job) -> Iterator[Fault]:
    for table, names in (("tiles", job.tiles), ("binders", job.binders)):
        for name in names:
            if not name.strip() or len(name) > NAME_LONGEST or not name.isprintable():
                yield Fault(
                    table,
                    say(
                        "{table} has the name {given}; accepted: 1 to {most} plain characters.",
                        table=table,
                        given=given_text(name),
                        most=NAME_LONGEST,
                    ),
                )
    sleeper = job.loads.fill.sleeper_tile
    if sleeper is not None and sleeper not in job.tiles:
        yield _unnamed("loads.fill.sleeper_tile", sleeper, tuple(job.tiles))
    for number, layer in enumerate(job.layers, 1):
        named = (
            ("tile", layer.tile, job.tiles),
            ("binder", layer.binder, job.binders),
            ("bed_binder", layer.bed_binder, job.binders),
        )
        for own, given, known in named:
            if given is not None and given not in known:
                yield _unnamed(f"layers.{number}.{own}", given, tuple(known))


def _unnamed(key: str, name: str, known: tuple[str, ...]) -> Fault:
    near = nearest(name, known)
    if near is not None:
        return Fault(
            key,
            say(
                '{key} is {given}, which the job does not describe; perhaps "{near}" was meant.',
                key=key,
                given=given_text(name),
                near=near,
            ),
        )
    return Fault(
        key,
        say(
            "{key} is {given}, which the job does not describe; accepted: one of {known}.",
            key=key,
            given=given_text(name),
            known=", ".join(known),
        ),
    )


def _curve(job: Job) -> Iterator[Fault]:
    if job.curve.haunch_radius is not None and job.curve.directrix != "three-centre":
        yield Fault(
            "curve.haunch_radius",
            say(
                'curve.haunch_radius is {given:length}, but the directrix is "{directrix}"; '
                "accepted: a haunch radius for a three-centre curve only.",
                given=job.curve.haunch_radius,
                directrix=job.curve.directrix,
            ),
        )


def _weather(job: Job) -> Iterator[Fault]:
    wet = not job.site.indoors or job.site.damp
    where = say("in the damp") if job.site.indoors else say("outdoors")
    for number, layer in enumerate(job.layers, 1):
        for own, name in (("binder", layer.binder), ("bed_binder", layer.bed_binder)):
            binder = job.binders.get(name or "")
            if wet and binder is not None and (binder.kind == "gypsum" or not binder.outdoors):
                yield Fault(
                    f"layers.{number}.{own}",
                    say(
                        '{key} is "{name}", a {kind} that may not be used {where}; accepted: a '
                        "natural quick cement or a mortar that may, or site.indoors true and "
                        "site.damp false.",
                        key=f"layers.{number}.{own}",
                        name=name,
                        kind=binder.kind,
                        where=where,
                    ),
                )


def _ties(job: Job) -> Iterator[Fault]:
    if job.walls.ties is not None:
        yield from tie_faults(job.walls.ties, job.curve)
    yield from pier_faults(job.walls, job.curve)
    yield from crowded_piers(job)
