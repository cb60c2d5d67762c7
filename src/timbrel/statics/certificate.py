"""The certificate of a state of equilibrium: all that is needed to check it without us.

Written beside the plan as one npz file; :mod:`timbrel.statics.certificate_check` reads it again.

Contents: title; middle, half (n, 3) lines through the masonry; uv (n, 2) parameters of the surface;
held (n,) lines that stand on a support; i, j (m,) lines that a strut joins and si, sj (m,) where on
them (-1 intrados, +1 extrados); force (m,) N, compression positive; load (n, 3) N on the middles of
the lines; reaction (n, 3) N; total: N, all loads as summed on the surface; first (2,): their first
moments, N m; factor: of the variable load; thickness, m; outline (k, 2): corners in plan, on the middle
surface, of the openings that struts pass by, and opening (k,): which each belongs to; strength: N/m2 at
which the state was not to crush, nil where it was not asked; place (n, 2): row and column of each
line on its grid; crown: the line that all columns share, -1 without; piers (k,): lines on piers.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from io import BytesIO
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net import Net, NetAnswer, reactions
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_solid import Array, Index

USED = 1e-9  # of the total load: a strut that carries less is left out


@dataclass(frozen=True)
class Certificate:
    """See the module."""

    title: str
    thickness: float
    factor: float
    total: float
    first: Array
    middle: Array
    half: Array
    uv: Array
    round: int
    held: NDArray[np.bool_]
    i: Index
    j: Index
    si: Array
    sj: Array
    force: Array
    load: Array
    reaction: Array
    outline: Array = field(default_factory=lambda: np.zeros((0, 2)))
    opening: Index = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    strength: float = 0.0
    place: Index = field(default_factory=lambda: np.zeros((0, 2), dtype=np.int64))
    crown: int = -1
    piers: Index = field(default_factory=lambda: np.zeros(0, dtype=np.int64))


def certify(
    title: str,
    net: Net,
    answer: NetAnswer,
    dead: NetLoad,
    variable: NetLoad | None = None,
    strength: float = 0.0,
) -> Certificate:
    """The certificate of an answer under the dead load and the variable load that it was asked for.

    strength: N/m2 at which it was not to crush, nil where that was not asked.
    """
    loads = [(dead, 1.0)] + ([(variable, answer.carried)] if variable is not None else [])
    return certify_force(title, net, answer.force, loads, strength)


def certify_force(
    title: str,
    net: Net,
    force: Array,
    loads: list[tuple[NetLoad, float]],
    strength: float = 0.0,
) -> Certificate:
    """The certificate of forces (m,) in the candidate struts under loads, each with its multiple."""
    weight = np.sum([factor * load.weight for load, factor in loads], axis=0)
    total = sum(factor * load.total for load, factor in loads)
    first = np.sum([factor * load.first for load, factor in loads], axis=0)
    used = np.flatnonzero(force > USED * total)
    kept = np.zeros_like(force)
    kept[used] = force[used]
    load = np.zeros((net.grid.size, 3))
    load[:, 2] = -weight
    return Certificate(
        title,
        net.solid.thickness,
        loads[1][1] if len(loads) > 1 else 0.0,
        float(total),
        first,
        net.grid.middle,
        net.grid.half,
        net.grid.uv,
        net.grid.columns,
        net.grid.held,
        net.struts.i[used],
        net.struts.j[used],
        net.struts.si[used],
        net.struts.sj[used],
        force[used],
        load,
        reactions(net, kept, load),
        np.concatenate([np.zeros((0, 2)), *net.grid.free]),
        np.repeat(np.arange(len(net.grid.free)), [len(o) for o in net.grid.free]).astype(np.int64),
        strength,
        net.grid.place,
        net.grid.pole,
        np.concatenate(
            [np.zeros(0, np.int64)] + [s.nodes for s in net.grid.supports if s.kind == "pier"]
        ),
    )


def certificate_bytes(certificate: Certificate) -> bytes:
    """The npz file of a certificate (no pickles)."""
    file = BytesIO()
    np.savez_compressed(file, **{f.name: getattr(certificate, f.name) for f in fields(Certificate)})
    return file.getvalue()


def write_certificate(certificate: Certificate, file: Path) -> Path:
    """Write an npz file (no pickles)."""
    file.write_bytes(certificate_bytes(certificate))
    return file


def read_certificate(file: Path) -> Certificate:
    """Read one back."""
    plain = {
        "title": str, "thickness": float, "factor": float, "total": float, "round": int,
        "strength": float, "crown": int,
    }  # fmt: skip
    with np.load(file, allow_pickle=False) as data:
        return Certificate(
            **{
                f.name: plain[f.name](data[f.name]) if f.name in plain else data[f.name]
                for f in fields(Certificate)
            }
        )
