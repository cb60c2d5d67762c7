"""The ground of every table of the job file."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Share = Annotated[float, Field(ge=0.0, le=1.0)]
"""A share of one."""
DEAREST = 1e9
"""Greatest price that is taken, in any currency: more is a slip of the key."""


class Table(BaseModel):
    """A table of the job file: frozen, and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
