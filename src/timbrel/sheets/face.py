"""The typeface carried inside a drawing, and the characters that it does not have.

A drawing shown as an image by a browser, or opened by a program on another machine, can load
nothing: its letters are those of the typeface that it carries, or of whatever is found there. So a
drawing that leaves the house carries the letters that it shows, and no others.
"""

from __future__ import annotations

import base64
import html
import io
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from timbrel.sheets.font import BOLD, FAMILY, FOLDER, REGULAR

_TEXT = re.compile(r"<text([^>]*)>([^<]*)</text>")
_BOLD_MARK = 'font-weight="bold"'
RIGHT_TO_LEFT = frozenset(("R", "AL"))


@dataclass(frozen=True)
class Letters:
    """The characters that drawings show, in each weight."""

    regular: frozenset[str]
    bold: frozenset[str]


def letters_of(drawings: Iterable[str]) -> Letters:
    """The characters that our drawings (SVG) show."""
    found: dict[bool, set[str]] = {False: set(), True: set()}
    for svg in drawings:
        for marks, text in _TEXT.findall(svg):
            found[_BOLD_MARK in marks].update(html.unescape(text))
    return Letters(frozenset(found[False]), frozenset(found[True]))


def face(letters: Letters) -> str:
    """Style rules that bring these letters of our typeface, as data, with them."""
    rules = []
    for file, weight, needed in (
        (REGULAR, "normal", letters.regular),
        (BOLD, "bold", letters.bold),
    ):
        if needed:
            data = base64.b64encode(subset_of(file, needed)).decode()
            rules.append(
                f"@font-face {{font-family: '{FAMILY}'; font-weight: {weight}; "
                f"src: url(data:font/woff;base64,{data});}}"
            )
    return " ".join(rules)


def lettered(svg: str, rules: str) -> str:
    """A drawing of ours with the style rules of :func:`face` in it."""
    return svg.replace("<defs", f"<style>{rules}</style><defs", 1) if rules else svg


def with_its_face(svg: str) -> str:
    """A drawing that carries the letters that it shows."""
    return lettered(svg, face(letters_of([svg])))


def subset_of(file: str, characters: frozenset[str]) -> bytes:
    """These characters of one of our fonts, as WOFF.

    Joining and marks are kept for the scripts that need them. Others do without kerning: a drawing
    says how long each of its texts is.
    """
    from fontTools import subset
    from fontTools.ttLib import TTFont

    shaped = any(map(_is_shaped, characters))
    options = subset.Options(
        layout_features=subset.Options._layout_features_default if shaped else [],
        legacy_kern=False,
        name_IDs=[],
        notdef_outline=True,
        drop_tables=["FFTM", "gasp", "DSIG", *([] if shaped else ["GSUB", "GPOS", "GDEF"])],
    )
    font = TTFont(FOLDER / file, lazy=True, recalcTimestamp=False)
    tool = subset.Subsetter(options)
    tool.populate(unicodes=[ord(c) for c in characters])
    tool.subset(font)
    font.flavor = "woff"
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def _is_shaped(character: str) -> bool:
    """Whether letters join or stand on each other in its script."""
    return bool(
        unicodedata.combining(character) or unicodedata.bidirectional(character) in RIGHT_TO_LEFT
    )


@lru_cache(maxsize=1)
def _known() -> frozenset[str]:
    from fontTools.ttLib import TTFont

    return frozenset(map(chr, TTFont(FOLDER / REGULAR, lazy=True).getBestCmap()))


def unknown_to_face(text: str) -> list[str]:
    """Characters of a text that our typeface does not have, in order; signs that print nothing
    (line ends, joiners) are not counted."""
    missing = set(text) - _known()
    return sorted(c for c in missing if unicodedata.category(c) not in ("Cc", "Cf", "Zl", "Zp"))
