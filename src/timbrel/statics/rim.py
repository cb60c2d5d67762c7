"""What stands on the rim of a dome's oculus: kerb, cap, glass; as a load, and as thrust of the rim.

The load presses on the whole rim alike. A meridian that leans by a from level takes q on each metre
of the rim as q / sin a along itself, whose level part q cot a the rim takes as a ring: N = q r cot a
(membrane of a dome with a ring load at its edge: Flügge 1973, Stresses in Shells, chapter 2, from
memory; Heyman 1977, Equilibrium of Shell Structures). The strut net finds its own way for the same
load; this is its check by hand.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net_loads import NetLoad, point_load
from timbrel.statics.net_solid import Array, NetGrid
from timbrel.verdict import Check, judge
from timbrel.words import say

SPOTS = 64
"""Spots round the rim in whose place it is loaded; a multiple of eight, to stand symmetrically."""
BACK = 0.002
"""How far inside the rim they stand, share of the meridian."""


def rim_spots(vault: Any) -> Array:
    """(SPOTS, 3) places round the rim, at half of the thickness."""
    v = (np.arange(SPOTS) + 0.5) / SPOTS
    return np.asarray(vault.point(np.full(SPOTS, 1.0 - BACK), v, vault.thickness / 2))


def rim_weight(job: Job) -> float:
    """All that stands on the rim, N."""
    return job.curve.oculus_load * math.pi * job.curve.oculus


def rim_load(job: Job, vault: Any, grid: NetGrid, beds: int) -> NetLoad | None:
    """The load of the rim on a net; None where there is none."""
    if job.curve.family != "dome" or not rim_weight(job):
        return None
    each = rim_weight(job) / SPOTS
    parts = [point_load(grid, "rim", say("Rim"), at[:2], each, beds) for at in rim_spots(vault)]
    return NetLoad(
        "rim",
        say("On the rim of the oculus"),
        np.asarray(sum(part.weight for part in parts)),
        (1.0,) * beds,
        rim_weight(job),
        np.asarray(sum(part.first for part in parts)),
    )


def rim_thrust(load: float, radius: float, lean: float) -> float:
    """Thrust of the rim as a ring under a load (N/m) where the meridian leans `lean` from level."""
    return load * radius / math.tan(lean)


def rim_checks(job: Job, vault: Any) -> tuple[Check, ...]:
    """The rim of an oculus as a ring, as wide as one tile of the last layer."""
    if job.curve.family != "dome" or not rim_weight(job):
        return ()
    lean = float(vault.rings([1.0]).lean[0])
    thrust = rim_thrust(job.curve.oculus_load, job.curve.oculus / 2, lean)
    tile = job.tiles[job.layers[-1].tile]
    width = min(tile.length, tile.width)
    strength = job.masonry.crushing
    return (
        judge(
            "oculus.ring",
            say("Rim of the oculus as a ring"),
            thrust / (width * vault.thickness),
            strength,
            kind="stress",
            at_least=False,
            reason=say("No crushing strength is stated (masonry.crushing).")
            if strength is None
            else say(
                "What stands on it presses {thrust:force} round it, on a ring {width:length} wide "
                "where the shell leans {lean:angle}.",
                thrust=thrust,
                width=width,
                lean=lean,
            ),
            source="membrane of a dome with a ring load, N = q r cot a",
        ),
    )
