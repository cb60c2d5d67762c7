"""Edits of a job's text that keep its comments and its order.

Each takes the text and answers the text after the edit; whether the job still stands is for the
reader of jobs to say, so that the page and the command line refuse with the same sentence.
"""

from __future__ import annotations

import copy
import math
import re
from collections.abc import MutableMapping
from datetime import date
from typing import Any

import tomlkit
from tomlkit.items import AoT, InlineTable

from timbrel.job.fields import Path, key_of
from timbrel.web.form import Entry, Group, every, form_of
from timbrel.words import LengthUnit, TimbrelError, say


def find_entry(groups: tuple[Group, ...], key: str) -> Entry:
    """The box that a key names; refused when the form has none."""
    for group in every(groups):
        for entry in group.entries:
            if entry.key == key:
                return entry
    raise TimbrelError(say("The job has no field named {key}.", key=key), key=key)


def find_group(groups: tuple[Group, ...], key: str) -> Group:
    """The table that a key names; refused when the form has none."""
    for group in every(groups):
        if group.key == key:
            return group
    raise TimbrelError(say("The job has no table named {key}.", key=key), key=key)


def put_values(text: str, typed: dict[str, str], length_unit: LengthUnit) -> str:
    """Put what was typed into boxes, by their keys; an empty box goes back to the usual."""
    document = tomlkit.parse(text)
    groups = form_of(text, length_unit)
    for key, value in typed.items():
        entry = find_entry(groups, key)
        given = value.strip()
        table = _table_at(document, entry.path[:-1], make=bool(given))
        name = str(entry.path[-1])
        if given:
            table[name] = _stated(entry, given)
        elif name in table:
            del table[name]
    return tomlkit.dumps(document)


def _stated(entry: Entry, typed: str) -> Any:
    """The TOML value for what was typed; what is not of the kind goes in as text, to be refused."""
    if entry.kind == "rows":
        rows = [row for row in typed.split("|") if row.strip()]
        return [[_one(entry, part.strip()) for part in row.split(";")] for row in rows]
    if entry.kind in ("list", "picks"):
        parts = [part for part in re.split(r"\s*;\s*", typed) if part]
        return [_one(entry, part) for part in parts]
    if entry.kind == "yes":
        return {"yes": True, "no": False}.get(typed, typed)
    if entry.kind == "day":
        try:
            return date.fromisoformat(typed)
        except ValueError:
            return typed
    return _one(entry, typed)


def _one(entry: Entry, typed: str) -> Any:
    if entry.kind in ("text", "choice", "picks"):
        return typed
    number = _number(typed)
    if number is None:
        return typed
    in_own_unit = entry.unit in ("cm", "m", "ft")
    return f"{number} {entry.unit}" if in_own_unit else number


def length_value(typed: str, unit: LengthUnit) -> Any:
    """The TOML value of a length typed in the reader's unit; what is none goes in as text."""
    number = _number(typed.strip())
    if number is None or unit == "mm":
        return typed.strip() if number is None else number
    return f"{number} {unit}"


def _number(text: str) -> int | float | None:
    """A bare number; a comma with other than three digits after it is a decimal sign."""
    text = text if re.search(r",\d{3}$", text) else text.replace(",", ".", 1)
    try:
        return int(text)
    except ValueError:
        pass
    try:
        number = float(text)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _table_at(document: Any, path: Path, *, make: bool = False) -> Any:
    """The table at a path, made on the way where the text leaves it out (and `make` is asked)."""
    here = document
    for part in path:
        if isinstance(part, str) and part not in here:
            if not make:
                return {}
            here[part] = (
                tomlkit.inline_table() if isinstance(here, InlineTable) else tomlkit.table()
            )
        here = here[part]
    return here


def add_row(text: str, key: str, name: str, length_unit: LengthUnit) -> str:
    """Add a row to a list, or a named entry to a table of names.

    A new row starts as a copy of the last one, so that it can stand; where there is none it starts
    from a plain example.
    """
    document = tomlkit.parse(text)
    group = find_group(form_of(text, length_unit), key)
    parent = _table_at(document, group.path[:-1], make=True)
    own = str(group.path[-1])
    if group.rows == "names":
        _add_name(parent, own, name.strip())
    elif group.rows == "list":
        rows = parent.get(own)
        example = copy.deepcopy(rows[-1].unwrap()) if rows else _first(group.path, document)
        if rows is None or len(rows) == 0:
            parent[own] = [example] if isinstance(parent, InlineTable) else _as_tables([example])
        else:
            rows.append(_as_table(example) if isinstance(rows, AoT) else example)
    else:
        raise TimbrelError(say("Nothing can be added to {key}.", key=key), key=key)
    return tomlkit.dumps(document)


