"""An entry as it is handed in, before it has its place in the chain."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from pydantic import ValidationError

from timbrel.records.kinds import MOMENT
from timbrel.words import TimbrelError, say


@dataclass(frozen=True)
class Asked:
    """An entry as it is handed in; see :class:`timbrel.records.chain.Entry`."""

    uid: str
    kind: str
    author: int
    body: object
    at: str
    corrects: int | None

    def __post_init__(self) -> None:
        if not 8 <= len(self.uid) <= 64 or not self.uid.isascii() or not self.uid.isprintable():
            raise TimbrelError(
                say(
                    "uid: {uid} was given; 8 to 64 plain characters are accepted.",
                    uid=self.uid[:70],
                ),
                key="uid",
            )


def now() -> str:
    """This moment, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def moment(at: str) -> str:
    """A moment with its time zone, as it stands in the record. Raises TimbrelError."""
    try:
        return MOMENT.validate_python(at).isoformat(timespec="milliseconds")
    except ValidationError as error:
        raise TimbrelError(
            say(
                "at: {at} was given; a moment with its time zone is accepted, such as "
                "2026-05-04T10:30:00+02:00.",
                at=repr(at)[:60],
            ),
            key="at",
        ) from error
