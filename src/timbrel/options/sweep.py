"""Planning all candidates, in processes that can be stopped, and putting them in order.

Each is planned in a process of its own, because a plan keeps a processor busy for a good part of a
second; what cannot be planned stays in the list with its reason.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass
from multiprocessing.context import BaseContext

from timbrel.job.choice import Care
from timbrel.job.model import Job
from timbrel.job.refusals import refuse
from timbrel.job.sense import faults_between
from timbrel.options.candidates import Candidate, Vary, candidates
from timbrel.options.figures import Figures, figures_of, greater
from timbrel.plan import make_plan
from timbrel.words import Message, Progress, TimbrelError, say, silent

LOOK_UP = 0.2
"""While others plan, it is asked so often (s) whether to go on."""


@dataclass(frozen=True)
class Option:
    """A candidate and what came of it: figures, or why it cannot be planned."""

    candidate: Candidate
    figures: Figures | None
    refused: Message | None = None


def plan_option(candidate: Candidate) -> Option:
    """Plan one candidate; a refusal is an answer too.

    A candidate has not been read from a text, so what a reader would refuse is refused here: an
    opening or a backing that the family cannot have. A fault of the program in one option does not
    take the others with it.
    """
    try:
        refuse(faults_between(candidate.job))
        return Option(candidate, figures_of(make_plan(candidate.job, remedies=False)))
    except TimbrelError as error:
        return Option(candidate, None, error.message)
    except Exception as error:
        said = say(
            "The planning itself broke off ({reason}). That is a fault of this program, not of "
            "your job: please report it with the job.",
            reason=type(error).__name__,
        )
        return Option(candidate, None, said)


def compare(
    job: Job,
    care: Care = "safety",
    progress: Progress = silent,
    workers: int | None = None,
    vary: Vary = "all",
) -> tuple[Option, ...]:
    """Plan all candidates of a job and sort them by what the user cares for.

    progress is called after each and, while others plan, several times a second; when it raises,
    what has not begun is dropped and what runs is ended, and the exception goes on. workers:
    processes; 1 plans in this one.
    """
    wanted = candidates(job, vary)
    said, share = say("Planning {count:count} options", count=len(wanted)), 0.0
    progress(said, share)
    count = min(workers or os.cpu_count() or 1, len(wanted))
    done: list[Option] = []
    for option in _here(wanted) if count == 1 else _in_processes(wanted, count):
        if option is not None:
            done.append(option)
            said = say("Planned: {title}", title=option.candidate.title)
            share = len(done) / len(wanted)
        progress(said, share)
    return sorted_options(done, care)


def _here(wanted: tuple[Candidate, ...]) -> Iterator[Option]:
    for candidate in wanted:
        yield plan_option(candidate)


def fork_server() -> BaseContext:
    """Where the processes come from.

    Not forked from here: the page and the solver run threads, and a fork of those may never end.
    The fork server loads this module once and forks from that.
    """
    known = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in known else "spawn")
    context.set_forkserver_preload([__name__])
    return context


def _in_processes(wanted: tuple[Candidate, ...], count: int) -> Iterator[Option | None]:
    """Options as they are done; None whenever it is time to ask whether to go on."""
    pool = ProcessPoolExecutor(count, mp_context=fork_server())
    try:
        running: set[Future[Option]] = {pool.submit(plan_option, c) for c in wanted}
        while running:
            ended, running = wait(running, timeout=LOOK_UP, return_when=FIRST_COMPLETED)
            for future in ended:
                yield future.result()
            if not ended:
                yield None
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
        "thrust": _thrust(figures),
        "walls": figures.walls.use if figures.walls else _INFINITE,
        "headroom": -figures.headroom,
        "tiles": float(figures.tiles),
        "cuts": float(figures.cuts),
        "days": figures.days,
        "price": figures.price,
    }
    return measures[care]


def _thrust(figures: Figures) -> float:
    """The greatest thrust, or the least where nothing bounds the greatest (walls that face each
    other). A corner's force counts as on one metre: that is about what a corner is."""
    push = figures.push
    walls = push.wall_greatest if push.wall_greatest is not None else push.wall_least
    corners = push.corner_greatest if push.corner_greatest is not None else push.corner_least
    most = greater((walls, corners))
    return _INFINITE if most is None else most


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
