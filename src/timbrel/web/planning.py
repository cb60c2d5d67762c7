"""Plans of jobs as they stand, made once a state and kept for a while."""

from __future__ import annotations

import logging
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from timbrel.web.history import fingerprint
from timbrel.web.memory import Memory
from timbrel.web.work import StoppedError
from timbrel.words import Progress, TimbrelError, say, silent

if TYPE_CHECKING:
    from timbrel.plan import Plan

LOG = logging.getLogger(__name__)
MOST_KEPT = 12
JUDGED, WHOLE = "judged", "whole"
Made = TypeVar("Made")


@dataclass
class Planned:
    """A plan with what has been drawn from it so far. took: seconds that planning took."""

    revision: str
    plan: Plan
    took: float
    kept: dict[Any, Any] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)
    making: dict[Any, threading.Lock] = field(default_factory=dict)

    def once(self, key: Any, make: Callable[[], Any]) -> Any:
        """Make a thing from the plan the first time it is asked for, then keep it.

        Each thing has a lock of its own: a drawing never waits until the stages of building, which
        may take a minute, have been followed.
        """
        with self.lock:
            own = self.making.setdefault(key, threading.Lock())
        with own:
            if key not in self.kept:
                self.kept[key] = make()
            return self.kept[key]

    @property
    def is_judged(self) -> bool:
        """Have the loads and the stages of building been followed already."""
        return JUDGED in self.kept

    @property
    def is_whole(self) -> bool:
        """Has all been followed that the pack shows."""
        return WHOLE in self.kept

    @property
    def known(self) -> Plan:
        """The plan as far as it has been followed by now. Where its building cannot be followed the
        verdicts say why, and the rest still stands."""
        try:
            return self.judged() if self.is_judged else self.plan
        except TimbrelError:
            return self.plan

    def judged(self, progress: Progress = silent) -> Plan:
        """The plan with all its verdicts. Raises TimbrelError when they cannot be.

        progress: may raise StoppedError; the work is begun again when it is next asked for.
        """

        def follow() -> Plan | TimbrelError:
            from timbrel.plan import follow_verdicts

            return _or_refusal(lambda: follow_verdicts(self.plan, progress))

        return _unrefused(self.once(JUDGED, follow))

    def whole(self) -> Plan:
        """The plan with all that the pack shows. Raises TimbrelError when it cannot be."""
        judged = self.judged()

        def follow() -> Plan | TimbrelError:
            from timbrel.plan import follow_studies

            return _or_refusal(lambda: follow_studies(judged))

        return _unrefused(self.once(WHOLE, follow))


def _unrefused(found: Plan | TimbrelError) -> Plan:
    if isinstance(found, TimbrelError):
        raise found
    return found


def _or_refusal(make: Callable[[], Made]) -> Made | TimbrelError:
    """What is made, or why not; a fault of the program is told as one and kept in the log."""
    try:
        return make()
    except TimbrelError as error:
        return error
    except StoppedError:
        raise
    except Exception as error:
        LOG.exception("planning broke off")
        return TimbrelError(
            say(
                "The planning itself broke off ({reason}). That is a fault of this program, "
                "not of your job: please report it with the job.",
                reason=type(error).__name__,
            )
        )


class Planner:
    """Makes plans; the last few are kept, and one state is never planned twice at once."""

    def __init__(self) -> None:
        self.kept: OrderedDict[str, Planned | TimbrelError] = OrderedDict()
        self.lock = threading.Lock()
        self.making: dict[str, threading.Lock] = {}
        self.memory = Memory()

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

    def _make(self, text: str, mark: str) -> Planned | TimbrelError:
        from timbrel.job.load import read_job
        from timbrel.plan import make_plan

        begun = time.perf_counter()
        found = _or_refusal(lambda: make_plan(read_job(text), recall=self.memory.recall))
        if isinstance(found, TimbrelError):
            return found
        return Planned(mark, found, time.perf_counter() - begun)
