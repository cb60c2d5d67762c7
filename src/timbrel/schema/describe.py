"""A strict JSON Schema (draft 2020-12) from the dataclasses that a plan is made of.

The schema is built from the same type hints that the code is checked against, so it cannot lag
behind; the shipped file is compared with it by a test. Descriptions are the docstrings.
"""

from __future__ import annotations

import dataclasses
import inspect
import types
import typing
from datetime import date
from enum import Enum
from typing import Any, Literal, Union, get_args, get_origin

import numpy as np
from pydantic import BaseModel

from timbrel.words import Message

Schema = dict[str, Any]
_NUMBER: Schema = {"type": ["number", "null"]}


class Describer:
    """Collects definitions as it meets dataclasses."""

    def __init__(self, leave_out: frozenset[str]) -> None:
        self.leave_out = leave_out
        self.definitions: dict[str, Schema] = {}
        self.met: dict[str, Any] = {}

    def of(self, hint: Any) -> Schema:
        """The schema of one type hint."""
        origin, parts = get_origin(hint), get_args(hint)
        if origin in (Union, types.UnionType):
            return self._union(parts)
        if origin in (tuple, list, frozenset, set):
            return self._row(origin, parts)
        if origin is typing.Annotated:
            return self.of(parts[0])
        special: dict[Any, Schema] = {
            Literal: {"enum": list(parts)},
            np.ndarray: {"$ref": "#/$defs/numbers"},
        }
        if origin is dict:
            return {"type": "object", "additionalProperties": self.of(parts[1])}
        return special[origin] if origin in special else self._plain(hint)

    def _plain(self, hint: Any) -> Schema:
        simple: dict[Any, Schema] = {
            str: {"type": "string"},
            bool: {"type": "boolean"},
            int: {"type": "integer"},
            float: _NUMBER,
            type(None): {"type": "null"},
            Message: {"type": "string"},
            date: {"type": "string", "format": "date"},
        }
        if hint in simple:
            return dict(simple[hint])
        if isinstance(hint, type) and issubclass(hint, Enum):
            names = [m.name.lower() if isinstance(m.value, int) else m.value for m in hint]
            return {"enum": names}
        if isinstance(hint, type) and issubclass(hint, BaseModel):
            return {"$ref": f"#/$defs/{self._model(hint)}"}
        if dataclasses.is_dataclass(hint):
            return {"$ref": f"#/$defs/{self._dataclass(hint)}"}
        raise TypeError(f"no schema for {hint!r}")

    def _union(self, parts: tuple[Any, ...]) -> Schema:
        options = [self.of(part) for part in parts]
        if any(option == _NUMBER for option in options):
            options = [option for option in options if option != {"type": "null"}]
        return options[0] if len(options) == 1 else {"anyOf": options}

    def _row(self, origin: Any, parts: tuple[Any, ...]) -> Schema:
        if origin is tuple and not (len(parts) == 2 and parts[1] is Ellipsis):
            return {
                "type": "array",
                "prefixItems": [self.of(part) for part in parts],
                "items": False,
                "minItems": len(parts),
            }
        return {"type": "array", "items": self.of(parts[0])}

    def _model(self, model: type[BaseModel]) -> str:
        """A table of the job file, by pydantic's own schema."""
        name = f"job.{model.__name__}"
        if name not in self.definitions:
            schema = model.model_json_schema(
                mode="serialization", ref_template="#/$defs/job.{model}"
            )
            for part, inner in schema.pop("$defs", {}).items():
                self.definitions[f"job.{part}"] = inner
            self.definitions[name] = schema
        return name

    def _dataclass(self, kind: Any) -> str:
        """A dataclass, named by its room and its own name: two rooms may use one word."""
        room = kind.__module__.removeprefix("timbrel.").split(".")[0]
        name = f"{room}.{kind.__name__}"
        if name in self.definitions:
            if self.met[name] is not kind:
                raise TypeError(f"two dataclasses are called {name}")
            return name
        self.definitions[name], self.met[name] = {}, kind
        hints = typing.get_type_hints(kind, include_extras=True)
        fields = {
            field.name: self.of(hints[field.name])
            for field in dataclasses.fields(kind)
            if f"{kind.__name__}.{field.name}" not in self.leave_out
        }
        self.definitions[name] = closed(fields, inspect.getdoc(kind) or "")
        return name


def closed(fields: dict[str, Schema], description: str) -> Schema:
    """An object with these fields, all of them and no other."""
    return {
        "type": "object",
        "description": description,
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
    }


def _rows(depth: int) -> Schema:
    """Numbers, or rows of them, so deep; written out, because a reference for each is slow."""
    if depth == 0:
        return dict(_NUMBER)
    return {"type": ["number", "null", "array"], "items": _rows(depth - 1)}


DEEPEST = 3
NUMBERS: Schema = {
    "description": "Numbers, or rows of numbers, as deep as the field's shape says.",
    "type": "array",
    "items": _rows(DEEPEST - 1),
}
