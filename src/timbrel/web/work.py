"""Long work in the background: what is being done, how far it is, and a way to stop it."""

from __future__ import annotations

import copy
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from timbrel.words import Message, Progress, TimbrelError, say

KEPT_FOR = 3600.0
MOST_AT_ONCE = 3


class StoppedError(Exception):
    """The reader stopped the work."""


@dataclass
class Work:
    """One piece of long work. state: running, done, stopped or refused."""

    name: str
    what: Message
    share: float = 0.0
    state: str = "running"
    result: Any = None
    error: Message | None = None
    stop: threading.Event = field(default_factory=threading.Event)
    begun: float = field(default_factory=time.monotonic)

    def progress(self, what: Message, share: float) -> None:
        """What the work calls as it goes on; raises when the reader has stopped it."""
        if self.stop.is_set():
            raise StoppedError
        self.what, self.share = what, min(max(share, 0.0), 1.0)


class Bench:
    """The works of a server, by a name that cannot be guessed."""

    def __init__(self) -> None:
        self.works: dict[str, Work] = {}
        self.lock = threading.Lock()

    def start(self, what: Message, task: Callable[[Progress], Any]) -> Work:
        """Begin a task in the background; refused when too many are running."""
        with self.lock:
            self._sweep()
            running = sum(work.state == "running" for work in self.works.values())
            if running >= MOST_AT_ONCE:
                raise TimbrelError(
                    say("Too much is being worked on at once. Wait for one to end, or stop it.")
                )
            work = Work(secrets.token_urlsafe(9), what)
            self.works[work.name] = work
        threading.Thread(target=self._run, args=(work, task), daemon=True).start()
        return work

    def find(self, name: str) -> Work:
        """A work by its name, as it is at this moment: a page that is made while the work ends must
        not show half of either. Its `stop` is the work's own."""
        work = self.works.get(name)
        if work is None:
            raise TimbrelError(say("There is no such work any more."))
        return copy.copy(work)

    def _sweep(self) -> None:
        now = time.monotonic()
        for name, work in list(self.works.items()):
            if work.state != "running" and now - work.begun > KEPT_FOR:
                del self.works[name]

    @staticmethod
    def _run(work: Work, task: Callable[[Progress], Any]) -> None:
        try:
            work.result = task(work.progress)
            work.share, work.state = 1.0, "done"
        except StoppedError:
            work.state = "stopped"
        except TimbrelError as error:
            work.error, work.state = error.message, "refused"
        except Exception as error:
            work.error = say("The work broke off: {reason}", reason=type(error).__name__)
            work.state = "refused"
            raise
