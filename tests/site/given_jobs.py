"""A small invented job for the tests of site and takeoff, and the vault that follows from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.vault import Barrel, shape_vault

Given = dict[str, Any]


@dataclass(frozen=True)
class Corners:
    """Only the corners of a room, for a vault whose room need not be solved."""

    corners: np.ndarray


def given(**tables: Given) -> Given:
    """A job as its file states it (mm), with tables changed."""
    job: Given = {
        "format": 1,
        "job": {"title": "Store behind the bakery"},
        "room": {
            "AB": 3000, "BC": 4000, "CD": 3000, "DA": 4000, "AC": 5000, "BD": 5000,
            "levels": {"A": 2100, "B": 2100, "C": 2100, "D": 2100},
        },
        "curve": {"directrix": "segment", "rise": 600},
        "tiles": {
            "thin": {"length": 260, "width": 130, "thickness": 16, "price": 0.5},
            "stout": {"length": 280, "width": 140, "thickness": 30, "price": 0.6},
        },
        "binders": {
            "quick": {
                "kind": "natural quick cement",
                "set": {"degrees_c": [10, 20, 30], "minutes": [4, 2, 1]},
                "set_retarded": {"degrees_c": [10, 20, 30], "minutes": [30, 15, 10]},
                "retarder_g_per_litre": 7, "use_retarder": True, "price_bag": 14,
            },
            "bedding": {"kind": "mortar", "cement_parts": 1, "sand_parts": 1},
        },
        "layers": [
            {"tile": "thin", "binder": "quick"},
            {"tile": "stout", "binder": "bedding", "direction": "along arc"},
        ],
        "loads": {"fill": {"kind": "light"}},
        "prices": {"mason_hour": 32, "helper_hour": 22, "sand_m3": 40, "cement_bag": 7},
    }  # fmt: skip
    for name, table in tables.items():
        job[name] = table if isinstance(table, list) else job.get(name, {}) | table
    return job


def job_of(**tables: Given) -> Job:
    """The job itself."""
    return Job.model_validate(given(**tables))


def rectangle(span: float = 3.0, axis: float = 4.0, level: float = 2.1) -> np.ndarray:
    """Corners A, B, C, D of a level rectangle."""
    plan = [(0, 0), (span, 0), (span, axis), (0, axis)]
    return np.array([(x, y, level) for x, y in plan], float)


def out_of_square() -> np.ndarray:
    """A room that tapers, leans and falls."""
    return np.array(
        [(0.0, 0.0, 2.10), (3.0, 0.0, 2.12), (3.18, 4.05, 2.14), (0.06, 3.90, 2.09)], float
    )


def vault_of(job: Job, corners: np.ndarray | None = None) -> Barrel:
    """The vault over given corners; a level rectangle when left out."""
    return shape_vault(job, Corners(rectangle() if corners is None else corners))  # type: ignore[arg-type]


def segment_radius(span: float, rise: float) -> float:
    """Radius of a circular segment (geometry)."""
    return span**2 / (8 * rise) + rise / 2


def segment_area(span: float, rise: float) -> float:
    """Area between a circular segment and its chord (geometry)."""
    radius = segment_radius(span, rise)
    half = math.asin(span / 2 / radius)
    return radius**2 * (half - math.sin(half) * math.cos(half))
