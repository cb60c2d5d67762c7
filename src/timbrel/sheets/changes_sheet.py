"""What changed since the last revision, key by key, as it goes to everybody who holds the old one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.notes import spoken_default
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.takeoff.revision import ChangedKey


def changes_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The table of changes, or that there is no earlier revision to compare with."""
    title, since = plan.job.job, plan.since
    found = [
        blocks.heading(voice, say("Revision {letter}", letter=title.revision)),
    ]
    if since is None:
        return [
            *found,
            blocks.words(
                voice,
                say("No earlier revision was given to compare with: all of it is to be read."),
            ),
        ]
    day = since.day.isoformat() if since.day else "–"
    found.append(
        blocks.words(
            voice,
            say("Against revision {letter} of {day}. Sheets of that revision are to be destroyed.",
                letter=since.revision, day=day),
        )
    )  # fmt: skip
    if since.same_letter:
        found.append(
            blocks.words(
                voice,
                say(
                    "The letter is still {letter}, and the job is another one: give it a new "
                    "letter (job.revision) before it leaves the house.",
                    letter=since.revision,
                ),
            )
        )
    if not since.changes:
        return [*found, blocks.words(voice, say("Nothing that the job states has changed."))]
    return [
        *found,
        blocks.table(
            voice,
            [say("What"), say("Key"), say("Was"), say("Is now")],
            [_row(change, voice) for change in since.changes],
            align="llrr",
            widths=[FILL, -1, 34, 34],
        ),
    ]


def _row(change: ChangedKey, voice: Voice) -> tuple[str, str, str, str]:
    return (
        voice.text(change.what),
        change.key,
        spoken_default(change.before, change.kind, voice),
        spoken_default(change.after, change.kind, voice),
    )
