"""The load test as it went: readings by gauge, greatest movement, and how much of it came back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from timbrel.job.model import Job
from timbrel.records.kinds import LoadReading
from timbrel.verdict import Check, judge
from timbrel.words import say


@dataclass(frozen=True)
class Gauge:
    """One gauge through the test.

    readings: (step, load N, reading m) in the order entered. movement: greatest distance from the
    first reading (m). recovery: share of it that came back by the last reading, None while the
    last reading still bears load, or nothing moved.
    """

    name: str
    readings: tuple[tuple[int, float, float], ...]
    movement: float
    recovery: float | None


def gauges(readings: Iterable[LoadReading]) -> tuple[Gauge, ...]:
    """Readings gathered by gauge."""
    by_name: dict[str, list[tuple[int, float, float]]] = {}
    for r in readings:
        by_name.setdefault(r.gauge, []).append((r.step, r.load, r.reading))
    return tuple(_gauge(name, rows) for name, rows in sorted(by_name.items()))


def _gauge(name: str, rows: list[tuple[int, float, float]]) -> Gauge:
    start = rows[0][2]
    movement = max(abs(row[2] - start) for row in rows)
    unloaded = len(rows) > 1 and rows[-1][1] <= rows[0][1]
    recovery = 1 - abs(rows[-1][2] - start) / movement if unloaded and movement > 0 else None
    return Gauge(name, tuple(rows), movement, recovery)


def load_test_checks(job: Job, found: Iterable[Gauge]) -> tuple[Check, ...]:
    """Recovery and drop of each gauge against the job's criteria."""
    origin = "criteria of the job (load_test); from memory unless the engineer states others"
    checks: list[Check] = []
    for gauge in found:
        checks.append(
            judge(
                f"load_test.{gauge.name}.recovery",
                say(
                    "load test, gauge {name}: share of the movement that came back", name=gauge.name
                ),
                gauge.recovery,
                job.load_test.recovery,
                kind="percent",
                reason=say("greatest movement {movement:length}", movement=gauge.movement)
                if gauge.recovery is not None
                else say("no reading after unloading, or nothing moved"),
                source=origin,
            )
        )
        checks.append(
            judge(
                f"load_test.{gauge.name}.drop",
                say("load test, gauge {name}: greatest movement", name=gauge.name),
                gauge.movement,
                job.load_test.drop_most,
                kind="length",
                at_least=False,
                reason=say("over the limit the test stops and the engineer is called"),
                source=origin,
            )
        )
    return tuple(checks)
