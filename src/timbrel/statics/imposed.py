"""Imposed loads by use: one table, with the clause beside each figure."""

from __future__ import annotations

from typing import NamedTuple

from timbrel.job.model import Loads
from timbrel.words import cite


class ImposedLoad(NamedTuple):
    """Characteristic load (N/m2), where it comes from, and the range that nations choose from."""

    pressure: float
    clause: str
    least: float
    greatest: float


BY_USE: dict[str, ImposedLoad] = {
    # Values from memory of the standard; the national annex decides inside the range.
    "floor": ImposedLoad(
        2.0e3, cite("EN 1991-1-1:2002, table 6.2, category A, floors"), 1.5e3, 2.0e3
    ),
    "stairs": ImposedLoad(
        3.0e3, cite("EN 1991-1-1:2002, table 6.2, category A, stairs"), 2.0e3, 4.0e3
    ),
    "roof": ImposedLoad(0.4e3, cite("EN 1991-1-1:2002, table 6.10, category H"), 0.0, 1.0e3),
    "none": ImposedLoad(0.0, cite("no use stated"), 0.0, 0.0),
}


def imposed_load(loads: Loads) -> tuple[float, str]:
    """The imposed load (N/m2) of a job and where it comes from: the job, or the use's default."""
    if loads.imposed is not None:
        return loads.imposed, cite("stated in the job, loads.imposed")
    row = BY_USE[loads.use]
    return row.pressure, row.clause
