"""Lengths and levels as they are lettered on a drawing."""

from __future__ import annotations

from timbrel.words import Message, Voice, say


def bare_length(voice: Voice, metres: float, places: int = 0) -> str:
    """A length without its unit, for dimension lines (the sheet states the unit)."""
    spoken = voice.length(metres, places)
    return spoken if voice.length_unit == "ft" else spoken.rsplit(" ", 1)[0]


def signed_level(voice: Voice, metres: float) -> str:
    """A level as builders write it: +2.450, ±0.000; feet and inches where the reader uses them."""
    if voice.length_unit == "ft":
        return ("+" if metres > 0 else "") + voice.length(metres)
    if abs(metres) < 5e-4:
        return "±" + voice.number(0.0, 3)
    return ("+" if metres > 0 else "") + voice.number(metres, 3)


def unit_note(voice: Voice) -> Message:
    """The line that says in which unit the sheet is dimensioned."""
    return {
        "mm": say("Dimensions in millimetres, levels in metres."),
        "cm": say("Dimensions in centimetres, levels in metres."),
        "m": say("Dimensions and levels in metres."),
        "ft": say("Dimensions and levels in feet and inches."),
    }[voice.length_unit]
