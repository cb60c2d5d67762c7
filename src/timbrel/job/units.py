"""Quantities as the job file states them: a plain number, or a text with its unit.

A plain number is in the unit that the field names (lengths in millimetres); a text may be in any
unit of the same kind: ``4.20 m``, ``13 ft 9 in``, ``13'-9 1/2"``, ``1.5 kN/m2``, ``4,20 m``.
Units are read by pint, which is imported only when a text is met: it costs more to load than all
the rest of the job. Inside, everything is SI, save temperatures, which stay in degrees Celsius.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Any

from pydantic import BeforeValidator

from timbrel.words import Message, say

_PINT = {
    "mm": ("mm", "m"),
    "kg": ("kg", "kg"),
    "kg/m3": ("kg/m**3", "kg/m**3"),
    "kN/m2": ("kN/m**2", "Pa"),
    "kN/m": ("kN/m", "N/m"),
    "kN": ("kN", "N"),
    "kN/m3": ("kN/m**3", "N/m**3"),
    "N/mm2": ("N/mm**2", "Pa"),
    "min": ("min", "s"),
    "s": ("s", "s"),
    "h": ("h", "s"),
    "l": ("l", "m**3"),
    "deg": ("degree", "rad"),
    "°C": ("degC", "degC"),
}
"""What pint calls each unit of a plain number, and the unit in which we keep it."""

_SI = {
    "mm": 1e-3,
    "kg": 1.0,
    "kg/m3": 1.0,
    "kN/m2": 1e3,
    "kN/m": 1e3,
    "kN": 1e3,
    "kN/m3": 1e3,
    "N/mm2": 1e6,
    "min": 60.0,
    "s": 1.0,
    "h": 3600.0,
    "l": 1e-3,
    "deg": math.pi / 180,
    "°C": 1.0,
}

KIND = {
    "mm": "length",
    "kg": "mass",
    "kg/m3": "density",
    "kN/m2": "pressure",
    "kN/m": "line_load",
    "kN": "force",
    "kN/m3": "unit_weight",
    "N/mm2": "stress",
    "min": "minutes",
    "s": "seconds",
    "h": "hours",
    "l": "litres",
    "deg": "angle",
    "°C": "degc",
}
"""How a value in each unit is spoken (see :mod:`timbrel.words`)."""

LIKELY_SLIPS: dict[str, tuple[str, ...]] = {
    "mm": ("m", "cm", "ft", "in"),
    "kg": ("g", "t", "lb"),
    "kg/m3": ("t/m3", "g/cm3", "lb/ft3"),
    "kN/m2": ("N/m2", "kgf/m2", "psf"),
    "kN/m": ("N/m", "kgf/m", "plf"),
    "kN": ("N", "kgf", "lbf"),
    "kN/m3": ("kgf/m3", "N/m3", "pcf"),
    "N/mm2": ("kPa", "Pa", "psi"),
    "min": ("s", "h"),
    "s": ("min", "h"),
    "h": ("min", "day"),
    "l": ("m3", "ml", "gal"),
    "deg": ("rad",),
    "°C": ("°F", "K"),
}
"""Units that a number out of its range was probably meant in, the likeliest first."""

LONGEST_TEXT = 60
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SPACES = re.compile(r"[\s\u00a0\u2009\u202f]+")
_NUMBER = re.compile(
    r"(?:(?P<whole>\d+) )?(?P<top>\d+) ?/ ?(?P<bottom>\d+)"
    r"|(?P<grouped>\d{1,3}(?: \d{3})+(?:[.,]\d+)?)(?![\d/])"
    r"|(?P<plain>(?:\d+(?:[.,]\d*)*|\.\d+)(?:[eE][-+]?\d{1,3}(?=\D|$))?)"
)
_UNIT = re.compile(r"(?:°[CF]?|['\"]|[A-Za-zµ]+[23]?)(?: ?[/·*] ?[A-Za-zµ]+[23]?)*")


class QuantityError(ValueError):
    """A text that cannot be read as a quantity; `reason` is a clause for the user's sentence."""

    def __init__(self, reason: Message) -> None:
        super().__init__(str(reason))
        self.reason = reason


