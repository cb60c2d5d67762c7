"""Long work in several processes: results in order, stopped at once when the reader stops it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any, TypeVar

Done = TypeVar("Done")


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
    # Not forked from here: the page and the solver run threads, and a fork of those may never end.
    pool = ProcessPoolExecutor(min(workers, len(tasks)), get_context("spawn"))
    try:
        running = [pool.submit(work, *task) for task in tasks]
        for future in running:
            yield future.result()
    except BaseException:
        children = list((pool._processes or {}).values())
        pool.shutdown(wait=False, cancel_futures=True)
        for child in children:
            child.terminate()
        raise
    pool.shutdown()
