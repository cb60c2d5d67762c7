"""Who reads the page: language and unit of length, from a cookie, the browser or the job."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from timbrel.words import LANGUAGES, LENGTH_UNITS, LengthUnit, Voice

LANGUAGE_COOKIE = "timbrel-language"
UNIT_COOKIE = "timbrel-unit"
LANGUAGE_NAMES = {"en": "English", "es": "Español", "ca": "Català", "fr": "Français"}
YEAR = 365 * 24 * 3600


def voice_of(request: Request) -> Voice:
    """The voice that the reader chose, or that the browser asks for; millimetres unless chosen."""
    language = request.cookies.get(LANGUAGE_COOKIE, "")
    if language not in LANGUAGES:
        language = _asked_for(request.headers.get("accept-language", ""))
    return Voice(language, _unit(request.cookies.get(UNIT_COOKIE, "")))


def _asked_for(header: str) -> str:
    for part in header.split(","):
        language = part.split(";")[0].strip().lower()[:2]
        if language in LANGUAGES:
            return language
    return "en"


def _unit(text: str) -> LengthUnit:
    for unit in LENGTH_UNITS:
        if unit == text:
            return unit
    return "mm"


def remember(response: Response, language: str, unit: str) -> None:
    """Keep the reader's choice in the browser for a year."""
    for cookie, value, allowed in (
        (LANGUAGE_COOKIE, language, LANGUAGES),
        (UNIT_COOKIE, unit, LENGTH_UNITS),
    ):
        if value in allowed:
            response.set_cookie(cookie, value, max_age=YEAR, samesite="strict", httponly=True)
