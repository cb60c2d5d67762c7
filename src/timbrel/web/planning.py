"""Plans of jobs as they stand, made once a state and kept for a while."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from timbrel.web.history import fingerprint
from timbrel.words import TimbrelError

if TYPE_CHECKING:
    from timbrel.plan import Plan

MOST_KEPT = 12


@dataclass
class Planned:
    """A plan with what has been drawn from it so far. took: seconds that planning took."""

    revision: str
    plan: Plan
    took: float
    kept: dict[Any, Any] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def once(self, key: Any, make: Callable[[], Any]) -> Any:
        """Make a thing from the plan the first time it is asked for, then keep it."""
        with self.lock:
            if key not in self.kept:
                self.kept[key] = make()
            return self.kept[key]


class Planner:
    """Makes plans; the last few are kept, and one state is never planned twice at once."""

    def __init__(self) -> None:
        self.kept: OrderedDict[str, Planned | TimbrelError] = OrderedDict()
        self.lock = threading.Lock()
        self.making: dict[str, threading.Lock] = {}

    def plan(self, text: str) -> Planned:
        """The plan of a job's text. Raises TimbrelError when the job cannot stand."""
        mark = fingerprint(text)
        with self.lock:
            own = self.making.setdefault(mark, threading.Lock())
        with own:
            found = self.kept.get(mark)
            if found is None:
                found = self._make(text, mark)
                with self.lock:
                    self.kept[mark] = found
                    while len(self.kept) > MOST_KEPT:
                        self.kept.popitem(last=False)
                    self.making.pop(mark, None)
        if isinstance(found, TimbrelError):
            raise found
        return found

    @staticmethod
    def _make(text: str, mark: str) -> Planned | TimbrelError:
        from timbrel.job.load import read_job
        from timbrel.plan import make_plan

        begun = time.perf_counter()
        try:
            plan = make_plan(read_job(text).job)
        except TimbrelError as error:
            return error
        return Planned(mark, plan, time.perf_counter() - begun)
