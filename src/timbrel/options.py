"""Choosing: three to five complete options for one room, each really planned, side by side.

The job as stated is always one of them; the others take the rises that fit the level budget, other
curves, and one layer more. Each is planned in a process of its own, because a plan keeps a
processor busy for about a second; what cannot be planned stays in the list with its reason.
"""

from __future__ import annotations

import math
import multiprocessing
import os
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from typing import Literal

from timbrel.job.model import Curve, Job, Layer
from timbrel.plan import Plan, make_plan
from timbrel.shape.barrel import Barrel
from timbrel.shape.curves import rise_range
from timbrel.shape.levels import level_budget
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.verdict import Check, Verdict, governing_first
from timbrel.words import Message, Progress, TimbrelError, say, silent

Care = Literal["safety", "thrust", "walls", "headroom", "tiles", "cuts", "days", "price"]

MOST_OPTIONS = 5
MOST_LAYERS = 6
SHALLOW, HIGH = 1 / 8, 1 / 4
"""Rises over span that are tried where the levels allow them: a floor, and a roof (common
practice, no source)."""
SAME_RISE = 0.010
"""Rises nearer than this are one option, m."""


@dataclass(frozen=True)
class Candidate:
    """A job to be planned. edits: dotted keys of the job file and what to write there (lengths in
    m), so that a click can make it the job. layers: for each layer the number (from 1) of the
    layer of the stated job that it repeats."""

    key: str
    title: Message
    job: Job
    edits: dict[str, str | float]
    layers: tuple[int, ...]


@dataclass(frozen=True)
class Figures:
    """What is compared. least_thrust, greatest_thrust: on a metre of wall, N/m, the greater of the
    two walls; None without a thrust line. walls: the check on the walls that governs, None when
    there is none. headroom: at the crown, m. spare: of the level budget, m. rise, thickness: m.
    layers, tiles (bought), cuts (halves among them). days: of the crew; calendar: with the waits.
    price: likely, in the job's currency, without what has no price."""

    verdict: Verdict
    fails: int
    not_judged: int
    governs: Check | None
    walls: Check | None
    least_thrust: float | None
    greatest_thrust: float | None
    headroom: float
    spare: float
    rise: float
    thickness: float
    layers: int
    tiles: int
    cuts: int
    days: float
    calendar: int
    price: float
    left_out: int


@dataclass(frozen=True)
class Option:
    """A candidate and what came of it: figures, or why it cannot be planned."""

    candidate: Candidate
    figures: Figures | None
    refused: Message | None = None


@dataclass
class _Wanted:
    """Gathers candidates, leaving out what is already there."""

    stated: Job
    found: list[Candidate] = field(default_factory=list)

    def add(self, key: str, title: Message, curve: Curve, layers: tuple[int, ...]) -> None:
        if len(self.found) >= MOST_OPTIONS or any(self._same(c, curve, layers) for c in self.found):
            return
        rows: tuple[Layer, ...] = tuple(self.stated.layers[n - 1] for n in layers)
        job = self.stated.model_copy(update={"curve": curve, "layers": rows})
        edits: dict[str, str | float] = {}
        for name in ("directrix", "rise"):
            before, after = getattr(self.stated.curve, name), getattr(curve, name)
            if after is not None and after != before:
                edits[f"curve.{name}"] = after
        self.found.append(Candidate(key, title, job, edits, layers))

    @staticmethod
    def _same(one: Candidate, curve: Curve, layers: tuple[int, ...]) -> bool:
        here = one.job.curve
        apart = abs((here.rise or 0.0) - (curve.rise or 0.0))
        return here.directrix == curve.directrix and apart < SAME_RISE and one.layers == layers


def _rises(job: Job) -> tuple[float, float, float]:
    """Span, and the least and the greatest rise of a segment that the levels allow.

    Where no rise fits at all, the range of the curve itself: the options then show by how much.
    """
    room = solve_room(job.room, job.job.length_unit)
    span = float(((room.corners[1] - room.corners[0]) ** 2).sum() ** 0.5)
    low, high = rise_range("segment", span)
    curve = job.curve.model_copy(update={"directrix": "segment", "rise": span * SHALLOW})
    probe = job.model_copy(update={"curve": curve})
    budget = level_budget(probe, shape_vault(probe, room))
    least, greatest = budget.least_rise, budget.greatest_rise
    if least is None or greatest is None or least > greatest:
        return span, low, high
    return span, max(low, least), min(high, greatest)


def candidates(job: Job) -> tuple[Candidate, ...]:
    """Three to five jobs for the room, levels and use of a stated one, the stated one first.

    Raises TimbrelError when the room itself cannot be solved.
    """
    span, least, greatest = _rises(job)
    shallow, high = (_marked(span * share, least, greatest) for share in (SHALLOW, HIGH))
    layers = tuple(range(1, len(job.layers) + 1))
    wanted = _Wanted(job)
    wanted.add("stated", say("As stated"), job.curve, layers)
    segment = {"directrix": "segment", "haunch_radius": None}
    for key, title, rise in (
        ("shallow", say("Shallow segment, {rise:length}", rise=shallow), shallow),
        ("high", say("High segment, {rise:length}", rise=high), high),
    ):
        curve = job.curve.model_copy(update={**segment, "rise": rise})
        wanted.add(key, title, curve, layers)
    other = "catenary" if job.curve.directrix == "parabola" else "parabola"
    curve = job.curve.model_copy(update={"directrix": other, "haunch_radius": None, "rise": high})
    name = say("Catenary") if other == "catenary" else say("Parabola")
    wanted.add("other-curve", say("{curve}, {rise:length}", curve=name, rise=high), curve, layers)
    if len(layers) < MOST_LAYERS:
        title = say("One layer more: {layers:count}", layers=len(layers) + 1)
        wanted.add("more-layers", title, job.curve, (*layers, layers[-1]))
    lowest = _marked(0.0, least, greatest)
    title = say("Lowest segment that fits, {rise:length}", rise=lowest)
    wanted.add("lowest", title, job.curve.model_copy(update={**segment, "rise": lowest}), layers)
    return tuple(wanted.found)


