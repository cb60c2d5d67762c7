"""Gathers every sentence that a reader may see, with the place it stands at.

Three kinds: calls of ``say`` in the code and of ``_`` in the templates, which Babel finds; the
descriptions and the words to choose among of the job's model, which stand in the model; and the
sources of figures, which stand as plain texts behind ``source=``, last in a line of the calculation
(``Notebook.write``) or inside ``cite``.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from jinja2.ext import babel_extract

HOUSE = Path(__file__).parents[1]
METHODS = [("**.py", "python"), ("**/templates/**.html", "templates"),
           ("**/templates/**.svg", "templates")]  # fmt: skip
KEYWORDS: dict[str, Any] = {"say": None, "cite": None, "_": None}
SOURCE_OF_A_LINE = 5
"""Place of the source among what ``Notebook.write`` is given."""


def gathered() -> Catalog:
    """All sentences, English, each once, in the order of their places."""
    catalogue = Catalog(project="timbrel", charset="utf-8", fuzzy=False)
    found = [*_called(), *_of_the_job(), *_sources()]
    for place, line, text in sorted(found, key=lambda f: (f[2], f[0], f[1])):
        if text.strip():
            catalogue.add(text, locations=[(place, line)] if line else [(place, 1)])
    return catalogue


def _templates(
    file: BinaryIO, keywords: Any, comment_tags: Any, options: Any
) -> Iterator[tuple[int, Any, Any, Any]]:
    yield from babel_extract(file, keywords, comment_tags, options)


def _called() -> Iterator[tuple[str, int, str]]:
    methods: Any = [
        (pattern, _templates if kind == "templates" else kind) for pattern, kind in METHODS
    ]
    for file, line, message, _, _ in extract_from_dir(
        HOUSE, method_map=methods, keywords=KEYWORDS, comment_tags=()
    ):
        yield file, line, message if isinstance(message, str) else message[0]


def _of_the_job() -> Iterator[tuple[str, int, str]]:
    from pydantic import BaseModel

    from timbrel.job import model
    from timbrel.job.fields import field_place

    for table in vars(model).values():
        if not (isinstance(table, type) and issubclass(table, BaseModel)):
            continue
        for info in table.model_fields.values():
            place = field_place(info)
            one = place.item or place
            for text in (info.description or "", *one.words):
                yield "job/model.py", 1, text
    for text in ("yes", "no"):
        yield "web/form.py", 1, text


def _sources() -> Iterator[tuple[str, int, str]]:
    """Texts behind ``source=``, and sources of the lines of a calculation."""
    for file in sorted(HOUSE.rglob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        names = _constants(tree)
        for node in _cited(tree):
            for text in _texts(node, names):
                yield file.relative_to(HOUSE).as_posix(), node.lineno, text


def _cited(tree: ast.Module) -> Iterator[ast.expr]:
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg == "source":
            yield node.value
        elif (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr == "write"
            and len(node.args) > SOURCE_OF_A_LINE
        ):
            yield node.args[SOURCE_OF_A_LINE]


def _constants(tree: ast.Module) -> dict[str, list[str]]:
    """Texts that the file gives a name to, anywhere; a name may have several."""
    found: dict[str, list[str]] = {}
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)):
            continue
        if isinstance(node.value.value, str):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    found.setdefault(target.id, []).append(node.value.value)
    return found


def _texts(node: ast.expr, names: dict[str, list[str]]) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Name):
        yield from names.get(node.id, [])
    elif isinstance(node, ast.IfExp):
        yield from _texts(node.body, names)
        yield from _texts(node.orelse, names)
