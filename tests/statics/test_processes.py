"""Work in processes: in order, the same as here, and ended at once when the reader stops."""

from __future__ import annotations

import multiprocessing
import operator
import time

import pytest

from timbrel.statics.processes import in_processes


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
    for child in children:
        child.join(timeout=20)
        assert not child.is_alive()


def test_what_breaks_in_a_child_is_told_here() -> None:
    with pytest.raises(TypeError):
        list(in_processes(operator.mul, [(None, 2), (1, 2)], 2))
