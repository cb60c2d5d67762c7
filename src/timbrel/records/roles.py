"""Who may write, sign and read in the site's record."""

from __future__ import annotations

from enum import StrEnum

from timbrel.words import Message, TimbrelError, say


class Role(StrEnum):
    """What a person is on this site."""

    MASTER = "master"
    MASON = "mason"
    APPRENTICE = "apprentice"
    ENGINEER = "engineer"
    CLIENT = "client"


ROLE_NAMES: dict[Role, Message] = {
    Role.MASTER: say("master mason"),
    Role.MASON: say("mason"),
    Role.APPRENTICE: say("apprentice"),
    Role.ENGINEER: say("engineer"),
    Role.CLIENT: say("client"),
}

_WORK = {
    "day",
    "delivery",
    "batch",
    "soaked",
    "course",
    "centring",
    "point",
    "rod",
    "practice",
    "photo",
    "note",
}
_LEARNING = {"batch", "soaked", "course", "practice", "photo", "note"}
_WATCHING = {"point", "rod", "load_reading", "photo", "note", "signature"}

MAY_WRITE: dict[Role, frozenset[str]] = {
    Role.MASTER: frozenset(
        _WORK | {"load_reading", "gate", "signature", "person", "token", "token_revoked", "void"}
    ),
    Role.MASON: frozenset(_WORK | {"load_reading", "void"}),
    Role.APPRENTICE: frozenset(_LEARNING),
    Role.ENGINEER: frozenset(_WATCHING | {"void"}),
    Role.CLIENT: frozenset({"signature"}),
}


def may_write(role: Role, kind: str) -> bool:
    """May somebody in this role make an entry of this kind?"""
    return kind in MAY_WRITE[role]


def refuse_unless_allowed(role: Role, kind: str) -> None:
    """Raise TimbrelError when the role may not make this kind of entry."""
    if not may_write(role, kind):
        allowed = sorted(r.value for r in Role if may_write(r, kind))
        raise TimbrelError(
            say(
                "kind: {kind} was given by somebody in the role {role}; only {allowed} may enter it.",
                kind=kind,
                role=role.value,
                allowed=", ".join(allowed),
            ),
            key="kind",
        )
