"""Imposed loads by use: one table, with the clause beside each figure."""

from __future__ import annotations

from typing import NamedTuple

from timbrel.job.model import Loads
from timbrel.words import cite


class Psi(NamedTuple):
    """Shares of an imposed load beside another that leads, often, and nearly always."""

    accompanying: float
    frequent: float
    lasting: float


class ImposedLoad(NamedTuple):
    """Characteristic load (N/m2), where it comes from, the range that nations choose from, and its
    shares in combinations (EN 1990 table A1.1)."""

    pressure: float
    clause: str
    least: float
    greatest: float
    psi: Psi


DWELT = Psi(0.7, 0.5, 0.3)
CROWDED = Psi(0.7, 0.7, 0.6)
STORED = Psi(1.0, 0.9, 0.8)

BY_USE: dict[str, ImposedLoad] = {
    # Values from memory of the standard; the national annex decides inside the range.
    "floor": ImposedLoad(
        2.0e3, cite("EN 1991-1-1:2002, table 6.2, category A, floors"), 1.5e3, 2.0e3, DWELT
    ),
    "stairs": ImposedLoad(
        3.0e3, cite("EN 1991-1-1:2002, table 6.2, category A, stairs"), 2.0e3, 4.0e3, DWELT
    ),
    "offices": ImposedLoad(
        3.0e3, cite("EN 1991-1-1:2002, table 6.2, category B"), 2.0e3, 3.0e3, DWELT
    ),
    "seats": ImposedLoad(
        4.0e3, cite("EN 1991-1-1:2002, table 6.2, category C2"), 3.0e3, 4.0e3, CROWDED
    ),
    "assembly": ImposedLoad(
        5.0e3, cite("EN 1991-1-1:2002, table 6.2, category C5"), 5.0e3, 7.5e3, CROWDED
    ),
    "shops": ImposedLoad(
        4.0e3, cite("EN 1991-1-1:2002, table 6.2, category D1"), 4.0e3, 5.0e3, CROWDED
    ),
    "stores": ImposedLoad(
        7.5e3, cite("EN 1991-1-1:2002, table 6.4, category E1"), 7.5e3, 7.5e3, STORED
    ),
    # EN 1990 table A1.1 leaves a roof's load out beside others; here it stays, on the safe side.
    "roof": ImposedLoad(0.4e3, cite("EN 1991-1-1:2002, table 6.10, category H"), 0.0, 1.0e3, DWELT),
    "none": ImposedLoad(0.0, cite("no use stated"), 0.0, 0.0, DWELT),
}


def imposed_load(loads: Loads) -> tuple[float, str]:
    """The imposed load (N/m2) of a job and where it comes from: the job, or the use's default."""
    if loads.imposed is not None:
        return loads.imposed, cite("stated in the job, loads.imposed")
    row = BY_USE[loads.use]
    return row.pressure, row.clause


def psi_imposed(loads: Loads) -> Psi:
    """Shares of the imposed load in combinations: as the job states them, or by its use."""
    national, by_use = loads.national, BY_USE[loads.use].psi
    stated = (national.psi0_imposed, national.psi1_imposed, national.psi2_imposed)
    return Psi(
        *(own if given is None else given for given, own in zip(stated, by_use, strict=True))
    )
