"""Do openings and hooks make sense by themselves, and in this family of vault?

Where they lie is judged on the shape.
"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.model import Job
from timbrel.job.openings import VaultOpening
from timbrel.job.refusals import Fault, given_text
from timbrel.words import say


def opening_faults(job: Job) -> Iterator[Fault]:
    """Faults of the openings and hooks, each with its key."""
    if job.curve.oculus_load and not (job.curve.family == "dome" and job.curve.oculus):
        yield Fault(
            "curve.oculus_load",
            say(
                "curve.oculus_load is {given:line_load}, but there is no oculus; accepted: a load "
                "on the rim of a dome with curve.oculus.",
                given=job.curve.oculus_load,
            ),
        )
    for number, opening in enumerate(job.openings, 1):
        yield from _measures(f"openings.{number}", opening)
        tile = opening.trimmer.tile
        if tile is not None and tile not in job.tiles:
            key = f"openings.{number}.trimmer.tile"
            yield Fault(
                key,
                say(
                    "{key} is {given}, which the job does not describe; accepted: one of {known}.",
                    key=key,
                    given=given_text(tile),
                    known=", ".join(job.tiles),
                ),
            )
    for table, rows in (("openings", job.openings), ("hooks", job.hooks)):
        names = [row.name for row in rows]
        for number, name in enumerate(names, 1):
            if name in names[: number - 1]:
                key = f"{table}.{number}.name"
                yield Fault(
                    key,
                    say(
                        "{key} is {given}, which another one is called; accepted: a name of its "
                        "own.",
                        key=key,
                        given=given_text(name),
                    ),
                )


def _measures(key: str, opening: VaultOpening) -> Iterator[Fault]:
    square = opening.length is not None and opening.width is not None
    bare = opening.length is None and opening.width is None
    if (square and opening.diameter is None) or (bare and opening.diameter is not None):
        return
    yield Fault(
        key,
        say(
            "{key} ({name}) has length {length}, width {width} and diameter {diameter}; accepted: "
            "length and width, or a diameter alone.",
            key=key,
            name=opening.name,
            length=_stated(opening.length),
            width=_stated(opening.width),
            diameter=_stated(opening.diameter),
        ),
    )


def _stated(value: float | None) -> str:
    return "-" if value is None else f"{value * 1e3:.12g} mm"
