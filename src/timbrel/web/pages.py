"""Templates: every text goes through the reader's voice, every value from a job is escaped."""

from __future__ import annotations

import base64
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from timbrel.verdict import Check, Verdict
from timbrel.web.guard import IMPORT_MAP
from timbrel.web.reader import LANGUAGE_NAMES, voice_of
from timbrel.words import LENGTH_UNITS, Message, Voice, say

HERE = Path(__file__).parent
SIGNS = {Verdict.HOLDS: "✓", Verdict.FAILS: "✗", Verdict.NOT_JUDGED: "?"}


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals.update(
        import_map=IMPORT_MAP, languages=LANGUAGE_NAMES, length_units=LENGTH_UNITS
    )
    environment.filters["data_uri"] = data_uri
    return environment


def data_uri(svg: str) -> str:
    """A drawing as an address that holds it, for pages that must stand alone."""
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


class Tongue:
    """What templates speak with: ``_`` for a sentence, and a few kinds of value."""

    def __init__(self, voice: Voice) -> None:
        self.voice = voice

    def __call__(self, msgid: str | Message, **values: Any) -> str:
        """A sentence in the reader's language, its places filled."""
        if isinstance(msgid, Message):
            return self.voice(msgid)
        return self.voice(Message(msgid, values))

    def verdict(self, verdict: Verdict) -> str:
        """The word of a verdict."""
        return self.voice(verdict_word(verdict))

    def sign(self, verdict: Verdict) -> str:
        """The sign of a verdict, so that it does not hang on its colour."""
        return SIGNS[verdict]

    def figure(self, check: Check) -> str:
        """Value against limit of a check: "0.82, at least 1.50"."""
        if check.value is None or check.limit is None:
            return self.voice(check.reason)
        value = self.voice.quantity(check.value, check.kind)
        limit = self.voice.quantity(check.limit, check.kind)
        template = (
            say("{value}, at least {limit}") if check.at_least else say("{value}, at most {limit}")
        )
        return self.voice(Message(template.msgid, {"value": value, "limit": limit}))

    def when(self, seconds: float) -> str:
        """A moment, as year-month-day and hour."""
        return datetime.fromtimestamp(seconds).strftime("%Y-%m-%d %H:%M")


def verdict_word(verdict: Verdict) -> Message:
    """The verdict as a word that can be translated."""
    return {
        Verdict.HOLDS: say("holds"),
        Verdict.FAILS: say("fails"),
        Verdict.NOT_JUDGED: say("not judged"),
    }[verdict]


def compiled(*templates: str) -> None:
    """Read templates before they are asked for."""
    for template in templates:
        _environment().get_template(template)


def render(template: str, voice: Voice, **context: Any) -> str:
    """A template as text in a voice."""
    return _environment().get_template(template).render(_=Tongue(voice), voice=voice, **context)


def page(request: Request, template: str, *, status: int = 200, **context: Any) -> HTMLResponse:
    """A page, or a piece of one, for the reader of a request."""
    context.setdefault("path", request.url.path)
    return HTMLResponse(render(template, voice_of(request), **context), status_code=status)
