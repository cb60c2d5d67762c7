"""A barrel over a room a little out of square, as a job, for the tests of the statics."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.model import Job
from timbrel.shape.vault import Barrel, shape_vault

CORNERS = np.array([[0.0, 0.0, 2.1], [4.2, 0.0, 2.1], [4.22, 6.1, 2.1], [-0.03, 6.05, 2.1]])
JOB: dict[str, Any] = {
    "format": 1,
    "job": {"title": "Trial barrel"},
    "room": {
        **{"AB": 4200, "BC": 6100, "CD": 4250, "DA": 6050, "AC": 7417, "BD": 7379},
        "levels": {"A": 2100, "B": 2100, "C": 2100, "D": 2100},
    },
    "curve": {"family": "barrel", "directrix": "segment", "rise": 900},
    "tiles": {
        "thin": {"length": 280, "width": 140, "thickness": 20},
        "thick": {"length": 280, "width": 140, "thickness": 40},
    },
    "binders": {"quick": {"kind": "natural quick cement"}, "mortar": {"kind": "mortar"}},
    "layers": [
        {"tile": "thin", "binder": "quick"},
        {"tile": "thick", "binder": "mortar", "bed": 12},
        {"tile": "thick", "binder": "mortar", "bed": 12},
    ],
    "walls": {
        "left": {"thickness": 900, "height": 2100, "above": 2500, "load_above": 20},
        "right": {"thickness": 900, "height": 2100, "above": 2500, "load_above": 20},
    },
    "loads": {"fill": {"kind": "light"}},
}


def merged(base: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """A copy with tables merged and other values replaced."""
    out = dict(base)
    for key, value in changes.items():
        both = isinstance(value, dict) and isinstance(out.get(key), dict)
        out[key] = merged(out[key], value) if both else value
    return out


BuildJob = Callable[..., Job]
BuildVault = Callable[[Job], Barrel]


@pytest.fixture
def trial_job() -> BuildJob:
    """Build the job with some of its tables changed: trial_job(curve={"rise": 700})."""

    def build(**changes: Any) -> Job:
        return Job.model_validate(merged(JOB, changes))

    return build


@pytest.fixture
def trial_vault() -> BuildVault:
    """Shape the vault of a job over the trial room."""

    def build(job: Job) -> Barrel:
        return shape_vault(job, SimpleNamespace(corners=CORNERS, measures=(), checks=()))

    return build