def _add_name(parent: MutableMapping[str, Any], own: str, name: str) -> None:
    if not re.fullmatch(r"\w[\w -]{0,39}", name):
        raise TimbrelError(
            say("Give it a name of letters, digits, spaces and hyphens, 40 at most."), key=own
        )
    if name in parent[own]:
        raise TimbrelError(say("There is one named {name} already.", name=name), key=own)
    last = list(parent[own].values())[-1]
    parent[own][name] = _as_table(copy.deepcopy(last.unwrap()))


def _first(path: Path, document: tomlkit.TOMLDocument) -> dict[str, Any]:
    """What a row starts from where there is none to copy; every value is there to be changed."""
    starts: dict[str, dict[str, Any]] = {
        "further": {"start": "AB 1000", "end": "CD 1000", "length": 4000},
        "wall_offsets": {"side": "BC", "step": 1000, "offsets": [0, 0, 0]},
        "leaves": {"thickness": 120},
        "setoffs": {"under": 600, "out": 150},
        "openings": {"start": 500, "width": 900, "head": 1900},
        "steps": {"height": 500, "depth": 300},
        "lifts": {"top": 500, "unit_weight": 16},
        "lines": {"name": "1", "x": 1000, "y": 1000, "x_end": 1000, "y_end": 2000, "load": 1},
        "points": {"name": "1", "x": 1000, "y": 1000, "force": 1},
        "patches": {"name": "1", "x": 500, "y": 500, "width": 500, "length": 500, "pressure": 1},
    }
    own = str(path[-1])
    if own == "deliveries":
        # Of the tile that is seen; its measures are typed in one by one, on the page of real tiles.
        return {"tile": document["layers"][0]["tile"]}
    if path in (("openings",), ("hooks",)):
        return _in_the_vault(own, document)
    return starts.get(own, {})


def _in_the_vault(own: str, document: tomlkit.TOMLDocument) -> dict[str, Any]:
    """An opening or a hook in the middle of the vault, as far as the room's measures tell it."""
    room = document["room"]
    middle = {"along": _half(room, "DA"), "across": _half(room, "AB")}
    if own == "hooks":
        return {"name": "1", **middle, "load": 0.5}
    return {"name": "1", **middle, "length": 400, "width": 400}


def _half(room: Any, side: str) -> float:
    """Half a side, mm, as it is written; a metre where it is written with a unit."""
    stated = room.get(side)
    return stated / 2 if isinstance(stated, int | float) else 1000


def _as_table(plain: dict[str, Any]) -> Any:
    table = tomlkit.table()
    table.update(plain)
    table.add(tomlkit.nl())
    return table


def _as_tables(rows: list[dict[str, Any]]) -> AoT:
    tables = tomlkit.aot()
    for row in rows:
        tables.append(_as_table(row))
    return tables


def remove_row(text: str, key: str, length_unit: LengthUnit) -> str:
    """Take a row, a named entry or an optional table out of the job."""
    document = tomlkit.parse(text)
    group = find_group(form_of(text, length_unit), key)
    if not group.removable:
        raise TimbrelError(say("{key} cannot be taken out.", key=key), key=key)
    parent = _table_at(document, group.path[:-1])
    del parent[group.path[-1]]
    if isinstance(group.path[-1], int) and len(parent) == 0:
        del _table_at(document, group.path[:-2])[group.path[-2]]
    return tomlkit.dumps(document)


def move_row(text: str, key: str, down: bool, length_unit: LengthUnit) -> str:
    """Move a row of a list one place up or down; stays at the ends."""
    document = tomlkit.parse(text)
    group = find_group(form_of(text, length_unit), key)
    at = group.path[-1]
    if not isinstance(at, int):
        raise TimbrelError(say("{key} has no order to move in.", key=key_of(group.path)), key=key)
    rows = _table_at(document, group.path[:-1])
    to = at + (1 if down else -1)
    if 0 <= to < len(rows):
        first, second = rows[at].unwrap(), rows[to].unwrap()
        for place, row in ((at, second), (to, first)):
            here = rows[place]
            for name in list(here):
                del here[name]
            here.update(row)
    return tomlkit.dumps(document)
