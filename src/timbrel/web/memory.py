"""What has been worked out of the last few jobs, kept by what it hangs on.

An edit of one table leaves most of the plan as it was: the tiles do not hang on the loads, nor the
thrust lines on the prices.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, TypeVar

from timbrel.job.model import Job

MOST_KEPT = 4
Made = TypeVar("Made")


class Memory:
    """The last few results of each kind. Two threads may ask at once."""

    def __init__(self) -> None:
        self.kept: dict[str, list[tuple[Job, Any]]] = {}
        self.lock = threading.Lock()

    def recall(self, what: str, seen: Job, make: Callable[[], Made]) -> Made:
        """What was made before of an equal job, or what is made now. Refusals are not kept.

        seen: the job as the work sees it; `make` must hang on nothing else.
        """
        with self.lock:
            rows = list(self.kept.get(what, ()))
        for job, found in rows:
            if job == seen:
                result: Made = found
                return result
        made = make()
        with self.lock:
            others = [row for row in self.kept.get(what, []) if row[0] != seen]
            self.kept[what] = [(seen, made), *others][:MOST_KEPT]
        return made
