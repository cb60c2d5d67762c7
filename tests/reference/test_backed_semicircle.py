"""A semicircle backed to a level needs no more than the arc above: closed form and a cvxpy program.

Published: 0.1075 of the mean radius for the bare semicircle (Milankovitch 1907; restated by Makris
and Alexakis 2013). Backing leaves the arc between the joints that come out of it; its least
thickness follows from the closed form of a circular axis with radial joints (derived): through a
height at the crown, the thrust is at least the greatest over the joints of M(intrados)/lever, and at
most the least of M(extrados)/lever. Common practice, no source: a thin semicircle is
backed to about half its rise.
"""

import cvxpy as cp
import numpy as np
import pytest
from tests.statics.test_backing import backed

from timbrel.statics.thickness import least_thickness

MIDDLE = 2.062  # mean radius of the trial vault, m


def stands(t: float, embrace: float) -> bool:
    """Has an arc (mean radius 1) under its own weight a line: through some height c at the crown,
    above every intrados end and below every extrados end."""
    inner, outer = 1 - t / 2, 1 + t / 2
    a = np.linspace(1e-3, embrace, 2000)
    weight = (outer**2 - inner**2) / 2 * a
    middle = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2) * (1 - np.cos(a)) / a
    for c in np.linspace(inner, outer, 81):
        above = weight * (inner * np.sin(a) - middle) / (c - inner * np.cos(a))
        lever = c - outer * np.cos(a)
        under = weight * (outer * np.sin(a) - middle) / np.where(lever > 0, lever, np.nan)
        if np.max(above) <= np.nanmin(under):
            return True
    return False


def least_of_arc(embrace: float) -> float:
    """t over mean radius at which the least thrust meets the greatest."""
    low, high = 1e-3, 0.2
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (low, middle) if stands(middle, embrace) else (middle, high)
    return high


def by_cvxpy(strip, loads, share: float) -> bool:
    """Has the strip a line within a share of its shell and all of its backing: moments of the
    resultant of all forces on the left of each joint, written out afresh."""
    springing, margin = cp.Variable(3), cp.Variable()
    sums = np.vstack([np.zeros(3), np.cumsum(loads, axis=0)])
    way = (strip.outer - strip.inner) / strip.thickness[:, None]
    shell = strip.thickness - strip.backing
    limits = []
    scale = float(np.abs(loads).sum())
    for i in range(len(strip.inner)):
        middle = strip.inner[i] + way[i] * shell[i] / 2
        force = springing[:2] + sums[i, :2] / scale
        turn = springing[2] + sums[i, 2] / scale
        normal = force[0] * way[i, 1] - force[1] * way[i, 0]
        moment = middle[0] * force[1] - middle[1] * force[0] - turn
        half = share * shell[i] / 2
        limits += [
            normal >= 0,
            moment >= margin - half * normal,
            moment <= (half + strip.backing[i]) * normal - margin,
        ]
    problem = cp.Problem(cp.Maximize(margin), [*limits, margin <= 1])
    # Another solver than the house: its own would keep its threads for all that comes after.
    problem.solve(solver=cp.CLARABEL)
    return float(margin.value) >= 0


def test_the_closed_form_gives_the_published_semicircle(evidence):
    ours = least_of_arc(np.pi / 2)
    evidence("bare semicircle, t/R by closed form", 0.1075, ours, "Milankovitch 1907")
    assert ours == pytest.approx(0.1075, abs=1e-4)


@pytest.mark.parametrize("share", [0.25, 0.5, 0.7])
def test_a_backed_semicircle_needs_what_the_arc_above_needs(share, evidence):
    _, vault, acts = backed(share, joints=401, masonry={"friction": 1.9})
    own = acts.permanent[0].wrench  # its own weight alone, as in the closed form
    found = least_thickness(acts.strip, own)
    ours = found.share * vault.thickness / MIDDLE
    free = np.flatnonzero(acts.strip.backing == 0)
    inner = acts.strip.inner[free[0]] - [2.0, 2.1]
    embrace = float(np.arctan2(-inner[0], inner[1]))
    step = np.pi / 400
    below, above = least_of_arc(embrace), least_of_arc(embrace + step)
    evidence(
        f"semicircle backed to {share} of its rise, t/R", below, ours,
        "arc above the backing, closed form (derived)",
    )  # fmt: skip
    # The loads stay those of the full shell; the joint just inside the backing is already wide.
    assert below * 0.99 <= ours <= above * 1.02
    assert ours < 0.1075 * 0.6


def test_the_share_is_that_of_an_independent_program():
    _, _, acts = backed(0.4, joints=81, masonry={"friction": 1.9})
    found = least_thickness(acts.strip, acts.dead)
    assert by_cvxpy(acts.strip, acts.dead, found.share * 1.001)
    assert not by_cvxpy(acts.strip, acts.dead, found.share * 0.999)
