"""Least thickness of a semicircular arch under its own weight, t over mean radius.

Radial joints 0.1075: Milankovitch 1907; vertical joints 0.1095: Makris and Alexakis 2013, "The
effect of stereotomy on the shape of the thrust-line and the minimum thickness of semicircular
masonry arches", Archive of Applied Mechanics. Printed to four decimals, so met within half a unit
of the fourth.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from timbrel.statics.kinematic import bound_thickness
from timbrel.statics.strip import Strip
from timbrel.statics.thickness import least_thickness

JOINTS = 361
ROUNDING = 5e-5


def radial(t: float) -> tuple[Strip, np.ndarray]:
    """Ring of mean radius 1 with true centres of gravity of its voussoirs."""
    a = np.linspace(-np.pi / 2, np.pi / 2, JOINTS)
    way = np.column_stack([np.sin(a), np.cos(a)])
    ri, ro = 1 - t / 2, 1 + t / 2
    half = (a[1] - a[0]) / 2
    reach = 2 / 3 * (ro**3 - ri**3) / (ro**2 - ri**2) * np.sin(half) / half
    x = reach * np.sin((a[1:] + a[:-1]) / 2)
    weight = half * (ro**2 - ri**2) * np.ones(len(x))
    return Strip(ri * way, ro * way), np.column_stack([0 * x, -weight, -x * weight])


def vertical(t: float) -> tuple[Strip, np.ndarray]:
    """The same ring cut upright; its two ends stand on level beds."""
    ri, ro = 1 - t / 2, 1 + t / 2
    x = ri * np.sin(np.linspace(-np.pi / 2, np.pi / 2, JOINTS)[1:-1])
    inner = np.column_stack([x, np.sqrt(ri**2 - x**2)])
    outer = np.column_stack([x, np.sqrt(ro**2 - x**2)])
    inner = np.vstack([[-ri, 0], inner, [ri, 0]])
    outer = np.vstack([[-ro, 0], outer, [ro, 0]])

    def under(r: float, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Area under a circle up to x, and its first moment."""
        x = np.clip(x, -r, r)
        root = np.sqrt(r**2 - x**2)
        return (x * root + r**2 * np.arcsin(x / r)) / 2, -(root**3) / 3

    cuts = np.concatenate([[-ro], x, [ro]])
    (ao, mo), (ai, mi) = under(ro, cuts), under(ri, cuts)
    area, moment = np.diff(ao - ai), np.diff(mo - mi)
    return Strip(inner, outer), np.column_stack([0 * area, -area, -moment])


@pytest.mark.parametrize(
    ("build", "published", "what"),
    [
        (radial, 0.1075, "least t/R of a semicircle, radial joints"),
        (vertical, 0.1095, "least t/R of a semicircle, vertical joints"),
    ],
)
def test_least_thickness(build, published, what, evidence):
    def spare(t: float) -> float:
        strip, loads = build(t)
        least = least_thickness(strip, loads)
        assert least is not None
        return least.share - 1

    found = brentq(spare, 0.09, 0.13, xtol=1e-6)
    evidence(what, published, found, "Milankovitch 1907; Makris and Alexakis 2013")
    assert found == pytest.approx(published, abs=ROUNDING)


def test_mechanism_gives_the_same_thickness():
    strip, loads = radial(0.1075)
    least = least_thickness(strip, loads)
    mechanism = bound_thickness(strip, loads, least.line, least.share)
    assert mechanism.bound <= least.share * (1 + 1e-9)
    assert mechanism.bound == pytest.approx(least.share, rel=1e-4)
    assert len(mechanism.joints) == 4
    assert all(a != b for a, b in zip(mechanism.outer, mechanism.outer[1:], strict=False))
