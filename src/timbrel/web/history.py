"""The states that a job has had, kept on disk beside it, so that undo outlives a restart.

``.history/`` holds one text a state and ``states.json``, which says in what order they follow and
which of them stands now. A new edit after an undo starts a new branch: the states undone leave the
list, their texts stay in the folder.
"""

from __future__ import annotations

import hashlib
import json
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from timbrel.web.files import write_beside
from timbrel.words import Message, TimbrelError, say

FOLDER = ".history"
INDEX = "states.json"


def first_seen() -> Message:
    """The state in which the page first met the job."""
    return say("as first seen")


def changed_outside() -> Message:
    """A state that was written by another hand than the page's."""
    return say("changed outside the page")


def put(key: str, value: str) -> Message:
    """An edit of one field."""
    return say("{key}: {value}", key=key, value=value)


def added(key: str) -> Message:
    """A row or an entry was added."""
    return say("{key} added", key=key)


def removed(key: str) -> Message:
    """A row or an entry was taken out."""
    return say("{key} taken out", key=key)


def chosen(title: str) -> Message:
    """One of several options was made the job."""
    return say("chosen: {title}", title=title)


def measured(tile: str, count: int) -> Message:
    """Tiles of a delivery were measured."""
    return say("tiles {tile}: {count} measured", tile=tile, count=count)


_KNOWN = {
    m.msgid
    for m in (first_seen(), changed_outside(), put("", ""), added(""), removed(""), chosen(""),
              measured("", 0))
}  # fmt: skip


def fingerprint(text: str) -> str:
    """A short mark of a job's text: two states with the same mark are the same."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@dataclass(frozen=True)
class State:
    """One state: the file that holds its text, when it was reached and what changed."""

    file: str
    when: float
    what: Message
    mark: str


class History:
    """Undo and redo over the whole life of a job."""

    def __init__(self, job_folder: Path) -> None:
        self.folder = job_folder / FOLDER
        self.states: list[State] = []
        self.at = -1
        self._load()

    def _load(self) -> None:
        try:
            kept: dict[str, Any] = json.loads((self.folder / INDEX).read_text(encoding="utf-8"))
            states = [
                State(
                    Path(str(row["file"])).name,
                    float(row["when"]),
                    Message(str(row["what"]), {k: str(v) for k, v in row["values"].items()}),
                    str(row["mark"]),
                )
                for row in kept["states"]
                if row["what"] in _KNOWN
            ]
            at = int(kept["at"])
            for state in states:
                str(state.what)
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return
        if states and 0 <= at < len(states):
            self.states, self.at = states, at

    def _store(self) -> None:
        rows = [
            {"file": s.file, "when": s.when, "what": s.what.msgid, "values": s.what.values,
             "mark": s.mark}
            for s in self.states
        ]  # fmt: skip
        data = json.dumps({"at": self.at, "states": rows}, ensure_ascii=False)
        write_beside(self.folder / INDEX, data.encode())

    def meet(self, text: str) -> None:
        """Make sure that the text on disk is the state that stands now."""
        if self.at < 0:
            self.add(text, first_seen())
        elif self.states[self.at].mark != fingerprint(text):
            self.add(text, changed_outside())

    def add(self, text: str, what: Message) -> None:
        """A new state after the one that stands; what had been undone leaves the list."""
        self.folder.mkdir(exist_ok=True)
        number = 1 + max(
            (int(f.stem) for f in self.folder.glob("*.toml") if f.stem.isdigit()), default=0
        )
        file = f"{number:06d}.toml"
        write_beside(self.folder / file, text.encode())
        values = {k: v for k, v in what.values.items() if isinstance(v, str | int | float)}
        state = State(file, time.time(), Message(what.msgid, values), fingerprint(text))
        self.states = [*self.states[: self.at + 1], state]
        self.at = len(self.states) - 1
        self._store()

    def go_to(self, number: int) -> str:
        """Make another state the one that stands; answers its text."""
        if not 0 <= number < len(self.states):
            raise TimbrelError(say("The history of this job has no such state."))
        text = self.text_of(self.states[number])
        self.at = number
        self._store()
        return text

    def text_of(self, state: State) -> str:
        """The job's text in a state."""
        try:
            return (self.folder / state.file).read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise TimbrelError(say("That state of the job can no longer be read.")) from error

    @property
    def can_undo(self) -> bool:
        """Is there a state before this one."""
        return self.at > 0

    @property
    def can_redo(self) -> bool:
        """Is there a state after this one."""
        return self.at < len(self.states) - 1
