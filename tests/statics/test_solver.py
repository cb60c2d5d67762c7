"""The solver hears a stop while it is at work."""

from __future__ import annotations

import _thread
import threading

import pytest

from timbrel.statics.solver import run_stoppably


class Slow:
    """A solver that works until it is told that it may end."""

    def __init__(self, ends: bool) -> None:
        self.may_end, self.ended = threading.Event(), False
        self.begun = threading.Event()
        if ends:
            self.may_end.set()

    def run(self) -> None:
        self.begun.set()
        self.may_end.wait(60)
        self.ended = True


def test_it_is_waited_for() -> None:
    solver = Slow(ends=True)
    run_stoppably(solver)
    assert solver.ended


def test_a_stop_is_heard_while_it_works() -> None:
    solver = Slow(ends=False)

    def stop() -> None:
        solver.begun.wait(60)
        _thread.interrupt_main()

    threading.Thread(target=stop, daemon=True).start()
    with pytest.raises(KeyboardInterrupt):
        run_stoppably(solver)
    assert not solver.ended
    solver.may_end.set()


def test_beside_another_thread_it_runs_in_its_own() -> None:
    solver = Slow(ends=True)
    other = threading.Thread(target=run_stoppably, args=(solver,))
    other.start()
    other.join(60)
    assert solver.ended
