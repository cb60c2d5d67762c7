"""Tables of vaults that lie between guides: ordinates, rings of a dome, the strut net."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets.table import Table
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan


def _mm(metres: float) -> float:
    return round(metres * 1e3, 1)


def guide_rows(plan: SurfacePlan, voice: Voice) -> Table:
    """Ordinates of every guide: the intrados, and the rib's upper edge under it."""
    head = (say("Guide"), say("Along (mm)"), say("Level of intrados (m)"),
            say("Level of template (m)"))  # fmt: skip
    rows = tuple(
        (
            voice(guide.title),
            _mm(float(x)),
            round(float(level), 4),
            round(float(np.interp(x, guide.template[:, 0], guide.template[:, 1])), 4),
        )
        for guide in plan.site.guides
        for x, level in zip(guide.x, guide.level, strict=True)
    )
    return Table("setting-out", say("Setting-out"), head, rows)


def ring_rows(plan: SurfacePlan, voice: Voice) -> tuple[Table, ...]:
    """Radius and level of every ring of a dome, for the trammel; nothing for other vaults."""
    from timbrel.site.rings import dome_rings

    rings = dome_rings(plan.vault, plan.bond)
    if not rings:
        return ()
    head = (say("Layer"), say("Ring"), say("Radius (mm)"), say("Level (m)"),
            say("Radius rod from the centre (mm)"), say("Pieces"), say("Halves"), say("Cut"),
            say("Joint below (mm)"), say("Joint above (mm)"))  # fmt: skip
    rows = tuple(
        (
            *(r.layer, r.ring, _mm(r.radius), round(r.level, 4), _mm(r.rod)),
            *(r.pieces, r.half, r.cut),
            *(None if j is None else _mm(j) for j in (r.joint_below, r.joint_above)),
        )
        for r in rings
    )
    return (Table("rings", say("Rings of the dome"), head, rows),)


def net_rows(plan: SurfacePlan, voice: Voice) -> tuple[Table, ...]:
    """Load factors and thrusts of the net, once proved."""
    net = plan.net
    if net is None:
        return ()
    head = (say("Load"), say("Steps"), say("Net"), say("Coarser net"), say("Difference"),
            say("Mechanism"), say("Gap"), say("Out of balance, over the load"), say("Struts"),
            say("Reason"))  # fmt: skip
    factors = tuple(
        (
            voice(f.title),
            f.steps,
            _plain(f.static),
            _plain(f.coarser),
            _plain(f.difference),
            _plain(f.kinematic),
            _plain(f.gap),
            float(f"{f.report.residual:.3g}"),
            len(f.certificate.force),
            voice(f.upper.reason),
        )
        for f in net.factors
    )
    over = (say("Support"), say("Load"), say("Thrust"), say("x (N)"), say("y (N)"),
            say("Down (N)"))  # fmt: skip
    supports = plan.statics.supports
    pushes = tuple(
        (
            p.support,
            voice(p.case.title),
            voice(say("least")) if p.case.bound == "least" else voice(say("greatest")),
            round(float(p.total[0])),
            round(float(p.total[1])),
            round(-float(p.total[2])),
        )
        for p in (supports.pushes if supports else ())
    )
    return (
        Table("strut-net", say("Strut net"), head, factors),
        Table("supports", say("Thrust on the supports"), over, pushes),
    )


def _plain(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else round(float(value), 4)
