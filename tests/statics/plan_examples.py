"""Jobs of vaults on a plan for tests: those of the examples, with some of their walls changed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault

EXAMPLES = Path(__file__).parents[2] / "examples"


def changed_job(name: str, *, ties: bool = True, **changes: dict[str, Any]) -> Job:
    """An example's job. changes: tables merged into its own, `walls` into both of its walls; None takes
    a key of a wall out. ties: keep those it has."""
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))
    for table, values in changes.items():
        if table == "walls":
            for side in ("left", "right"):
                stated["walls"][side].update({k: v for k, v in values.items() if v is not None})
                for key in (k for k, v in values.items() if v is None):
                    stated["walls"][side].pop(key, None)
        else:
            stated.setdefault(table, {}).update(values)
    if not ties:
        stated["walls"].pop("ties", None)
    return read_job(tomlkit.dumps(stated)).job


def vault_of(job: Job) -> Any:
    return shape_vault(job, solve_room(job.room, job.job.length_unit))
