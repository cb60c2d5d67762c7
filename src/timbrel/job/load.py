"""Reading a job: from a file or a text to a job that fits together, or one clear sentence why not.

The text is TOML. What is refused names the file and line when it is no TOML, and the key, what was
given and what is accepted when it is.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from timbrel.job.defaults import DefaultUsed, defaults_used
from timbrel.job.model import Job
from timbrel.job.refusals import faults_of, refuse
from timbrel.job.sense import faults_between
from timbrel.words import Message, TimbrelError, say

JOB_FILE = "job.toml"
LARGEST = 1_000_000
"""Bytes; the longest job that was ever written by hand is a hundred times smaller."""


@dataclass(frozen=True)
class Loaded:
    """A job, the defaults that it leaned on, and where it was read."""

    job: Job
    defaults: tuple[DefaultUsed, ...]
    path: Path | None


def load_job(path: Path) -> Loaded:
    """Read a job file, or the ``job.toml`` in a folder. Raises TimbrelError."""
    file = path / JOB_FILE if path.is_dir() else path
    loaded = read_job(text_of(file), str(file))
    return Loaded(loaded.job, loaded.defaults, file)


def read_job(text: str, name: str = JOB_FILE) -> Loaded:
    """Read a job from its text; `name` is what the sentences call it. Raises TimbrelError."""
    stated = _parse(text.removeprefix("\ufeff"), name)
    try:
        job = Job.model_validate(stated)
    except ValidationError as error:
        refuse(faults_of(error, stated))
        raise  # a refusal of the model always has a fault
    refuse(faults_between(job))
    return Loaded(job, defaults_used(job), None)


def text_of(file: Path) -> str:
    """The text of a file. Raises TimbrelError with one sentence when it cannot be read."""
    try:
        with file.open("rb") as opened:
            raw = opened.read(LARGEST + 1)
    except FileNotFoundError as error:
        raise TimbrelError(
            say("There is no job file {name}; `timbrel new` writes one to start from.", name=file)
        ) from error
    except IsADirectoryError as error:
        raise TimbrelError(say("{name} is a folder, not a job file.", name=file)) from error
    except OSError as error:
        raise TimbrelError(
            say("{name} cannot be read: {reason}.", name=file, reason=error.strerror or error)
        ) from error
    if len(raw) > LARGEST:
        raise TimbrelError(
            say("{name} is larger than {most} bytes; no job file is.", name=file, most=LARGEST)
        )
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise TimbrelError(
            say("{name} is not a text in UTF-8: line {line} cannot be read.", name=file, line=line)
        ) from error


def _parse(text: str, name: str) -> dict[str, Any]:
    if not text.strip():
        raise TimbrelError(
            say("{name} is empty; `timbrel new` writes a job to start from.", name=name)
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TimbrelError(_no_toml(text, name, str(error))) from error
    except (RecursionError, ValueError) as error:
        raise TimbrelError(
            say(
                "{name} is no job: it nests too deep or holds a number too long to read.", name=name
            )
        ) from error


def _no_toml(text: str, name: str, reason: str) -> Message:
    """The sentence for a text that is no TOML: where, and what stands there."""
    lines = text.splitlines()
    found = re.search(r"at line (\d+), column (\d+)", reason)
    line, column = (int(found[1]), int(found[2])) if found else (len(lines), len(lines[-1]) + 1)
    shown = lines[min(line, len(lines)) - 1].strip()[:60]
    where = {"name": name, "line": line, "column": column, "shown": shown}
    twice = re.search(r"Cannot (?:declare|overwrite)|twice", reason)
    if twice:
        return say("{name}, line {line}: the key or table is there twice: {shown}", **where)
    if re.search(r"[=\[,]\s*[\d.]+,\d", shown) and "[" not in shown:
        return say(
            "{name}, line {line}, column {column}: a number is written with a point, not a comma, "
            "and without thousands: {shown}",
            **where,
        )
    if re.search(r"=\s*[^\d\"'\[{tf\s+-]", shown) or re.search(r"=\s*[\d./]+\s*[A-Za-z'\"]", shown):
        return say(
            "{name}, line {line}, column {column}: a text, or a number with its unit, goes between "
            'straight quotes ("4.20 m"): {shown}',
            **where,
        )
    return say("{name}, line {line}, column {column}: this is no TOML: {shown}", **where)
