"""Edits go first: what follows a plan to its last verdict gives way while a job is edited.

Python runs one thread at a time; an edit that had to share with the long following of a state that
it replaces would take twice as long.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from timbrel.web.work import StoppedError
from timbrel.words import Message, Progress

LONGEST_WAIT = 30.0
GIVES_WAY = 5
"""Times that one piece of work gives way; then it goes on to its end."""


class Turns:
    """How many edits are going on, and how many there have been."""

    def __init__(self) -> None:
        self._now = self._begun = 0
        self._changed = threading.Condition()

    @contextmanager
    def editing(self) -> Iterator[None]:
        """While a job is edited."""
        with self._changed:
            self._now += 1
            self._begun += 1
        try:
            yield
        finally:
            with self._changed:
                self._now -= 1
                self._changed.notify_all()

    def after_edits(self) -> Progress:
        """Wait for the edits that are going on; then a progress that stops at the next one."""
        with self._changed:
            self._changed.wait_for(lambda: self._now == 0, timeout=LONGEST_WAIT)
            seen = self._begun

        def told(_what: Message, _share: float) -> None:
            if self._begun != seen:
                raise StoppedError

        return told
