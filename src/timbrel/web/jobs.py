"""A folder of jobs on disk: each job is a folder with a ``job.toml`` and its history.

Nothing is ever deleted: a job that is put away moves to ``.put-away`` and can be
brought back. No name that a reader sends can lead out of the folder.
"""

from __future__ import annotations

import re
import shutil
import threading
import tomllib
import unicodedata
from dataclasses import dataclass
from pathlib import Path

import tomlkit

from timbrel.web.files import write_beside
from timbrel.web.history import History, fingerprint, put
from timbrel.words import Message, TimbrelError, say

JOB_FILE = "job.toml"
PUT_AWAY = ".put-away"
LARGEST_JOB = 512 * 1024
LONGEST_NAME = 120
"""Longer names are no folder of ours, and a file system may refuse to look."""


@dataclass(frozen=True)
class Listed:
    """One row of the list of jobs."""

    name: str
    title: str
    changed: float


@dataclass(frozen=True)
class Held:
    """The text of a job as it stands, with the mark that tells one state from another."""

    name: str
    text: str
    revision: str


class StaleEditError(TimbrelError):
    """The job was changed elsewhere since the reader last saw it."""

    def __init__(self) -> None:
        super().__init__(
            say(
                "This job was changed in another window since you opened it here. Your edit has "
                "not been made, and nothing of the other one is lost."
            )
        )


def slug(title: str) -> str:
    """A folder name from a title: plain small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-") or "job"


def title_of(text: str) -> str:
    """The title that a job's text states, or nothing when it cannot be read."""
    try:
        table = tomllib.loads(text).get("job", {})
    except (ValueError, RecursionError):
        return ""
    return str(table.get("title", "")) if isinstance(table, dict) else ""


def with_title(text: str, title: str) -> str:
    """The same job's text under another title, its comments kept."""
    document = tomlkit.parse(text)
    document["job"]["title"] = title
    return tomlkit.dumps(document)


class NoSuchJobError(TimbrelError):
    """No job of that name is in the folder."""

    def __init__(self, name: str) -> None:
        super().__init__(say("There is no job named {name} here.", name=name))


class JobStore:
    """The jobs in one folder. Every method raises TimbrelError with a sentence for the reader."""

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()
        self.root.mkdir(parents=True, exist_ok=True)
        self.lock = threading.RLock()

    def listed(self, away: bool = False) -> tuple[Listed, ...]:
        """The jobs in the folder, or those put away, the last changed first."""
        base = self.root / PUT_AWAY if away else self.root
        found = []
        for file in base.glob(f"*/{JOB_FILE}") if base.is_dir() else ():
            name = file.parent.name
            if name.startswith(".") or not self._inside(file, base):
                continue
            title = title_of(file.read_text(encoding="utf-8", errors="replace"))
            found.append(Listed(name, title or name, file.stat().st_mtime))
        return tuple(sorted(found, key=lambda row: (-row.changed, row.name)))

    def folder(self, name: str, away: bool = False) -> Path:
        """The folder of a job that exists; anything else is refused."""
        base = self.root / PUT_AWAY if away else self.root
        plain = (
            0 < len(name) <= LONGEST_NAME and name == Path(name).name and not name.startswith(".")
        )
        path = base / name if plain and "\\" not in name and "\0" not in name else None
        if path is None or not (path / JOB_FILE).is_file():
            raise NoSuchJobError(name)
        if not self._inside(path / JOB_FILE, base):
            raise NoSuchJobError(name)
        return path

    def read(self, name: str) -> Held:
        """The job as it stands on disk; a change made by hand joins its history."""
        with self.lock:
            folder = self.folder(name)
            file = folder / JOB_FILE
            if file.stat().st_size > LARGEST_JOB:
                raise TimbrelError(say("The job file is larger than a job can be."))
            try:
                text = file.read_bytes().decode("utf-8")
            except UnicodeDecodeError as error:
                raise TimbrelError(say("The job file is not a text in UTF-8.")) from error
            self.history(name).meet(text)
            return Held(name, text, fingerprint(text))

    def history(self, name: str) -> History:
        """The states that a job has had."""
        return History(self.folder(name))

    def save(self, name: str, text: str, revision: str, what: Message) -> Held:
        """Put a new state on disk; refused when the reader's state is no longer the last one."""
        with self.lock:
            now = self.read(name)
            if now.revision != revision:
                raise StaleEditError
            if len(text.encode()) > LARGEST_JOB:
                raise TimbrelError(say("The job file is larger than a job can be."))
            if text != now.text:
                self.history(name).add(text, what)
                write_beside(self.folder(name) / JOB_FILE, text.encode())
            return Held(name, text, fingerprint(text))

    def go_to(self, name: str, state: int, revision: str) -> Held:
        """Go back or forward to a state of the history."""
        with self.lock:
            now = self.read(name)
            if now.revision != revision:
                raise StaleEditError
            text = self.history(name).go_to(state)
            write_beside(self.folder(name) / JOB_FILE, text.encode())
            return Held(name, text, fingerprint(text))

    def undo(self, name: str, revision: str) -> Held:
        """One state back; stays where there is none."""
        history = self.history(name)
        return self.go_to(name, max(history.at - 1, 0), revision)

    def redo(self, name: str, revision: str) -> Held:
        """One state forward; stays where there is none."""
        history = self.history(name)
        return self.go_to(name, min(history.at + 1, len(history.states) - 1), revision)

    def new(self, title: str, text: str) -> Held:
        """Start a job under a title from the text of a blank or an example."""
        with self.lock:
            folder = self._free(slug(title))
            text = with_title(text, title)
            folder.mkdir()
            write_beside(folder / JOB_FILE, text.encode())
            History(folder).meet(text)
            return Held(folder.name, text, fingerprint(text))

    def copy(self, name: str, title: str) -> Held:
        """A second job with the same text under a new title."""
        return self.new(title, self.read(name).text)

    def rename(self, name: str, title: str) -> Held:
        """Give a job another title, and its folder the name that goes with it."""
        with self.lock:
            now = self.read(name)
            text = with_title(now.text, title)
            self.save(name, text, now.revision, put("job.title", title))
            if slug(title) != name:
                target = self._free(slug(title))
                self.folder(name).rename(target)
                name = target.name
            return self.read(name)

    def put_away(self, name: str) -> None:
        """Move a job out of the list; it can be brought back."""
        with self.lock:
            folder = self.folder(name)
            away = self.root / PUT_AWAY
            away.mkdir(exist_ok=True)
            folder.rename(self._free(name, away))

    def bring_back(self, name: str) -> str:
        """Move a job back into the list; answers its name there."""
        with self.lock:
            target = self._free(name)
            self.folder(name, away=True).rename(target)
            return target.name

    def adopt(self, unpacked: Path, title: str) -> str:
        """Take in a folder that holds a job (an import); answers its name here."""
        with self.lock:
            target = self._free(slug(title))
            shutil.move(unpacked, target)
            return target.name

    def _free(self, name: str, base: Path | None = None) -> Path:
        base = base or self.root
        for count in range(1, 1000):
            path = base / (name if count == 1 else f"{name}-{count}")
            if not path.exists():
                return path
        raise TimbrelError(say("There are too many jobs named {name} already.", name=name))

    @staticmethod
    def _inside(path: Path, base: Path) -> bool:
        return path.resolve().is_relative_to(base.resolve())