def _marked(rise: float, least: float, greatest: float) -> float:
    """A rise that fits and that a mason can mark: to 5 mm where the range holds one."""
    inside = min(max(rise, least), greatest)
    for step in (0.005, 0.001):
        for rounded in (math.floor(inside / step) * step, math.ceil(inside / step) * step):
            if least <= rounded <= greatest:
                return round(rounded, 3)
    return inside


def figures_of(plan: Plan) -> Figures:
    """The figures that are compared."""
    order = governing_first(plan.checks)
    walls = [c for c in order if c.name.startswith("walls.")]
    ranges = plan.statics.thrusts
    levels = {c.name: c.value for c in plan.levels.checks}
    likely = plan.takeoff.quote.likely
    return Figures(
        verdict=plan.verdict,
        fails=sum(c.verdict is Verdict.FAILS for c in plan.checks),
        not_judged=sum(c.verdict is Verdict.NOT_JUDGED for c in plan.checks),
        governs=order[0] if order else None,
        walls=walls[0] if walls else None,
        least_thrust=_greater(r.least for r in ranges),
        greatest_thrust=_greater(r.greatest for r in ranges),
        headroom=levels["levels.crown"] or 0.0,
        spare=plan.levels.spare,
        rise=rise_of(plan),
        thickness=plan.vault.thickness,
        layers=len(plan.job.layers),
        tiles=sum(nest.bought for nest in plan.bond.cuts.nests),
        cuts=sum(group.count for group in plan.bond.cuts.groups),
        days=plan.site.programme.days,
        calendar=plan.site.programme.calendar,
        price=likely.total,
        left_out=len(plan.takeoff.quote.left_out),
    )


def rise_of(plan: Plan) -> float:
    """Rise of the intrados, m: at the near end, or from the springing to the top of a vault on a
    plan."""
    if isinstance(plan.vault, Barrel):
        return plan.vault.near.rise
    return plan.levels.level("crown") - plan.levels.level("springing")


def _greater(values: Iterable[float | None]) -> float | None:
    found = [v for v in values if v is not None]
    return max(found) if found else None


def plan_option(candidate: Candidate) -> Option:
    """Plan one candidate; a refusal is an answer too."""
    try:
        return Option(candidate, figures_of(make_plan(candidate.job)))
    except TimbrelError as error:
        return Option(candidate, None, error.message)


def compare(
    job: Job, care: Care = "safety", progress: Progress = silent, workers: int | None = None
) -> tuple[Option, ...]:
    """Plan all candidates of a job and sort them by what the user cares for.

    progress is called after each; when it raises, what has not begun is dropped and what runs is
    ended, and the exception goes on. workers: processes; 1 plans in this one.
    """
    wanted = candidates(job)
    progress(say("Planning {count:count} options", count=len(wanted)), 0.0)
    count = min(workers or os.cpu_count() or 1, len(wanted))
    done: list[Option] = []
    for option in _here(wanted) if count == 1 else _in_processes(wanted, count):
        done.append(option)
        progress(say("Planned: {title}", title=option.candidate.title), len(done) / len(wanted))
    return sorted_options(done, care)


def _here(wanted: tuple[Candidate, ...]) -> Iterator[Option]:
    for candidate in wanted:
        yield plan_option(candidate)


def _in_processes(wanted: tuple[Candidate, ...], count: int) -> Iterator[Option]:
    # Not forked from here: the page and the solver run threads, and a fork of those may never end.
    # The fork server loads this module once and forks from that.
    known = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in known else "spawn")
    context.set_forkserver_preload([__name__])
    pool = ProcessPoolExecutor(count, mp_context=context)
    try:
        running: list[Future[Option]] = [pool.submit(plan_option, c) for c in wanted]
        for future in as_completed(running):
            yield future.result()
    except BaseException:
        _end(pool)
        raise
    pool.shutdown()


def _end(pool: ProcessPoolExecutor) -> None:
    """End the pool's own processes at once; only those."""
    workers = list((pool._processes or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for worker in workers:
        worker.terminate()


_INFINITE = float("inf")


def _measure(figures: Figures, care: Care) -> float:
    """What is small when an option is good."""
    measures: dict[Care, float] = {
        "safety": figures.governs.use if figures.governs else _INFINITE,
        "thrust": _INFINITE if figures.greatest_thrust is None else figures.greatest_thrust,
        "walls": figures.walls.use if figures.walls else _INFINITE,
        "headroom": -figures.headroom,
        "tiles": float(figures.tiles),
        "cuts": float(figures.cuts),
        "days": figures.days,
        "price": figures.price,
    }
    return measures[care]


def sorted_options(options: Iterable[Option], care: Care) -> tuple[Option, ...]:
    """What fails behind what does not, what was refused last; then by what the user cares for,
    and by key, so that the order never depends on which process was quicker."""

    def rank(option: Option) -> tuple[int, int, float, str]:
        if option.figures is None:
            return 2, 0, 0.0, option.candidate.key
        fails = option.figures.fails if care == "safety" else 0
        failing = int(option.figures.fails > 0)
        return failing, fails, _measure(option.figures, care), option.candidate.key

    return tuple(sorted(options, key=rank))
