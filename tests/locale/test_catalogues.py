"""No language is half translated: nothing missing, nothing fuzzy, every place kept."""

from __future__ import annotations

import gettext
import re
import string

import pytest
from babel.messages.catalog import Catalog

from timbrel.job.fields import Place, every_key, place_at
from timbrel.locale.__main__ import TRANSLATED, file_of, translated
from timbrel.locale.gather import gathered
from timbrel.web.form import section_title
from timbrel.words import Message, Voice

SAID = gathered()


@pytest.fixture(params=TRANSLATED)
def language(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def catalogue(language: str) -> Catalog:
    return translated(language)


def places(text: str) -> list[str]:
    """The places of a sentence with their kinds, in no order."""
    return sorted(
        f"{name}:{kind}" for _, name, kind, _ in string.Formatter().parse(text) if name is not None
    )


def test_the_house_says_a_good_many_things() -> None:
    assert len(SAID) > 1500
    for text in ("Springing level at corner A above the datum", "Undo", "three-centre", "holds"):
        assert SAID.get(text) is not None, text


def test_every_sentence_is_translated(catalogue: Catalog) -> None:
    missing = [m.id for m in SAID if m.id and not ((found := catalogue.get(m.id)) and found.string)]
    assert missing == [], "run python -m timbrel.locale, then fill the empty msgstr"


def test_nothing_is_fuzzy_and_nothing_is_left_over(catalogue: Catalog) -> None:
    assert [m.id for m in catalogue if m.id and m.fuzzy] == []
    assert [m.id for m in catalogue if m.id and SAID.get(m.id) is None] == []


def test_every_translation_keeps_its_places(catalogue: Catalog) -> None:
    wrong = [m.id for m in catalogue if m.id and m.string and places(m.id) != places(str(m.string))]
    assert wrong == []


def test_the_compiled_catalogue_says_what_the_text_says(language: str, catalogue: Catalog) -> None:
    with file_of(language, "mo").open("rb") as compiled:
        spoken = gettext.GNUTranslations(compiled)
    assert [m.id for m in catalogue if m.id and spoken.gettext(m.id) != (m.string or m.id)] == []


def test_long_sentences_are_not_left_in_english(catalogue: Catalog) -> None:
    same = [
        m.id
        for m in catalogue
        if m.id and m.string == m.id and len(re.findall(r"[a-z]{3,}", m.id)) > 5
    ]
    assert same == []


def test_trade_words_are_those_of_the_trade() -> None:
    """Common words of the trade in each language (common practice, no source)."""
    words = {"crown": ("clave", "clau", "clef"), "Centring": ("Cimbra", "Cintra", "Cintre"),
             "Thrust": ("Empuje", "Empenta", "Poussée"), "span": ("luz", "llum", "portée"),
             "springing": ("arranque", "arrencada", "naissance")}  # fmt: skip
    for word, spoken in words.items():
        assert tuple(Voice(language)(Message(word)) for language in TRANSLATED) == spoken


def test_every_table_of_the_form_has_a_title() -> None:
    tables = [path for path in every_key() if is_table(place_at(path))]
    untitled = [p for p in tables if isinstance(p[-1], str) and section_title(p[-1]).msgid == p[-1]]
    assert tables
    assert untitled == []


def is_table(place: Place | None) -> bool:
    """Does a table, or rows that are tables, stand at a place."""
    return place is not None and bool(place.table or (place.item and place.item.table))
