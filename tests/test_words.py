"""Messages, voices and quantities."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.verdict import Check, Verdict, governing_first, judge, overall
from timbrel.words import Voice, feet_and_inches, say


def test_a_message_speaks_its_values_in_the_readers_unit() -> None:
    message = say("The span is {span:length}.", span=4.2)
    assert str(message) == "The span is 4\u202f200 mm."
    assert Voice(length_unit="m")(message) == "The span is 4.200 m."
    assert Voice(length_unit="ft")(message) == "The span is 13 ft 9 3/8 in."


def test_a_message_may_carry_a_message() -> None:
    inner = say("left wall")
    assert str(say("The {wall} holds.", wall=inner)) == "The left wall holds."


@pytest.mark.parametrize(
    ("metres", "spoken"),
    [
        (0.3048, "1 ft 0 in"),
        (0.0254, "1 in"),
        (0.0127, "1/2 in"),
        (4.191, "13 ft 9 in"),
        (0, "0 in"),
    ],
)
def test_feet_and_inches(metres: float, spoken: str) -> None:
    assert feet_and_inches(metres) == spoken


@given(st.floats(min_value=0, max_value=100))
def test_feet_and_inches_are_within_half_a_sixteenth(metres: float) -> None:
    text = feet_and_inches(metres).removesuffix(" in")
    feet, _, rest = text.rpartition(" ft ")
    total = 12.0 * int(feet or 0)
    for part in rest.split():
        top, _, bottom = part.partition("/")
        total += int(top) / int(bottom or 1)
    assert math.isclose(total * 0.0254, metres, abs_tol=0.0254 / 32 + 1e-9)


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="unknown kind"):
        Voice().quantity(1.0, "furlongs")


def _check(value: float | None, limit: float | None, at_least: bool = True) -> Verdict:
    return judge(
        "x", say("x"), value, limit, kind="ratio", reason=say("r"), source="s", at_least=at_least
    ).verdict


def test_what_cannot_be_computed_is_not_judged() -> None:
    assert _check(None, 1.0) is Verdict.NOT_JUDGED
    assert _check(1.0, None) is Verdict.NOT_JUDGED
    assert _check(math.nan, 1.0) is Verdict.NOT_JUDGED
    assert _check(2.0, 1.0) is Verdict.HOLDS
    assert _check(2.0, 1.0, at_least=False) is Verdict.FAILS


def test_what_fails_governs_before_what_is_not_judged() -> None:
    def made(name: str, value: float | None) -> object:
        return judge(name, say("x"), value, 1.0, kind="ratio", reason=say("r"), source="s")

    checks = [made("good", 3.0), made("close", 1.1), made("none", None), made("bad", 0.5)]
    ordered = governing_first(checks)  # type: ignore[arg-type]
    assert [c.name for c in ordered] == ["bad", "none", "close", "good"]
    assert overall(ordered) is Verdict.FAILS
    assert overall(()) is Verdict.NOT_JUDGED


def test_what_has_no_end_is_spoken_without_a_unit() -> None:
    for kind in ("length", "metres", "stress"):
        assert Voice().quantity(float("inf"), kind) == "∞"
        assert Voice(length_unit="ft").quantity(float("inf"), kind) == "∞"
        assert Voice().quantity(float("nan"), kind) == "–"


def test_a_value_led_to_its_limit_governs_only_when_it_fails() -> None:
    def of(name: str, value: float, led: bool) -> Check:
        return judge(name, say("x"), value, 1.0, kind="ratio", reason=say("x"), source="", led=led)

    checks = [of("whole", 1.0, True), of("spare", 1.5, False), of("tight", 1.1, False)]
    assert [c.name for c in governing_first(checks)] == ["tight", "spare", "whole"]
    checks = [of("whole", 0.9, True), of("tight", 1.1, False)]
    assert [c.name for c in governing_first(checks)] == ["whole", "tight"]
