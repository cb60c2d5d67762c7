"""Small jobs and rooms from which shapes are made."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.model import Job
from timbrel.shape import shape_vault

RISES = {
    "segment": 0.8,
    "semicircle": None,
    "catenary": 1.0,
    "parabola": 1.0,
    "three-centre": 1.2,
    "pointed": 2.6,
}


def _job(**curve: Any) -> Job:
    """Two layers of 20 mm with a bed of 10 mm: a shell of 50 mm. Lengths of `curve` in mm."""
    layer = {"tile": "thin", "binder": "quick"}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "shape"},
            "room": dict.fromkeys(("AB", "BC", "CD", "DA", "AC", "BD"), 4000)
            | {"levels": dict.fromkeys("ABCD", 0)},
            "curve": curve,
            "tiles": {"thin": {"length": 280, "width": 135, "thickness": 20}},
            "binders": {"quick": {"kind": "natural quick cement"}},
            "layers": [layer, layer],
        }
    )


@pytest.fixture(scope="session")
def vault() -> Callable[..., Any]:
    """Shape a vault: kind, corners, and more keys of the curve table (mm)."""

    def build(kind: str, corners: Any, **curve: Any) -> Any:
        if "rise" not in curve and curve.get("family") != "flight" and RISES.get(kind) is not None:
            curve["rise"] = RISES[kind] * 1000
        job = _job(directrix=kind, **curve)
        return shape_vault(job, SimpleNamespace(corners=np.array(corners, float)))  # type: ignore[arg-type]

    return build
