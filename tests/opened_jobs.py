"""A square barrel of an invented store room with openings, hooks and ends, for several tests."""

from __future__ import annotations

from typing import Any

from timbrel.job.load import read_job
from timbrel.job.model import Job

BASE = """
format = 1
[job]
title = "Barrel with an opening"
[room]
AB = {span}
BC = {length}
CD = {span}
DA = {length}
AC = {diagonal}
BD = {diagonal}
near_end = "{near}"
far_end = "{far}"
levels = {{ A = 2500, B = 2500, C = 2500, D = 2500 }}
[levels]
headroom_springing = 2000
headroom_crown = 2400
[curve]
directrix = "{directrix}"
rise = {rise}
soffit = "plastered"
[tiles.base]
length = 250
width = 130
thickness = 20
[binders.quick]
kind = "natural quick cement"
[[layers]]
tile = "base"
binder = "quick"
[[layers]]
tile = "base"
binder = "quick"
[[layers]]
tile = "base"
binder = "quick"
[masonry]
crushing = 4.0
[loads]
imposed = 1.5
[loads.fill]
kind = "light"
"""

HATCH = {
    "name": "Hatch", "use": "hatch", "corner": "A", "along": 2600, "across": 1600,
    "length": 600, "width": 600, "trimmer": {"bar": 10},
}  # fmt: skip
HOOK = {"name": "Lamp", "corner": "B", "along": 900, "across": 1400, "load": 0.5}


def opened(
    openings: list[dict[str, Any]] | None = None,
    hooks: list[dict[str, Any]] | None = None,
    *,
    span: float = 3200,
    length: float = 5200,
    rise: float = 700,
    near: str = "wall",
    far: str = "wall",
    directrix: str = "segment",
) -> Job:
    """The job; lengths in mm as in a job file. Raises TimbrelError as reading a file does."""
    text = BASE.format(
        span=span, length=length, diagonal=(span**2 + length**2) ** 0.5, rise=rise, near=near,
        far=far, directrix=directrix,
    )  # fmt: skip
    for name, rows in (("openings", openings), ("hooks", hooks)):
        for row in rows or []:
            text += f"\n[[{name}]]\n" + "\n".join(f"{k} = {_toml(v)}" for k, v in row.items())
    return read_job(text).job


def hatch(**changed: Any) -> dict[str, Any]:
    """The hatch with some keys changed; None takes a key away."""
    row = {**HATCH, **changed}
    return {key: value for key, value in row.items() if value is not None}


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else f"{value}"
