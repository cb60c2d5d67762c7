"""The linear-programming solver, silent."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, TypeVar

Found = TypeVar("Found")
HEARD = 0.1  # s between two looks whether a stop was asked for


def quiet_solver(**options: Any) -> Any:
    """A HiGHS instance that prints nothing and runs on one thread.

    The usual class prints two lines on standard output as soon as it is made (it switches
    call-backs on before anyone can silence it); they would spoil what the command line prints for
    other programs. Its base does the same work without call-backs.
    """
    from highspy._core import _Highs

    solver = _Highs()
    for option, value in {"output_flag": False, "threads": 1, **options}.items():
        solver.setOptionValue(option, value)
    return solver


def run_stoppably(solver: Any) -> None:
    """Run a solver so that Ctrl-C is heard while it is at it."""
    stoppably(solver.run)


def stoppably(work: Callable[[], Found]) -> Found:
    """What some work comes to that hears no Ctrl-C: it is done beside the thread that hears.

    After a stop it is left to itself, and ends with the program.
    """
    if threading.current_thread() is not threading.main_thread():
        return work()
    found: list[Found] = []
    failed: list[BaseException] = []

    def done() -> None:
        try:
            found.append(work())
        except BaseException as error:  # told where it is waited for
            failed.append(error)

    beside = threading.Thread(target=done, daemon=True)
    beside.start()
    while beside.is_alive():
        beside.join(HEARD)
    if failed:
        raise failed[0]
    return found[0]
