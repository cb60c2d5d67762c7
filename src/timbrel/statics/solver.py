"""The linear-programming solver, silent."""

from __future__ import annotations

from typing import Any


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
