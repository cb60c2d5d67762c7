"""``python -m timbrel.locale``: bring the catalogues up to what the house says, and compile them.

A sentence that is new stands in the .po files with an empty translation, and the test of the
catalogues fails until it is filled; nothing is guessed from a sentence that looks alike. A
sentence that nobody says any more is taken out.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from timbrel.locale.gather import gathered
from timbrel.words import LANGUAGES, LOCALE_FOLDER

TRANSLATED = tuple(language for language in LANGUAGES if language != "en")
WIDTH = 100
DAY = datetime(2026, 11, 25, tzinfo=UTC)
"""One date for all: the history of the files is kept elsewhere, and equal runs make equal files."""


def file_of(language: str, ending: str) -> Path:
    """The .po or .mo file of a language."""
    return LOCALE_FOLDER / language / "LC_MESSAGES" / f"timbrel.{ending}"


def translated(language: str) -> Catalog:
    """What has been translated so far."""
    file = file_of(language, "po")
    if not file.is_file():
        return Catalog(locale=language, project="timbrel", charset="utf-8", fuzzy=False)
    with file.open("rb") as opened:
        return read_po(opened, locale=language, charset="utf-8")


def renewed(said: Catalog, old: Catalog) -> Catalog:
    """The sentences of the house with the translations that there are."""
    new = Catalog(
        locale=old.locale,
        project="timbrel",
        header_comment="# What timbrel says. Made and renewed by: python -m timbrel.locale",
        last_translator="",
        language_team="",
        msgid_bugs_address="",
        charset="utf-8",
        creation_date=DAY,
        revision_date=DAY,
        fuzzy=False,
    )
    for message in said:
        if message.id:
            before = old.get(message.id)
            new.add(
                message.id,
                string=before.string if before else "",
                locations=sorted({(place, 1) for place, _ in message.locations}),
                flags=before.flags if before else (),
            )
    return new


def main() -> int:
    """Renew and compile every catalogue; the exit status tells whether any has gaps."""
    said, gaps = gathered(), 0
    for language in TRANSLATED:
        catalogue = renewed(said, translated(language))
        file_of(language, "po").parent.mkdir(parents=True, exist_ok=True)
        with file_of(language, "po").open("wb") as out:
            write_po(out, catalogue, width=WIDTH, include_lineno=False, sort_output=True)
        with file_of(language, "mo").open("wb") as out:
            write_mo(out, catalogue)
        missing = sum(1 for m in catalogue if m.id and not m.string)
        gaps += missing
        print(f"{language}: {len(catalogue)} sentences, {missing} not translated")
    return 1 if gaps else 0


if __name__ == "__main__":
    sys.exit(main())
