"""Making an option the job: its edits in the job's text, comments and order kept as they can be."""

from __future__ import annotations

from typing import Any

import tomlkit

from timbrel.options.candidates import Candidate, Edit
from timbrel.words import TimbrelError, say


def with_option(text: str, candidate: Candidate) -> str:
    """The job's text with an option in the place of what it stated."""
    document = tomlkit.parse(text)
    for key, value in candidate.edits.items():
        _put(document, key.split("."), value)
    _put_layers(document, candidate.layers)
    return tomlkit.dumps(document)


def _put(document: Any, path: list[str], value: Edit) -> None:
    """Write one key, lengths in millimetres as a plain number; None takes it out."""
    table = document
    for part in path[:-1]:
        table = table[part]
    name = path[-1]
    if value is None:
        table.pop(name, None)
    elif isinstance(value, float):
        table[name] = _millimetres(value)
    else:
        table[name] = value


def _millimetres(metres: float) -> int | float:
    mm = round(metres * 1e3, 3)
    return int(mm) if mm.is_integer() else mm


def _put_layers(document: Any, layers: tuple[int, ...]) -> None:
    """Layers as the option has them: the last ones taken out, or the last one once more."""
    rows = document["layers"]
    stated = len(rows)
    if layers == tuple(range(1, stated + 1)):
        return
    if layers[: min(len(layers), stated)] != tuple(range(1, min(len(layers), stated) + 1)):
        raise TimbrelError(say("These layers cannot be written into the job."), key="layers")
    while len(rows) > len(layers):
        del rows[-1]
    for number in layers[stated:]:
        copy = rows[number - 1].unwrap()
        if isinstance(rows, tomlkit.items.AoT):
            table = tomlkit.table()
            table.update(copy)
            rows.append(table)
        else:
            rows.append(copy)
