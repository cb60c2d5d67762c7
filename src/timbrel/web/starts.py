"""What a new job may start from: a blank, or an example that ships with the house."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from timbrel.web.jobs import JOB_FILE, title_of
from timbrel.words import Message, TimbrelError, say

EXAMPLES = Path(__file__).parents[3] / "examples"
BLANK = "blank"


@dataclass(frozen=True)
class Start:
    """Something that a new job may start from."""

    key: str
    title: Message | str


def starts() -> tuple[Start, ...]:
    """The blank first, then the examples by name."""
    found = [Start(BLANK, say("A blank sheet: a plain room, to be changed to yours"))]
    for file in sorted(EXAMPLES.glob(f"*/{JOB_FILE}")):
        title = title_of(file.read_text(encoding="utf-8"))
        found.append(Start(file.parent.name, say("An example: {title}", title=title)))
    return tuple(found)


def start_text(key: str) -> str:
    """The text that a new job starts with."""
    if key == BLANK:
        from timbrel.job.blank import blank_job

        return blank_job()
    if key in {start.key for start in starts()}:
        return (EXAMPLES / key / JOB_FILE).read_text(encoding="utf-8")
    raise TimbrelError(say("There is no example named {name}.", name=key))
