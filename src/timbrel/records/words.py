"""Entries in words: the name of each kind, and what an entry says in one line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from timbrel.records.chain import Entry
from timbrel.records.roles import ROLE_NAMES, Role
from timbrel.words import Message, Voice, say

KIND_NAMES: dict[str, Message] = {
    "person": say("person"),
    "token": say("link"),
    "token_revoked": say("link revoked"),
    "day": say("day"),
    "delivery": say("delivery"),
    "batch": say("binder batch"),
    "soaked": say("tiles soaked"),
    "course": say("course or arch closed"),
    "centring": say("centring moved"),
    "point": say("measured point"),
    "rod": say("rod reading"),
    "photo": say("photograph"),
    "signature": say("signature"),
    "load_reading": say("load test reading"),
    "practice": say("practice arch laid"),
    "gate": say("practice gate"),
    "note": say("note"),
    "void": say("made void"),
}


def spoken_body(voice: Voice, entry: Entry) -> str:
    """What an entry says, in one line."""
    return voice(_LINES[entry.kind](entry.body))


def _person(b: dict[str, Any]) -> Message:
    return say("{name}, {role}", name=b["name"], role=ROLE_NAMES[Role(b["role"])])


def _token(b: dict[str, Any]) -> Message:
    return say(
        "for person {person}, until {expires}", person=b["person"], expires=b["expires"][:10]
    )


def _token_revoked(b: dict[str, Any]) -> Message:
    return say("link {token}", token=b["token"])


def _day(b: dict[str, Any]) -> Message:
    return say("{day}, {t:degc} {text}", day=b["day"], t=b["temperature_c"], text=b["text"])


def _delivery(b: dict[str, Any]) -> Message:
    return say(
        "{what}: {quantity} {unit}, number {number}",
        what=b["what"],
        quantity=b["quantity"],
        unit=b["unit"],
        number=b["number"] or "–",
    )


def _batch(b: dict[str, Any]) -> Message:
    return say(
        "{binder}, layer {layer}: {mixed:litres} mixed at {at}, {lost:litres} thrown away",
        binder=b["binder"],
        layer=b["layer"],
        mixed=b["litres"] * 1e-3,
        at=b["mixed"][11:16],
        lost=b["thrown_away_litres"] * 1e-3,
    )


def _soaked(b: dict[str, Any]) -> Message:
    return say(
        "{tiles:count} of {tile} for {time:minutes}",
        tiles=b["tiles"],
        tile=b["tile"],
        time=b["minutes"] * 60,
    )


def _course(b: dict[str, Any]) -> Message:
    if b["what"] == "arch":
        return say(
            "layer {layer}, arch {number}, {tiles:count} tiles",
            layer=b["layer"],
            number=b["number"],
            tiles=b["tiles"],
        )
    return say(
        "layer {layer}, course {number}, {tiles:count} tiles",
        layer=b["layer"],
        number=b["number"],
        tiles=b["tiles"],
    )


def _centring(b: dict[str, Any]) -> Message:
    return say(
        "move {move}, lowered {drop:length} {text}", move=b["move"], drop=b["drop"], text=b["text"]
    )


def _point(b: dict[str, Any]) -> Message:
    where = {"v": b["v"], "x": b["x"], "value": b["value"], "text": b["text"]}
    return {
        "offset": say("offset at {v:percent}, x {x:length}: {value:length} {text}", **where),
        "level": say("level at {v:percent}, x {x:length}: {value:length} {text}", **where),
        "span": say("span at {v:percent}: {value:length} {text}", **where),
        "diagonal": say("diagonal {text}: {value:length}", **where),
    }[b["what"]]


def _rod(b: dict[str, Any]) -> Message:
    return say(
        "layer {layer}, rod {rod}: {done:count} laid stand at {value:length}",
        layer=b["layer"],
        rod=b["rod"],
        done=b["done"],
        value=b["value"],
    )


def _photo(b: dict[str, Any]) -> Message:
    return say("{digest} {text}", digest=b["digest"][:12], text=b["text"])


def _signature(b: dict[str, Any]) -> Message:
    return say(
        "{what}: {result}, {name} {text}",
        what=b["what"],
        result=b["result"],
        name=b["name"],
        text=b["text"],
    )


def _load_reading(b: dict[str, Any]) -> Message:
    return say(
        "step {step}, {load:force}: gauge {gauge} reads {reading:length}",
        step=b["step"],
        load=b["load"],
        gauge=b["gauge"],
        reading=b["reading"],
    )


def _practice(b: dict[str, Any]) -> Message:
    return say(
        "{name}, arch {arch}: {tiles:count} tiles in {time:minutes}, {pace:count} an hour",
        name=b["name"],
        arch=b["arch"],
        tiles=b["tiles"],
        time=b["minutes"] * 60,
        pace=b["tiles"] / b["minutes"] * 60,
    )


def _gate(b: dict[str, Any]) -> Message:
    said = {"name": b["name"], "gate": b["gate"], "text": b["text"]}
    if b["result"] == "passed":
        return say("{name}, gate {gate}: passed {text}", **said)
    return say("{name}, gate {gate}: to be shown again {text}", **said)


def _note(b: dict[str, Any]) -> Message:
    return say("{text}", text=b["text"])


def _void(b: dict[str, Any]) -> Message:
    return say("{reason}", reason=b["reason"])


_LINES: dict[str, Callable[[dict[str, Any]], Message]] = {
    "person": _person,
    "token": _token,
    "token_revoked": _token_revoked,
    "day": _day,
    "delivery": _delivery,
    "batch": _batch,
    "soaked": _soaked,
    "course": _course,
    "centring": _centring,
    "point": _point,
    "rod": _rod,
    "photo": _photo,
    "signature": _signature,
    "load_reading": _load_reading,
    "practice": _practice,
    "gate": _gate,
    "note": _note,
    "void": _void,
}
