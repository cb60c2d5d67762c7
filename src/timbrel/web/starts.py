"""What a new job may start from: a blank, or an example that ships with the house."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from timbrel.job.new import example_text
from timbrel.web.jobs import JOB_FILE, title_of
from timbrel.words import Message, TimbrelError, say

EXAMPLES = Path(__file__).parents[3] / "examples"
BLANK = "blank"
BLANK_JOB = Path(__file__).parent / "blank.toml"
SHIPPED = "granary"


@dataclass(frozen=True)
class Start:
    """Something that a new job may start from."""

    key: str
    title: Message | str


def starts() -> tuple[Start, ...]:
    """The blank first, then the examples by name."""
    found = [Start(BLANK, say("A blank sheet: a plain room, to be changed to yours"))]
    found += [
        Start(key, say("An example: {title}", title=title_of(text)))
        for key, text in _examples().items()
    ]
    return tuple(found)


def _examples() -> dict[str, str]:
    """The commented example that ships inside the house, and those beside it."""
    beside = {
        file.parent.name: file.read_text(encoding="utf-8")
        for file in sorted(EXAMPLES.glob(f"*/{JOB_FILE}"))
    }
    return {SHIPPED: example_text(), **beside}


def start_text(key: str) -> str:
    """The text that a new job starts with."""
    if key == BLANK:
        return BLANK_JOB.read_text(encoding="utf-8")
    found = _examples()
    if key in found:
        return found[key]
    raise TimbrelError(say("There is no example named {name}.", name=key))
