"""Work in processes: in order, the same as here, and ended at once when the reader stops."""

from __future__ import annotations

import multiprocessing
import operator
import signal
import time
from collections.abc import Sequence
from multiprocessing.process import BaseProcess

import pytest

from timbrel.statics.processes import Aside, in_processes, spare_processors


def ended(children: Sequence[BaseProcess]) -> bool:
    """Are all gone before long. The pool waits for them too: whichever of two that wait for one child
    comes second is not told at once that it is gone."""
    until = time.monotonic() + 20
    while any(child.is_alive() for child in children) and time.monotonic() < until:
        time.sleep(0.02)
    return not any(child.is_alive() for child in children)


@pytest.mark.parametrize("workers", [1, 2])
def test_results_come_in_order(workers: int) -> None:
    tasks = [(i, 2) for i in range(6)]
    assert list(in_processes(operator.mul, tasks, workers)) == [0, 2, 4, 6, 8, 10]


def test_a_stop_ends_the_children() -> None:
    found = in_processes(time.sleep, [(0.0,), *[(600.0,)] * 5], 2)
    assert next(found) is None
    children = multiprocessing.active_children()
    assert children
    found.close()
    assert ended(children)


def test_what_breaks_in_a_child_is_told_here() -> None:
    with pytest.raises(TypeError):
        list(in_processes(operator.mul, [(None, 2), (1, 2)], 2))


@pytest.mark.parametrize("helpers", [0, 1, 2])
def test_what_is_put_aside_comes_back(helpers: int) -> None:
    with Aside(helpers) as aside:
        assert aside.helped == bool(helpers)
        begun = [aside.begin(operator.mul, i, 3) for i in range(5)]
        assert [later.result() for later in reversed(begun)] == [12, 9, 6, 3, 0]


def test_what_no_process_has_begun_is_done_here() -> None:
    with pytest.raises(InterruptedError), Aside(1) as aside:
        aside.begin(time.sleep, 600.0)
        assert aside.begin(operator.mul, 6, 7).result() == 42
        raise InterruptedError


def test_what_goes_wrong_aside_is_said_here() -> None:
    with Aside(1) as aside, pytest.raises(TypeError):
        aside.begin(operator.mul, None, 2).result()


def test_a_stop_while_waiting_ends_the_helpers() -> None:
    def stop() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt), Aside(1) as aside:
        begun = aside.begin(time.sleep, 600.0)
        children = multiprocessing.active_children()
        assert children
        begun.result(stop)
    assert ended(children)


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="no signal masks here")
def test_helpers_hear_no_ctrl_c_and_this_process_does() -> None:
    with Aside(1) as aside:
        later = aside.begin(signal.pthread_sigmask, signal.SIG_BLOCK, [])
        until = time.monotonic() + 60
        while later._future is not None and not later._future.done():
            assert time.monotonic() < until
            time.sleep(0.01)
        assert signal.SIGINT in later.result()
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


def test_no_more_helpers_than_processors() -> None:
    assert 0 <= spare_processors() < multiprocessing.cpu_count()
