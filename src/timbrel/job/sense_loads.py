"""Do the loads make sense by themselves: lines that have a length, fill that is of some kind?"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from timbrel.job.model import Job
from timbrel.job.refusals import Fault
from timbrel.words import say

SHORTEST = 0.01  # m; a line of load that is shorter carries nothing
OF_THE_FILL = ("unit_weight", "level", "saturated")
UNIT_WEIGHT = {"solid": 16e3, "light": 6e3}
"""Unit weight of a fill where the job states none, N/m3 (common practice, no source)."""


def load_faults(job: Job) -> Iterator[Fault]:
    """Faults of the loads of a job."""
    yield from _lines(job)
    yield from _no_fill(job)
    yield from _water(job)


def _lines(job: Job) -> Iterator[Fault]:
    for place, line in enumerate(job.loads.lines):
        if hypot(line.x_end - line.x, line.y_end - line.y) < SHORTEST:
            yield Fault(
                f"loads.lines.{place}.x_end",
                say(
                    "loads.lines.{number} ({name}) ends at x {x:length}, y {y:length}, where it "
                    "starts; accepted: two ends apart, or a load on one spot in loads.points.",
                    number=place + 1,
                    name=line.name,
                    x=line.x_end,
                    y=line.y_end,
                ),
            )


def _no_fill(job: Job) -> Iterator[Fault]:
    """Fill that would be left out in silence, because its kind is `none` unless stated."""
    fill = job.loads.fill
    if fill.kind != "none":
        return
    stated = [] if "kind" in fill.model_fields_set else list(OF_THE_FILL)
    stated = [name for name in stated if getattr(fill, name) is not None]
    if fill.lifts:
        stated.append("lifts")
    for name in stated:
        yield Fault(
            f"loads.fill.{name}",
            say(
                "loads.fill.{name} is stated, but loads.fill.kind is none; accepted: with a kind: "
                "solid, light or sleeper walls.",
                name=name,
            ),
        )


def _water(job: Job) -> Iterator[Fault]:
    """Fill that would grow lighter as water fills it."""
    fill = job.loads.fill
    if fill.saturated is None or fill.kind == "none":
        return
    dry = [lift.unit_weight for lift in fill.lifts]
    if not dry and (given := fill.unit_weight or UNIT_WEIGHT.get(fill.kind)) is not None:
        dry = [given]
    if dry and fill.saturated < max(dry):
        yield Fault(
            "loads.fill.saturated",
            say(
                "loads.fill.saturated is {given:unit_weight} and the fill weighs {dry:unit_weight} "
                "as it lies; accepted: at least that.",
                given=fill.saturated,
                dry=max(dry),
            ),
        )
