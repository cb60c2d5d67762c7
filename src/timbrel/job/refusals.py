"""Why a job is refused: one sentence a fault, with the key, what was given and what is accepted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from timbrel.job.fields import Path, Place, accepted, every_key, key_of, place_at
from timbrel.job.units import LIKELY_SLIPS, QuantityError, read_quantity
from timbrel.words import Message, TimbrelError, say

LONGEST_GIVEN = 60


@dataclass(frozen=True)
class Fault:
    """One thing that the user can mend, and the key where."""

    key: str
    message: Message


def refuse(faults: Iterable[Fault]) -> None:
    """Raise the first fault, the others behind it in ``more``; nothing when there is none."""
    found = tuple(faults)
    if found:
        first, *rest = found
        raise TimbrelError(first.message, key=first.key, more=tuple(f.message for f in rest))


def faults_of(error: ValidationError, stated: dict[str, Any]) -> list[Fault]:
    """The faults behind a refusal of the model, unknown keys first: they explain the rest."""
    found = error.errors(include_url=False)
    paths = [tuple(e["loc"]) for e in found]
    unknown, others = [], []
    for path, e in zip(paths, found, strict=True):
        below = any(len(p) > len(path) and p[: len(path)] == path for p in paths)
        if e["type"] == "too_short" and below:
            continue  # counted short only because a row of it was refused, which is told by itself
        if e["type"] == "extra_forbidden":
            unknown.append(_unknown(path))
        elif e["type"] == "missing":
            others.append(_missing(path))
        else:
            others.append(_wrong(path, _given(stated, path), e.get("ctx", {}).get("error")))
    return unknown + others


def given_text(value: Any, unit: str = "") -> str:
    """What the job states, as it stands in the file; a plain number with the unit it is in."""
    if isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, int | float):
        text = f"{value} {unit}".rstrip()
    elif isinstance(value, dict):
        text = "{" + ", ".join(f"{k} = {given_text(v)}" for k, v in value.items()) + "}"
    elif isinstance(value, list | tuple):
        text = "[" + ", ".join(given_text(v) for v in value) + "]"
    else:
        text = str(value)
    return text if len(text) <= LONGEST_GIVEN else text[: LONGEST_GIVEN - 1] + "…"


def _given(stated: Any, path: Path) -> Any:
    for part in path:
        try:
            stated = stated[part]
        except (KeyError, IndexError, TypeError):
            return None
    return stated


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The known word that looks most like a given one."""
    known = {w.lower(): w for w in words}
    for low, exact in known.items():
        if sorted(low) == sorted(word.lower()):
            return exact  # letters exchanged, as in BA for AB
    near = get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return known[near[0]] if near else None


def _unknown(path: Path) -> Fault:
    key, name = key_of(path), str(path[-1])
    parent = place_at(path[:-1])
    assert parent is not None and parent.table is not None
    known = tuple(parent.table.model_fields)
    near = nearest(name, known)
    if near is None:
        elsewhere = [p for p in every_key() if p[-1] == name]
        if elsewhere:
            return Fault(
                key,
                say(
                    "{key} is no key of a job; perhaps {near} was meant.",
                    key=key,
                    near=key_of(elsewhere[0]),
                ),
            )
        return Fault(
            key,
            say("{key} is no key of a job; accepted: {keys}.", key=key, keys=", ".join(known)),
        )
    near_key = key_of((*path[:-1], near))
    return Fault(
        key,
        say("{key} is no key of a job; perhaps {near} was meant.", key=key, near=near_key),
    )


def _missing(path: Path) -> Fault:
    key, place = key_of(path), place_at(path)
    assert place is not None
    return Fault(
        key, say("{key} is missing; accepted: {accepts}.", key=key, accepts=accepted(place))
    )


def _wrong(path: Path, given: Any, error: object) -> Fault:
    key, place = key_of(path), place_at(path)
    if place is None:
        return Fault(key, say("{key} cannot be {given}.", key=key, given=given_text(given)))
    stands, accepts = given_text(given, place.unit), accepted(place)
    if isinstance(error, QuantityError) and isinstance(given, str):
        return Fault(
            key,
            say(
                "{key} is {given}: {reason}; accepted: {accepts}.",
                key=key,
                given=stands,
                reason=error.reason,
                accepts=accepts,
            ),
        )
    meant = _meant(given, place)
    if meant:
        return Fault(
            key,
            say(
                "{key} is {given}; accepted: {accepts}. Perhaps {meant} was meant: write it so; "
                "timbrel does not guess.",
                key=key,
                given=stands,
                accepts=accepts,
                meant=meant,
            ),
        )
    return Fault(
        key, say("{key} is {given}; accepted: {accepts}.", key=key, given=stands, accepts=accepts)
    )


def _meant(given: Any, place: Place) -> Message | None:
    """What was probably meant by a number out of its range, or a word that is not on the list."""
    if isinstance(given, str) and place.words:
        near = nearest(given, place.words)
        return None if near is None else say('"{text}"', text=near)
    if isinstance(given, bool) or not isinstance(given, int | float) or not place.unit:
        return None
    if not abs(given) < 1e15:
        return None
    texts = [f"{given:.12g} {unit}" for unit in LIKELY_SLIPS[place.unit]]
    fit = [text for text in texts if within(read_quantity(text, place.unit), place)]
    if len(fit) > 1:
        return say('"{text}" or "{other}"', text=fit[0], other=fit[1])
    return say('"{text}"', text=fit[0]) if fit else None


def within(value: float, place: Place) -> bool:
    """Does an SI value keep the limits of a place?"""
    least, over = place.limit("ge"), place.limit("gt")
    most, under = place.limit("le"), place.limit("lt")
    return (
        (least is None or value >= least)
        and (over is None or value > over)
        and (most is None or value <= most)
        and (under is None or value < under)
    )
