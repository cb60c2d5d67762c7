"""One vault of each family on a plan with an opening in it, for several tests. All is invented."""

from __future__ import annotations

from typing import Any

from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault

VAULTS = ("dome", "sail", "groin", "cloister")
SQUARE: dict[str, dict[str, Any]] = {
    "dome": {"along": 1050, "across": 1900, "length": 500, "width": 400},
    "sail": {"along": 1500, "across": 1700, "length": 600, "width": 500},
    "groin": {"along": 1900, "across": 650, "diameter": 280},
    "cloister": {"along": 1900, "across": 800, "length": 350, "width": 250},
}
"""Where each is opened; lengths in mm as in a job file."""


def opened_vault(family: str, **changed: Any) -> tuple[Job, Any]:
    """The job and the vault; changed: keys of the opening, None takes one away."""
    job = Job.model_validate(opened_text(family, **changed))
    return job, shape_vault(job, solve_room(job.room))


def opened_text(family: str, **changed: Any) -> dict[str, Any]:
    """The job as a mapping, in a room a little out of square."""
    rise = {"dome": 1000, "sail": 500, "groin": 950, "cloister": 950}[family]
    opening = {"name": "Skylight", **SQUARE[family], **changed}
    return {
        "format": 1,
        "job": {"title": "Trial vault"},
        "room": {
            **{"AB": 3800, "BC": 3830, "CD": 3810, "DA": 3820, "AC": 5400, "BD": 5390},
            "levels": {"A": 2400, "B": 2400, "C": 2400, "D": 2400},
        },
        "curve": {"family": family, "directrix": "segment", "rise": rise, "soffit": "plastered"},
        "tiles": {"base": {"length": 250, "width": 125, "thickness": 25}},
        "binders": {"quick": {"kind": "natural quick cement"}, "mortar": {"kind": "mortar"}},
        "layers": [
            {"tile": "base", "binder": "quick", "joint": {"least": 4, "best": 9, "most": 18}},
            {
                "tile": "base",
                "binder": "mortar",
                "bed": 10,
                "joint": {"least": 4, "best": 9, "most": 18},
            },
        ],
        "loads": {"imposed": 1.5},
        "openings": [{key: value for key, value in opening.items() if value is not None}],
    }
