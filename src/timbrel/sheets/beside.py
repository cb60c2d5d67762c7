"""Work done beside other work, in a process of its own, where the machine has a core to spare.

A pack is some two seconds of work on one core, and half of it does not wait for the other half. The
processes are forked, so that they have the plan without its being copied; what they make is files.
Fork is asked for by the command line alone: a process with threads (a server) must not. The solver
and the typesetter keep threads of their own and never end in a process that was forked after their
first use, so nothing is solved or typeset here; and a process that does not come to its end is not
waited for without end.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from types import TracebackType

Work = Callable[[], None]
FAILED = 1
PATIENCE = 20.0
"""Another process may take so many times as long as this one worked meanwhile, and never less than
so many seconds."""
LOOKED = 0.002
"""Seconds between two looks at the other process."""


def can_fork() -> bool:
    """Whether a fork is safe here and of use: Linux, a second core, no thread but this one."""
    return (
        sys.platform == "linux"
        and len(os.sched_getaffinity(0)) > 1
        and threading.active_count() == 1
    )


class Beside:
    """Pieces of work begun beside the work of this process, and waited for at the end.

    Work that a process of its own did not bring to its end, for whatever reason, is done once more
    by this one: what is wrong is then said here, as if there had been no other process. Leaving the
    `with` by an exception ends the processes that still work.
    """

    def __init__(self, *, forking: bool) -> None:
        self.forking = forking and can_fork()
        self._running: dict[int, tuple[float, Work]] = {}
        self._later: list[Work] = []

    def __enter__(self) -> Beside:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            if kind is None:
                self._finish()
        finally:
            self._end()

    def begin(self, work: Work) -> None:
        """Begin a piece of work; without forks it is done at the end of the `with`."""
        process = self._forked()
        if process is None:
            self._later.append(work)
        elif process == 0:
            _work_and_leave(work)
        else:
            self._running[process] = (time.monotonic(), work)

    def _forked(self) -> int | None:
        """0 in the new process, its number in this one; None where there is none to be had."""
        if not self.forking:
            return None
        try:
            return os.fork()
        except OSError:
            return None

    def _finish(self) -> None:
        for work in self._later:
            work()
        while self._running:
            process, (begun, work) = next(iter(self._running.items()))
            done = _ended_well(process, time.monotonic() - begun)
            del self._running[process]
            if not done:
                work()

    def _end(self) -> None:
        """End what still works: the rest of the work is not wanted any more."""
        for process in self._running:
            _end(process)
        self._running.clear()


def _ended_well(process: int, worked: float) -> bool:
    """Wait for a process while this one has nothing else to do: did it bring its work to its end?

    worked: seconds since it began. One that hangs is ended.
    """
    until = time.monotonic() + max(PATIENCE, PATIENCE * worked)
    while time.monotonic() < until:
        ended, status = os.waitpid(process, os.WNOHANG)
        if ended:
            return status == 0
        time.sleep(LOOKED)
    _end(process)
    return False


def _end(process: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(process, signal.SIGKILL)
    with suppress(ChildProcessError):
        os.waitpid(process, 0)


def _work_and_leave(work: Work) -> None:
    """In the other process: work, and end without what this program does at its own end."""
    status = FAILED
    try:
        # Nothing is told of an error: the process that waits does the work again and tells it.
        with suppress(BaseException):
            work()
            status = 0
    finally:
        os._exit(status)
