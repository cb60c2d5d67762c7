"""Jobs and vaults that the tests of the bond share: an invented room, out of square."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from timbrel.bond.lay import lay_bond
from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault


def sides(corners: Any) -> dict[str, Any]:
    """What a tape reads in a room whose corners (4, 3) are known, in mm and exact."""
    points = dict(zip("ABCD", np.asarray(corners, float), strict=True))
    flat = {
        f"{a}{b}": float(np.hypot(*(points[a] - points[b])[:2]) * 1000)
        for a, b in ("AB", "BC", "CD", "DA", "AC", "BD")
    }
    return {**flat, "levels": {k: float(p[2] * 1000) for k, p in points.items()}}


def layer(tile: str = "thin", direction: str = "along axis", **more: Any) -> dict[str, Any]:
    """A layer of the job file."""
    return {"tile": tile, "binder": "quick", "direction": direction, **more}


SQUARE = ((0, 0, 2.4), (4.3, 0, 2.4), (4.3, 6.6, 2.4), (0, 6.6, 2.4))
OUT_OF_SQUARE = ((0, 0, 2.4), (4.3, 0.02, 2.4), (4.33, 6.62, 2.4), (-0.01, 6.6, 2.4))
SKEW = ((0, 0, 2.4), (3.2, 0.7, 2.4), (3.2, 4.1, 2.4), (0, 4.0, 2.4))


def make_job(
    layers: list[dict[str, Any]] | None = None,
    corners: Any = OUT_OF_SQUARE,
    rise: float = 900,
    directrix: str = "segment",
    curve: dict[str, Any] | None = None,
    **tiles: Any,
) -> Job:
    """A job with tiles "thin" and "thick" of one face, or as given."""
    face = {"length": 280, "width": 140}
    known = {"thin": {**face, "thickness": 20}, "thick": {**face, "thickness": 25}, **tiles}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "Bond of an invented store room"},
            "room": sides(corners),
            "curve": {"directrix": directrix, "rise": rise, **(curve or {})},
            "tiles": known,
            "binders": {"quick": {"kind": "natural quick cement"}},
            "layers": layers or [layer(), layer("thick")],
        }
    )


def vault_of(job: Job) -> Any:
    """The vault of a job."""
    return shape_vault(job, solve_room(job.room))


@dataclass(frozen=True)
class Workshop:
    """What the tests of the bond make: jobs, layers, vaults, in known rooms."""

    square: Any = SQUARE
    out_of_square: Any = OUT_OF_SQUARE
    skew: Any = SKEW

    def job(self, *args: Any, **more: Any) -> Job:
        """See :func:`make_job`."""
        return make_job(*args, **more)

    def layer(self, *args: Any, **more: Any) -> dict[str, Any]:
        """See the function of that name."""
        return layer(*args, **more)

    def vault(self, job: Job) -> Any:
        """See :func:`vault_of`."""
        return vault_of(job)

    def bond(self, *args: Any, **more: Any) -> tuple[Job, Any, Bond]:
        """A job, its vault and its bond."""
        job = make_job(*args, **more)
        vault = vault_of(job)
        return job, vault, lay_bond(job, vault)


@pytest.fixture(scope="session")
def workshop() -> Workshop:
    """What makes jobs and vaults."""
    return Workshop()


@pytest.fixture(scope="session")
def barrel() -> tuple[Job, Any, Bond]:
    """The usual two layers over a room that is a little out of square."""
    return Workshop().bond()
