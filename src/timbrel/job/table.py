"""The ground of every table of the job file."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """A table of the job file: frozen, and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
