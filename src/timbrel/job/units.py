"""Quantities as the job file states them: a plain number, or a string with its unit.

A plain number is in the unit that the field names (lengths in millimetres); a string is read by
pint. Inside, everything is SI. Pint is imported only when a string is met: it costs more to load
than all the rest of the job.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Annotated, Any

from pydantic import BeforeValidator


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def read_quantity(value: object, plain_unit: str) -> float:
    """Read a number in `plain_unit`, or a string with a unit of the same dimension; answer SI.

    Accepts sums such as "13 ft 9 in". Raises ValueError with the reason; the sentence that the
    user reads is made where the key is known.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"a number in {plain_unit} or a text with its unit")
    if isinstance(value, int | float):
        return float(value) * _to_si(plain_unit)
    return _read_text(value, plain_unit)


@lru_cache(maxsize=64)
def _to_si(unit: str) -> float:
    known = {"mm": 1e-3, "m": 1.0, "kg": 1.0, "kg/m3": 1.0, "kN/m2": 1e3, "kN/m": 1e3, "kN": 1e3,
             "kN/m3": 1e3, "N/mm2": 1e6, "min": 60.0, "s": 1.0, "h": 3600.0, "l": 1e-3,
             "deg": 0.017453292519943295}  # fmt: skip
    return known[unit]


_DIMENSION = {"mm": "m", "m": "m", "kg": "kg", "kg/m3": "kg/m**3", "kN/m2": "Pa", "kN/m": "N/m",
              "kN": "N", "kN/m3": "N/m**3", "N/mm2": "Pa", "min": "s", "s": "s", "h": "s",
              "l": "m**3", "deg": "rad"}  # fmt: skip


def _read_text(text: str, plain_unit: str) -> float:
    import re

    registry = _registry()
    # "13 ft 9 in" is a sum; pint would read a product.
    parts = re.findall(
        r"[-+]?\d+(?:\.\d+)?(?:\s*/\s*\d+)?\s*[^\d\s+-][^\d]*(?:\d(?=\b(?!\s*[a-zA-Z])))?", text
    )
    total = 0.0
    try:
        for part in parts or [text]:
            quantity = registry.Quantity(part.strip().replace("°", "degree"))
            total += float(quantity.to(_DIMENSION[plain_unit]).magnitude)
    except Exception as error:
        raise ValueError(f"a number in {plain_unit} or a text with its unit") from error
    return total


def _in(plain_unit: str) -> Callable[[object], float]:
    def read(value: object) -> float:
        return read_quantity(value, plain_unit)

    return read


Length = Annotated[float, BeforeValidator(_in("mm"))]
"""Metres; stated in mm or with a unit."""
Mass = Annotated[float, BeforeValidator(_in("kg"))]
Density = Annotated[float, BeforeValidator(_in("kg/m3"))]
UnitWeight = Annotated[float, BeforeValidator(_in("kN/m3"))]
"""N/m3; stated in kN/m3."""
Pressure = Annotated[float, BeforeValidator(_in("kN/m2"))]
"""N/m2 of plan area; stated in kN/m2."""
LineLoad = Annotated[float, BeforeValidator(_in("kN/m"))]
Force = Annotated[float, BeforeValidator(_in("kN"))]
Stress = Annotated[float, BeforeValidator(_in("N/mm2"))]
"""Pa; stated in N/mm2."""
Minutes = Annotated[float, BeforeValidator(_in("min"))]
"""Seconds; stated in minutes."""
Seconds = Annotated[float, BeforeValidator(_in("s"))]
Hours = Annotated[float, BeforeValidator(_in("h"))]
"""Seconds; stated in hours."""
Volume = Annotated[float, BeforeValidator(_in("l"))]
"""m3; stated in litres."""
Angle = Annotated[float, BeforeValidator(_in("deg"))]
"""Radians; stated in degrees."""
