"""Sentences that can be spoken in several languages and units.

The rooms of the house never format text for a reader. They return a :class:`Message`: an English
sentence with named places, and the values in SI units. A :class:`Voice` turns it into the
reader's language and units as late as possible, on paper, page or terminal.

The places carry the kind of the value after a colon::

    say("The rise {rise:length} is more than half the span {span:length}.", rise=2.4, span=4.2)

Kinds: ``length`` (m, spoken as mm, cm, m or feet and inches), ``metres`` (m, spoken in m or feet),
``area`` (m2), ``volume`` (m3), ``litres`` (m3 spoken as litres), ``force`` (N as kN),
``line_load`` (N/m as kN/m), ``pressure`` (N/m2 as kN/m2), ``stress`` (N/m2 as N/mm2),
``moment`` (N m per m as kN m/m), ``mass`` (kg), ``grams`` (kg as g),
``days`` (s as days), ``angle`` (rad as degrees), ``degc``,
``seconds`` (s), ``minutes`` (s as minutes), ``hours`` (s as hours), ``percent`` (share as %),
``ratio`` (two decimals), ``count`` (integer), ``density`` (kg/m3), ``unit_weight`` (N/m3 as kN/m3),
``money`` (two decimals). No kind: the value as it stands (names, keys, what was given).
"""

from __future__ import annotations

import gettext
import math
import string
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

LANGUAGES = ("en", "es", "ca", "fr")
LengthUnit = Literal["mm", "cm", "m", "ft"]
LENGTH_UNITS: tuple[LengthUnit, ...] = ("mm", "cm", "m", "ft")
THIN_SPACE = "\u202f"
LOCALE_FOLDER = Path(__file__).parent / "locale"


@dataclass(frozen=True)
class Message:
    """An English sentence with named places and their values (SI). ``str()`` speaks it in English."""

    msgid: str
    values: dict[str, Any] = field(default_factory=dict, hash=False)

    def __str__(self) -> str:
        return Voice()(self)


def say(msgid: str, /, **values: Any) -> Message:
    """A translatable sentence; the catalogue is gathered from the calls of this function."""
    return Message(msgid, values)


def cite(source: str, /) -> str:
    """A source beside a figure: it travels as plain text, is gathered here, and is spoken late."""
    return source


class TimbrelError(Exception):
    """Something the user can mend. The message is one clear sentence in the user's language."""

    def __init__(self, message: Message, *, key: str = "", more: tuple[Message, ...] = ()) -> None:
        super().__init__(str(message))
        self.message = message
        self.key = key
        self.more = more


def _decimals(value: float, places: int) -> str:
    text = f"{value:,.{places}f}".replace(",", THIN_SPACE)
    return text.removeprefix("-") if float(f"{value:.{places}f}") == 0 else text


def feet_and_inches(metres: float) -> str:
    """Length as a mason with a foot rule reads it, to the nearest sixteenth of an inch."""
    sixteenths = round(abs(metres) / 0.0254 * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    sign = "-" if metres < 0 and sixteenths else ""
    text = str(inches)
    if part:
        shared = math.gcd(part, 16)
        text = (
            f"{inches} {part // shared}/{16 // shared}"
            if inches
            else f"{part // shared}/{16 // shared}"
        )
    return f"{sign}{feet} ft {text} in" if feet else f"{sign}{text} in"


@lru_cache(maxsize=len(LANGUAGES))
def catalogue(language: str) -> gettext.NullTranslations:
    """The gettext catalogue of a language; English is the source and has none."""
    if language == "en":
        return gettext.NullTranslations()
    return gettext.translation("timbrel", LOCALE_FOLDER, languages=[language])


@dataclass(frozen=True)
class Voice:
    """Speaks messages and quantities in one language and one unit of length."""

    language: str = "en"
    length_unit: LengthUnit = "mm"

    def __call__(self, message: Message | str) -> str:
        if isinstance(message, str):
            return self.text(message)
        return _Sentence(self).vformat(self.text(message.msgid), (), message.values)

    def text(self, msgid: str) -> str:
        """Translate a plain text without places."""
        return catalogue(self.language).gettext(msgid) if msgid else ""

    def number(self, value: float, places: int = 2) -> str:
        """A number with the decimal sign of the language."""
        text = _decimals(value, places)
        return text if self.language == "en" else text.replace(".", ",")

    def length(self, metres: float, places: int = 0) -> str:
        """A length in the reader's unit; `places` is the decimals of a millimetre."""
        if self.length_unit == "ft":
            return feet_and_inches(metres)
        scale, spare = {"mm": (1e3, 0), "cm": (1e2, 1), "m": (1.0, 3)}[self.length_unit]
        return f"{self.number(metres * scale, places + spare)} {self.length_unit}"

    def quantity(self, value: Any, kind: str) -> str:
        """A value in SI units, spoken by its kind (see the module's list)."""
        if value is None:
            return "–"
        if kind not in _KINDS and kind not in ("length", "metres"):
            raise ValueError(f"unknown kind of quantity: {kind}")
        if not math.isfinite(value):
            return "∞" if value > 0 else "–"
        if kind == "length":
            return self.length(value)
        if kind == "metres":
            return (
                feet_and_inches(value) if self.length_unit == "ft" else f"{self.number(value, 2)} m"
            )
        scale, places, unit = _KINDS[kind]
        return f"{self.number(value * scale, places)}{unit}"


_KINDS: dict[str, tuple[float, int, str]] = {
    "area": (1, 2, " m²"),
    "volume": (1, 3, " m³"),
    "litres": (1e3, 1, " l"),
    "force": (1e-3, 2, " kN"),
    "line_load": (1e-3, 2, " kN/m"),
    "pressure": (1e-3, 2, " kN/m²"),
    "stress": (1e-6, 3, " N/mm²"),
    "moment": (1e-3, 3, " kN·m/m"),
    "mass": (1, 1, " kg"),
    "grams": (1e3, 1, " g"),
    "days": (1 / 86400, 1, " d"),
    "angle": (180 / math.pi, 1, "°"),
    "degc": (1, 0, " °C"),
    "seconds": (1, 0, " s"),
    "minutes": (1 / 60, 1, " min"),
    "hours": (1 / 3600, 1, " h"),
    "percent": (100, 1, " %"),
    "ratio": (1, 2, ""),
    "count": (1, 0, ""),
    "density": (1, 0, " kg/m³"),
    "unit_weight": (1e-3, 1, " kN/m³"),
    "money": (1, 2, ""),
}


class _Sentence(string.Formatter):
    """Fills the places of a sentence; a kind after the colon chooses how the value is spoken."""

    def __init__(self, voice: Voice) -> None:
        self.voice = voice

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, Message):
            return self.voice(value)
        if format_spec:
            return self.voice.quantity(value, format_spec)
        return str(value)


Progress = Callable[[Message, float], None]
"""Called with what is being done and the share done (0 to 1) on long work; may raise to stop it."""


def silent(_what: Message, _share: float) -> None:
    """Progress that nobody watches."""