def read_quantity(value: object, plain_unit: str) -> float:
    """Read a number in `plain_unit`, or a text with a unit of the same kind; answer SI.

    Texts may be sums from the greater unit down ("13 ft 9 in"). Raises QuantityError with the
    reason; the sentence that the user reads is made where the key is known.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise QuantityError(say("this is neither a number nor a text with a unit"))
    if isinstance(value, str):
        return _read_text(value, plain_unit)
    if abs(value) > 1e300 or not math.isfinite(value):
        raise QuantityError(say("this is not a finite number"))
    return float(value) * _SI[plain_unit]


def in_plain_unit(value: float, plain_unit: str) -> float:
    """An SI value as the job file would state it: a plain number in `plain_unit`."""
    return float(f"{value / _SI[plain_unit]:.12g}")


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry()
    for definition in ("psf = lbf/ft**2", "plf = lbf/ft", "pcf = lbf/ft**3"):
        registry.define(definition)
    return registry


def _read_text(text: str, plain_unit: str) -> float:
    plain = _tidy(text)
    sign = -1.0 if plain.startswith("-") else 1.0
    rest = plain[1:].lstrip() if plain[0] in "+-" else plain
    parts: list[tuple[float, float]] = []
    while rest:
        number = _NUMBER.match(rest)
        if number is None:
            raise QuantityError(say("this does not read as numbers with units"))
        value = _number(number)
        after = rest[number.end() :].lstrip()
        unit = _UNIT.match(after)
        if unit is None:
            raise QuantityError(
                say(
                    "the number {number} in it has no unit (a plain number in {unit} goes without "
                    "quotes)",
                    number=number.group(0),
                    unit=plain_unit,
                )
            )
        parts.append((value, _unit_size(unit.group(0), plain_unit)))
        # In 13'-9" the dash only joins; a part of a sum has no sign of its own.
        rest = after[unit.end() :].removeprefix("-").lstrip()
    if plain_unit == "°C":
        return _temperature(sign, parts, plain)
    sizes = [size for _, size in parts]
    if sorted(set(sizes), reverse=True) != sizes:
        raise QuantityError(
            say(
                "its parts must go from the greater unit down, as in {example}",
                example="13 ft 9 in",
            )
        )
    return sign * sum(value * size for value, size in parts)


def _tidy(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise QuantityError(say("the text is too long for a quantity"))
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    text = text.replace("′", "'").replace("’", "'").replace("″", '"').replace("”", '"')
    text = text.replace("''", '"').replace("−", "-").replace("²", "2").replace("³", "3")
    text = _SPACES.sub(" ", text.replace("^", "").replace("º", "°")).strip()
    if not text:
        raise QuantityError(say("the text is empty"))
    return text


def _number(found: re.Match[str]) -> float:
    if found["bottom"]:
        if int(found["bottom"]) == 0:
            raise QuantityError(say("a fraction in it divides by zero"))
        return float(int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["bottom"])))
    text = (found["grouped"] or found["plain"]).replace(" ", "")
    if re.fullmatch(r"\d{1,3},\d{3}", text):
        raise QuantityError(
            say(
                "{number} may be read in two ways; write {decimal} or {whole}",
                number=text,
                decimal=text.replace(",", "."),
                whole=text.replace(",", ""),
            )
        )
    if text.count(",") + text.count(".") > 1:
        raise QuantityError(
            say("{number} has more than one decimal sign; write no sign between thousands",
                number=text)
        )  # fmt: skip
    return float(text.replace(",", "."))


def _pint_name(unit: str) -> str:
    name = re.sub(r"(?<=[A-Za-zµ])([23])", r"**\1", unit.replace(" ", "").replace("·", "*"))
    return {"'": "foot", '"': "inch", "°": "degree", "°C": "degC", "°F": "degF"}.get(name, name)


def _unit_size(unit: str, plain_unit: str) -> float:
    """One of `unit` in SI (for temperatures, which have no common zero, only its kind is seen)."""
    registry = _registry()
    kept = _PINT[plain_unit][1]
    try:
        parsed = registry.Unit(_pint_name(unit))
    except Exception as error:
        raise QuantityError(say("the unit {unit} is not known", unit=unit)) from error
    if parsed.dimensionality != registry.Unit(kept).dimensionality:
        raise QuantityError(
            say("{unit} measures something else than {wanted}", unit=unit, wanted=plain_unit)
        )
    if plain_unit == "°C":
        return 1.0
    return float(registry.Quantity(1.0, parsed).to(kept).magnitude)


def _temperature(sign: float, parts: list[tuple[float, float]], text: str) -> float:
    if len(parts) != 1:
        raise QuantityError(say("a temperature is one number with one unit"))
    unit = _pint_name(re.split(r"[\d.,] ?", text)[-1])
    return float(_registry().Quantity(sign * parts[0][0], unit).to("degC").magnitude)


class Stated:
    """Reads what a field states, in the unit that a plain number there is in."""

    def __init__(self, unit: str) -> None:
        self.unit = unit

    def __call__(self, value: object) -> float:
        return read_quantity(value, self.unit)


def unit_of(metadata: object) -> str:
    """The unit of a plain number in a field, from its metadata; empty where it has none."""
    for item in metadata if isinstance(metadata, list | tuple) else ():
        if isinstance(item, BeforeValidator) and isinstance(item.func, Stated):
            return item.func.unit
    return ""


Length = Annotated[float, BeforeValidator(Stated("mm"))]
"""Metres; stated in mm or with a unit."""
Mass = Annotated[float, BeforeValidator(Stated("kg"))]
Density = Annotated[float, BeforeValidator(Stated("kg/m3"))]
UnitWeight = Annotated[float, BeforeValidator(Stated("kN/m3"))]
"""N/m3; stated in kN/m3."""
Pressure = Annotated[float, BeforeValidator(Stated("kN/m2"))]
"""N/m2 of plan area; stated in kN/m2."""
LineLoad = Annotated[float, BeforeValidator(Stated("kN/m"))]
"""N/m; stated in kN/m."""
Force = Annotated[float, BeforeValidator(Stated("kN"))]
"""N; stated in kN."""
Stress = Annotated[float, BeforeValidator(Stated("N/mm2"))]
"""Pa; stated in N/mm2."""
Minutes = Annotated[float, BeforeValidator(Stated("min"))]
"""Seconds; stated in minutes."""
Seconds = Annotated[float, BeforeValidator(Stated("s"))]
Hours = Annotated[float, BeforeValidator(Stated("h"))]
"""Seconds; stated in hours."""
Volume = Annotated[float, BeforeValidator(Stated("l"))]
"""m3; stated in litres."""
Angle = Annotated[float, BeforeValidator(Stated("deg"))]
"""Radians; stated in degrees."""
Celsius = Annotated[float, BeforeValidator(Stated("°C"))]
"""Degrees Celsius."""
