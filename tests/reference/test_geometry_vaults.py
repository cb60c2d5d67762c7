"""Areas and volumes of vaults against closed forms.

Sources: two equal half cylinders crossing at right angles, surface 16 R^2 and volume 16/3 R^3 of the
whole solid (Archimedes, The Method; Steinmetz): the cloister vault is its upper half, and the groin
vault what it leaves of the two barrels. Spherical cap 2 pi R h and spherical shell (Archimedes, On
the Sphere and Cylinder). Catenoid-like and parabolic domes: surface of revolution of a parabola
(calculus, derived). Elliptic paraboloid: curvature 8 f/a^2 at the crown (derived).
"""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.model import Job
from timbrel.shape import shape_vault

Evidence = Callable[[str, float, float, str], None]
STEINMETZ = "crossing cylinders, Archimedes / Steinmetz"
SPHERE = "Archimedes, On the Sphere and Cylinder"
SQUARE = [[0, 0, 0], [4, 0, 0], [4, 4, 0], [0, 4, 0]]


def vault_on(corners: Any, **curve: Any) -> Any:
    layer = {"tile": "thin", "binder": "quick"}
    job = Job.model_validate(
        {
            "format": 1,
            "job": {"title": "reference"},
            "room": dict.fromkeys(("AB", "BC", "CD", "DA", "AC", "BD"), 4000)
            | {"levels": dict.fromkeys("ABCD", 0)},
            "curve": curve,
            "tiles": {"thin": {"length": 280, "width": 135, "thickness": 20}},
            "binders": {"quick": {"kind": "natural quick cement"}},
            "layers": [layer, layer],
        }
    )
    return shape_vault(job, SimpleNamespace(corners=np.array(corners, float)))  # type: ignore[arg-type]


def test_cloister_is_half_a_steinmetz_solid(evidence: Evidence) -> None:
    shell = vault_on(SQUARE, family="cloister", directrix="semicircle")
    evidence("cloister, 8 R^2", 32.0, shell.area(), STEINMETZ)
    assert shell.area() == pytest.approx(32.0, rel=1e-9)
    volume = 8 / 3 * (2.05**3 - 2**3)
    evidence("cloister shell, 8/3 (Ro^3 - Ri^3)", volume, shell.volume, STEINMETZ)
    assert shell.volume == pytest.approx(volume, rel=1e-7)


def test_groin_is_what_the_cloister_leaves_of_two_barrels(evidence: Evidence) -> None:
    shell = vault_on(SQUARE, family="groin", directrix="semicircle")
    area = 2 * 2 * np.pi * 4 - 32.0
    evidence("groin, 4 pi R^2 - 8 R^2", area, shell.area(), STEINMETZ)
    assert shell.area() == pytest.approx(area, rel=1e-9)


def test_room_under_a_cloister(evidence: Evidence) -> None:
    """Level of the intrados summed over an eighth of the plan, between crease and middle line."""
    shell = vault_on(SQUARE, family="cloister", directrix="semicircle")
    x, w = np.polynomial.legendre.leggauss(24)
    t, p = (g.ravel() for g in np.meshgrid((x + 1) / 2, (x + 1) / 2))
    y = 2 * t * t  # the springing is plumb: steps close up towards it
    weights = np.outer(w, w).ravel() / 4 * 4 * t * (2 - y)
    room = 8 * float(weights @ shell.height(y + (2 - y) * p, y))
    evidence("room under a cloister, 8/3 R^3", 8 / 3 * 8, room, STEINMETZ)
    assert room == pytest.approx(8 / 3 * 8, rel=1e-8)


@pytest.mark.parametrize("oculus", [0.0, 1.2])
def test_hemisphere(evidence: Evidence, oculus: float) -> None:
    """Zone of a sphere 2 pi R h; shell 2/3 pi (Ro^3 - Ri^3) between cones from the centre."""
    shell = vault_on(SQUARE, family="dome", directrix="semicircle", oculus=oculus * 1000)
    height = np.sqrt(4 - (oculus / 2) ** 2)
    evidence(f"hemisphere, oculus {oculus}", 4 * np.pi * height, shell.area(), SPHERE)
    assert shell.area() == pytest.approx(4 * np.pi * height, rel=1e-10)
    volume = 2 / 3 * np.pi * (2.05**3 - 8) * height / 2
    evidence(f"its shell, oculus {oculus}", volume, shell.volume, SPHERE)
    assert shell.volume == pytest.approx(volume, rel=1e-9)


def test_parabolic_dome(evidence: Evidence) -> None:
    """Surface of a paraboloid of revolution: pi R/(6 h^2) ((R^2 + 4 h^2)^1.5 - R^3)."""
    shell = vault_on(SQUARE, family="dome", directrix="parabola", rise=1500)
    R, h = 2.0, 1.5
    area = np.pi * R / (6 * h * h) * ((R * R + 4 * h * h) ** 1.5 - R**3)
    evidence("parabolic dome 4/1.5", area, shell.area(), "surface of revolution, derived")
    assert shell.area() == pytest.approx(area, rel=1e-10)


def test_pointed_dome(evidence: Evidence) -> None:
    """Arc of radius r about (c, 0) turned about the axis: 2 pi r (r sin a - c a) (Pappus)."""
    shell = vault_on(SQUARE, family="dome", directrix="pointed", rise=2600)
    r = (4 + 2.6**2) / 4
    c, turn = r - 2, np.arccos((r - 2) / r)
    area = 2 * np.pi * r * (r * np.sin(turn) - c * turn)
    evidence("pointed dome 4/2.6", area, shell.area(), "Pappus, derived")
    assert shell.area() == pytest.approx(area, rel=1e-10)


def test_spherical_sail_lies_on_its_sphere(evidence: Evidence) -> None:
    """Square of side 4, arches of rise 0.6: R^2 = rho^2 + 2^2, rho of the segment; crown on it."""
    shell = vault_on(SQUARE, family="sail", directrix="segment", rise=600)
    rho = 16 / (8 * 0.6) + 0.3
    radius = np.hypot(rho, 2.0)
    crown = radius - (rho - 0.6)
    ours = float(shell.height([2.0], [2.0])[0])
    evidence("sail 4 x 4, arches 0.6: crown", crown, ours, "sphere through a segment")
    assert ours == pytest.approx(crown, rel=1e-12)
    greatest, least = shell.webs[0].curvatures([0.2, 0.5], [0.4, 0.9])
    assert np.allclose([greatest, least], 1 / radius)


def test_translation_sail_is_the_elliptic_paraboloid(evidence: Evidence) -> None:
    shell = vault_on(
        SQUARE, family="sail", directrix="parabola", sail="translation", rise=500, cross_rise=800
    )
    greatest, least = shell.webs[0].curvatures(0.5, 0.5)
    evidence("paraboloid, 8 f/a^2 across", 8 * 0.8 / 16, float(greatest), "derived")
    assert (float(greatest), float(least)) == pytest.approx((8 * 0.8 / 16, 8 * 0.5 / 16))
    x, y = np.array([0.7, 3.1]), np.array([1.9, 0.4])
    z = 1.3 - 0.5 * (x / 2 - 1) ** 2 - 0.8 * (y / 2 - 1) ** 2
    assert np.allclose(shell.height(x, y), z, atol=1e-12)
