"""Making an option the job: its edits in the job's text, comments and order kept as they can be.

What it was chosen over is written into the job too, so that the pack can show it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from typing import Any

import tomlkit

from timbrel.job.model import Job
from timbrel.options import Care, Figures, Option
from timbrel.options.candidates import Candidate, Edit
from timbrel.sheets.options_sheet import walls_need
from timbrel.words import TimbrelError, Voice, say


def with_option(text: str, candidate: Candidate) -> str:
    """The job's text with an option in the place of what it stated."""
    document = tomlkit.parse(text)
    for key, value in candidate.edits.items():
        _put(document, key.split("."), value)
    _put_layers(document, candidate.layers)
    return tomlkit.dumps(document)


def _put(document: Any, path: list[str], value: Edit) -> None:
    """Write one key, lengths in millimetres as a plain number; None takes it out. A row of a list is
    told by its number, from 1."""
    table = document
    for part in path[:-1]:
        table = table[int(part) - 1 if part.isdigit() else part]
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


def with_choice(
    text: str, options: Sequence[Option], taken: str, care: Care, day: date, job: Job
) -> str:
    """The job's text with the options that were compared, and which was taken; an earlier choice
    gives way to it, but its reason stays. Texts are in the job's language."""
    voice = Voice(job.job.language, job.job.length_unit)
    document = tomlkit.parse(text)
    before = document.pop("choice", {})
    table = tomlkit.table()
    table["day"] = day
    table["care"] = care
    if before.get("why"):
        table["why"] = before["why"]
    table["currency"] = job.prices.currency
    rows = tomlkit.aot()
    for option in options:
        if option.figures is not None:
            rows.append(_considered(option, option.figures, option.candidate.key == taken, voice))
    table["options"] = rows
    document["choice"] = table
    return tomlkit.dumps(document)


def _considered(option: Option, figures: Figures, taken: bool, voice: Voice) -> Any:
    """One option as a table of the job's text: plain numbers in the units of the job file."""
    push, factor = figures.push, figures.load_factor
    kilo = {
        "wall_least": push.wall_least,
        "wall_greatest": push.wall_greatest,
        "corner_least": push.corner_least,
        "corner_greatest": push.corner_greatest,
    }
    stated: dict[str, Any] = {
        "title": voice(option.candidate.title)[:120],
        "taken": taken,
        "verdict": str(figures.verdict),
        "load_factor": round(factor, 3) if factor is not None and math.isfinite(factor) else None,
        "more": True if figures.more else None,
        **{key: None if value is None else round(value / 1e3, 3) for key, value in kilo.items()},
        "walls": walls_need(figures, voice)[:400] if figures.walls else None,
        "headroom": _millimetres(round(figures.headroom, 4)),
        "rise": _millimetres(round(figures.rise, 4)),
        "thickness": _millimetres(figures.thickness),
        "layers": figures.layers,
        "tiles": figures.tiles,
        "cuts": figures.cuts,
        "days": round(figures.days, 2),
        "calendar": figures.calendar,
        "price": round(figures.price, 2),
    }
    table = tomlkit.table()
    table.update({key: value for key, value in stated.items() if value is not None})
    return table
