"""Long work in several processes: results in order, stopped at once when the reader stops it."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from types import TracebackType
from typing import Any, Generic, TypeVar

Done = TypeVar("Done")

LOOKED = 0.2  # s between two looks at work that is waited for
MOST = 3  # helpers of one piece of work: each takes up to some 450 MB (stages of a cloister)


def in_processes(
    work: Callable[..., Done], tasks: list[tuple[Any, ...]], workers: int
) -> Iterator[Done]:
    """work(*task) for every task, in their order.

    One worker works here. Whatever breaks the reading off (a stop, Ctrl-C) ends the pool's own
    processes at once: what has not begun is dropped.
    """
    if workers <= 1 or len(tasks) <= 1:
        for task in tasks:
            yield work(*task)
        return
    pool = _pool(min(workers, len(tasks)))
    try:
        with _deaf_children():
            running = [pool.submit(work, *task) for task in tasks]
        for future in running:
            yield future.result()
    except BaseException:
        _end(pool)
        raise
    pool.shutdown()


class Later(Generic[Done]):
    """Work that was put aside: done by another process meanwhile, or here when it is asked for."""

    def __init__(self, work: Callable[..., Done], task: tuple[Any, ...], aside: Aside) -> None:
        self._work, self._task, self._aside = work, task, aside
        self._future: Future[Done] | None = None

    def give_to(self, pool: ProcessPoolExecutor) -> Future[Done]:
        """Let a pool of processes do it."""
        self._future = pool.submit(self._work, *self._task)
        return self._future

    def result(self, waiting: Callable[[], None] | None = None) -> Done:
        """What it comes to. waiting: called from time to time while another process is at it; what
        it raises ends the waiting.

        Work that no process has begun is done here, and so is what another process could not bring
        to its end for whatever reason: what is wrong is then said here, as if there had been none.
        """
        self._aside.take_back(self)
        while self._future is not None:
            try:
                return self._future.result(timeout=LOOKED)
            except TimeoutError:
                if self._future.done():
                    break  # the work itself raised it
                if waiting is not None:
                    waiting()
            except Exception:  # said by the work done here
                break
        return self._work(*self._task)


class Aside:
    """Other processes to which work is given while this one goes on.

    helpers: how many; without any all work is done here, when its result is asked for. Leaving the
    `with` by an exception ends them at once. Work and what it is given must pickle.
    """

    def __init__(self, helpers: int = 0) -> None:
        self._pool = _pool(helpers) if helpers > 0 else None
        self._free = helpers
        self._waiting: list[Later[Any]] = []
        self._lock = threading.RLock()

    def __enter__(self) -> Aside:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._lock:
            self._waiting.clear()
        if self._pool is None:
            return
        if kind is None:
            self._pool.shutdown()
        else:
            _end(self._pool)

    @property
    def helped(self) -> bool:
        return self._pool is not None

    def begin(self, work: Callable[..., Done], *task: Any) -> Later[Done]:
        """Put work(*task) aside."""
        later = Later(work, task, self)
        if self._pool is not None:
            with self._lock:
                self._waiting.append(later)
            with _deaf_children():
                self._feed()
        return later

    def take_back(self, later: Later[Any]) -> None:
        """Keep from the processes what none of them has begun."""
        with self._lock:
            if later in self._waiting:
                self._waiting.remove(later)

    def _feed(self, done: Future[Any] | None = None) -> None:
        """Give each free process what waits longest: no more than that, so that the rest can still
        be taken back."""
        with self._lock:
            self._free += done is not None
            while self._pool is not None and self._free > 0 and self._waiting:
                try:
                    future = self._waiting[0].give_to(self._pool)
                except RuntimeError:
                    return  # the processes are gone: what waits is done here
                self._free -= 1
                del self._waiting[0]
                future.add_done_callback(self._feed)


HERE = Aside()
"""No other process."""


def spare_processors() -> int:
    """How many processors could help this one: those that this process may use, MOST at most."""
    allowed = getattr(os, "sched_getaffinity", None)
    count = len(allowed(0)) if allowed else os.cpu_count() or 1
    return min(count - 1, MOST)


def _pool(workers: int) -> ProcessPoolExecutor:
    # Not forked from here: the page and the solver run threads, and a fork of those may never end.
    return ProcessPoolExecutor(workers, get_context("spawn"))


def _end(pool: ProcessPoolExecutor) -> None:
    """End the pool's own processes at once; only those."""
    children = list((pool._processes or {}).values())
    pool.shutdown(wait=False, cancel_futures=True)
    for child in children:
        child.terminate()


@contextmanager
def _deaf_children() -> Iterator[None]:
    """Processes that begin in here hear no Ctrl-C: the one that began them does, and ends them; a
    terminal sends it to all, and each would tell of it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield  # no signal masks (Windows)
        return
    from multiprocessing import resource_tracker

    # It clears the mask when it begins, so it has to be there before.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
