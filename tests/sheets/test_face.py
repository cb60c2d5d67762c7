"""Letters carried by drawings, and letters that the typeface does not have."""

from __future__ import annotations

import base64
import io
import re
from dataclasses import replace

import pytest
from fontTools.ttLib import TTFont

from timbrel.plan import Plan
from timbrel.sheets.book import letters_note
from timbrel.sheets.drawings import drawings
from timbrel.sheets.face import (
    face,
    lettered,
    letters_of,
    subset_of,
    unknown_to_face,
    with_its_face,
)
from timbrel.sheets.font import BOLD, FOLDER, REGULAR
from timbrel.words import Voice

PANGRAMS = {
    "Polish": "Pchnąć w tę łódź jeża lub ośm skrzyń fig",
    "Czech": "Příliš žluťoučký kůň úpěl ďábelské ódy",
    "Greek": "Ξεσκεπάζω την ψυχοφθόρα βδελυγμία",
    "Bulgarian": "Жълтата дюля беше щастлива, че пухът, който цъфна, замръзна",
    "Turkish": "Pijamalı hasta yağız şoföre çabucak güvendi",
    "Vietnamese": "Tường, vòm, gạch mỏng và vữa ướt ở giữa",
    "Hebrew": "דג סקרן שט בים מאוכזב ולפתע מצא לו חברה",
    "Arabic": "قوس من الطوب الرقيق",
    "Georgian": "აგური და თაღი",
    "Armenian": "աղյուս և կամար",
}
"""Common practice, no source: sentences that use most letters of a language, or name our trade."""


def _glyphs(font: bytes | str) -> set[int]:
    source = io.BytesIO(font) if isinstance(font, bytes) else FOLDER / font
    return set(TTFont(source).getBestCmap())


@pytest.mark.parametrize("text", PANGRAMS.values(), ids=PANGRAMS.keys())
def test_titles_and_notes_may_be_in_many_languages(text: str) -> None:
    assert unknown_to_face(text) == []
    assert {ord(c) for c in text} <= _glyphs(REGULAR)


def test_what_the_typeface_does_not_have_is_named() -> None:
    assert unknown_to_face("Gewölbe 漢字\u200d\n कमान") == sorted({*"漢字", *"कमान"})


def test_a_subset_holds_what_was_asked_and_little_else() -> None:
    small = subset_of(REGULAR, frozenset("Łuk 2,45"))
    assert small[:4] == b"wOFF"
    assert _glyphs(small) == {ord(c) for c in "Łuk 2,45"}
    assert len(small) < 4000


def test_a_subset_draws_the_same_letters() -> None:
    """Outline and width of a letter are those of the whole font."""
    whole = TTFont(FOLDER / BOLD)
    small = TTFont(io.BytesIO(subset_of(BOLD, frozenset("gř"))))
    for letter in "gř":
        name, own = whole.getBestCmap()[ord(letter)], small.getBestCmap()[ord(letter)]
        assert small["hmtx"][own][0] == whole["hmtx"][name][0]
        outline, ours = (f["glyf"][n].getCoordinates(f["glyf"]) for f, n in
                         ((whole, name), (small, own)))  # fmt: skip
        assert outline[0] == ours[0]


def test_joined_scripts_keep_their_joints() -> None:
    assert "GSUB" in TTFont(io.BytesIO(subset_of(REGULAR, frozenset("قوس"))))
    assert "GSUB" not in TTFont(io.BytesIO(subset_of(REGULAR, frozenset("arc"))))


def test_letters_are_read_by_weight_and_without_escapes() -> None:
    svg = (
        '<svg><defs/><text x="1">a &amp; b</text><text font-weight="bold" y="2">c&lt;</text></svg>'
    )
    found = letters_of([svg])
    assert found.regular == set("a & b") and found.bold == set("c<")
    assert "font-weight: bold" in face(found) and "font-weight: normal" in face(found)
    assert with_its_face("<svg><defs/></svg>") == "<svg><defs/></svg>"
    assert lettered("<svg><defs/></svg>", "x") == "<svg><style>x</style><defs/></svg>"


def test_every_letter_of_every_drawing_is_carried(plan: Plan) -> None:
    """Read from the drawing by another way than ours: all text between tags of <text>."""
    for name, picture in drawings(plan, Voice()).items():
        svg = with_its_face(picture.svg)
        fonts = re.findall(r"font-weight: (\w+); src: url\(data:font/woff;base64,([^)]*)\)", svg)
        carried = {weight: _glyphs(base64.b64decode(data)) for weight, data in fonts}
        for element in re.findall(r"<text [^>]*>[^<]+", svg):
            weight = "bold" if 'font-weight="bold"' in element else "normal"
            shown = element.split(">", 1)[1].replace("&amp;", "&").replace("&gt;", ">")
            assert {ord(c) for c in shown} <= carried[weight], name


def test_the_summary_says_which_characters_print_as_boxes(plan: Plan) -> None:
    assert letters_note(plan, Voice()) == []
    title = plan.job.job.model_copy(update={"title": "Łuk 漢"})
    odd = replace(plan, job=plan.job.model_copy(update={"job": title}))
    (block,) = letters_note(odd, Voice())
    assert "U+6F22" in str(block) and "U+0141" not in str(block)
