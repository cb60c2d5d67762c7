"""The landings of a flight in tables: levels, closing courses, steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import Block
from timbrel.sheets.board import bare_length, signed_level
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.site.landings import Landings


def landing_blocks(landings: Landings | None, voice: Voice) -> list[Block]:
    """Both landings of a flight, the courses that close on them, and the steps; nothing of a barrel."""
    if landings is None:
        return []
    both = ((say("lower, left"), landings.lower), (say("upper, right"), landings.upper))
    return [
        blocks.heading(voice, say("Landings and steps")),
        blocks.table(
            voice,
            [say("Landing"), say("Level"), say("Slope of the shell"), say("Thickness, plumb"),
             say("Into the wall")],
            [
                (
                    name,
                    signed_level(voice, landing.level),
                    voice.quantity(landing.slope, "angle"),
                    bare_length(voice, landing.plumb),
                    bare_length(voice, landing.into),
                )
                for name, landing in both
            ],
            align="lrrrr",
        ),
        blocks.table(
            voice,
            [say("Landing"), say("Layer"), say("Course"), say("Width"), say("Joint to the wall")],
            [
                (
                    name,
                    f"{course.layer}",
                    f"{course.course}",
                    bare_length(voice, course.width),
                    bare_length(voice, course.joint),
                )
                for name, landing in both
                for course in landing.courses
            ],
            align="lrrrr",
        ),
        blocks.bullets(voice, landings.notes),
    ]  # fmt: skip
