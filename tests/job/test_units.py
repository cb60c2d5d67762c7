"""Quantities: numbers and texts with units become SI, and what is unclear is refused."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.job.units import LIKELY_SLIPS, QuantityError, in_plain_unit, read_quantity
from timbrel.words import LengthUnit, Voice, feet_and_inches

# Exact by definition: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, g = 9.80665 m/s2 (SI Brochure, NIST
# SP 811 appendix B).
INCH = 0.0254
POUND_FORCE = 0.45359237 * 9.80665


@pytest.mark.parametrize(
    ("text", "unit", "si"),
    [
        ("4.20 m", "mm", 4.2),
        ("4,20 m", "mm", 4.2),
        ("420 cm", "mm", 4.2),
        ("4 200 mm", "mm", 4.2),
        ("4\u202f200 mm", "mm", 4.2),
        ("1e3mm", "mm", 1.0),
        ("13 ft 9 in", "mm", 165 * INCH),
        ("13' 9\"", "mm", 165 * INCH),
        ("13'-9 1/2\"", "mm", 165.5 * INCH),
        ("13′ 9½″", "mm", 165.5 * INCH),
        ("9 1/2 in", "mm", 9.5 * INCH),
        ("3/8 in", "mm", 0.375 * INCH),
        ("-1 ft 6 in", "mm", -18 * INCH),
        ("1.5 kN/m2", "kN/m2", 1500.0),
        ("1.5 kN/m²", "kN/m2", 1500.0),
        ("5 N/mm^2", "N/mm2", 5e6),
        ("40 psf", "kN/m2", 40 * POUND_FORCE / 0.3048**2),
        ("150 kgf/m2", "kN/m2", 150 * 9.80665),
        ("1.8 t/m3", "kg/m3", 1800.0),
        ("20 min", "min", 1200.0),
        ("1 h 30 min", "min", 5400.0),
        ("1 day", "h", 86400.0),
        ("2 l", "l", 0.002),
        ("82 °F", "°C", 250 / 9),
        ("-5 °C", "°C", -5.0),
        ("300 K", "°C", 26.85),
        ("45°", "deg", 0.7853981633974483),
    ],
)
def test_texts_with_units(text: str, unit: str, si: float) -> None:
    assert read_quantity(text, unit) == pytest.approx(si, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "reason"),
    [
        ("4,200 m", "mm", "two ways"),
        ("1,234.5 mm", "mm", "more than one decimal sign"),
        ("4.2.3 m", "mm", "more than one decimal sign"),
        ("4200", "mm", "no unit"),
        ("12 ft 3", "mm", "3 in it has no unit"),
        ("4 kg", "mm", "something else"),
        ("18 kN/m3", "kg/m3", "something else"),
        ("4 furlongz", "mm", "not known"),
        ("9 in 13 ft", "mm", "greater unit down"),
        ("3 m 2 m", "mm", "greater unit down"),
        ("1 m - 2 mm", "mm", "does not read"),
        ("--4 m", "mm", "does not read"),
        ("about 4 m", "mm", "does not read"),
        ("3/0 in", "mm", "divides by zero"),
        ("", "mm", "empty"),
        ("   ", "mm", "empty"),
        ("4" * 70 + " m", "mm", "too long"),
        ("10 °C 5 °C", "°C", "one number"),
    ],
)
def test_unclear_texts_are_refused_with_the_reason(text: str, unit: str, reason: str) -> None:
    with pytest.raises(QuantityError, match=reason):
        read_quantity(text, unit)


@pytest.mark.parametrize("value", [True, None, [1], {"a": 1}, float("nan"), float("inf"), 10**400])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(QuantityError):
        read_quantity(value, "mm")


@given(st.floats(min_value=-1e5, max_value=1e5), st.sampled_from(sorted(LIKELY_SLIPS)))
def test_plain_numbers_come_back(number: float, unit: str) -> None:
    assert in_plain_unit(read_quantity(number, unit), unit) == pytest.approx(number, rel=1e-11)


@settings(max_examples=60)
@given(
    metres=st.floats(min_value=0.001, max_value=90),
    unit=st.sampled_from(["mm", "cm", "m", "ft"]),
    language=st.sampled_from(["en", "de-comma"]),
)
def test_what_a_voice_says_can_be_typed_back(
    metres: float, unit: LengthUnit, language: str
) -> None:
    """Every length that the papers speak is read as it was meant, within its last figure."""
    spoken = feet_and_inches(metres) if unit == "ft" else Voice(length_unit=unit).length(metres)
    if language == "de-comma":
        spoken = spoken.replace(".", ",")
    half_of_last_figure = {"mm": 5e-4, "cm": 5e-4, "m": 5e-4, "ft": 0.0254 / 32}[unit]
    try:
        read = read_quantity(spoken, "mm")
    except QuantityError as error:
        # Only a decimal comma with three decimals can be read in two ways.
        assert language == "de-comma" and unit == "m" and "two ways" in str(error)
        return
    assert read == pytest.approx(metres, abs=half_of_last_figure * 1.001 + 1e-9)


@settings(max_examples=200)
@given(st.text(alphabet="0123456789 .,/'\"-+mcftinkgNhs²½°eE", max_size=20))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        read_quantity(text, "mm")
    except QuantityError as error:
        assert str(error)


def test_pint_is_loaded_for_texts_only() -> None:
    code = (
        "import sys; from timbrel.job.units import read_quantity as r; r(4200, 'mm'); "
        "a = 'pint' in sys.modules; r('4.2 m', 'mm'); print(a, 'pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]


@pytest.mark.parametrize("plain", sorted(LIKELY_SLIPS))
def test_units_that_are_offered_are_units_that_are_read(plain: str) -> None:
    for unit in LIKELY_SLIPS[plain]:
        assert read_quantity(f"1 {unit}", plain) != pytest.approx(read_quantity(1, plain))
