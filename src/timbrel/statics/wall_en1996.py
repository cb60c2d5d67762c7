"""Masonry walls by EN 1996-1-1:2005: strength, vertical resistance, springers, shear of a bed.

Values of the tables are from memory of the standard; the nation's choices come from the job
(`loads.national`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.job.supports import NationalChoices, WallMasonry
from timbrel.statics.slenderness import effective_height
from timbrel.statics.strip import Array

K_TABLE = {  # EN 1996-1-1 table 3.3, general-purpose mortar
    "clay 1": 0.55,
    "clay 2": 0.45,
    "clay 3": 0.35,
    "natural stone": 0.45,
}
LEAST_ECCENTRICITY = 0.05  # of the thickness, 6.1.2.2(1)
INITIAL = 450.0  # h_ef over the eccentricity of construction, 5.5.1.1(4)
CREEP_FROM = 15.0  # slenderness up to which creep is left out, 6.1.2.2(2), recommended
CRACKED = 1 / 6  # of the thickness, over which a bed opens
YOKEL = 0.64 * math.pi**2
"""Of a column cracked over its whole height: P = 0.64 pi^2 E b u^3/h^2, u from load to pressed face
(Yokel 1971, from memory; derived again in the tests)."""
SHEAR_GAIN = 0.4  # 3.6.2(3)
SHEAR_MOST = 0.065  # of fb, 3.6.2(3)


@dataclass(frozen=True)
class Strength:
    """Strength of a wall's masonry, N/m2.

    characteristic: fk. design: fd. unit: fb, None when fk was stated. factor: gamma M. k: K of the
    formula, None likewise.
    """

    characteristic: float
    design: float
    unit: float | None
    mortar: float | None
    factor: float
    k: float | None


def characteristic_strength(unit: float, mortar: float, k: float) -> float:
    """fk = K fb^0.7 fm^0.3 in N/mm2 (EN 1996-1-1 3.6.1.2, expression 3.2); all in N/m2 here.

    fm counts up to 20 N/mm2 and up to 2 fb; fb up to 75 N/mm2.
    """
    fb = min(unit / 1e6, 75.0)
    fm = min(mortar / 1e6, 20.0, 2 * fb)
    return float(k * fb**0.7 * fm**0.3 * 1e6)


def wall_strength(masonry: WallMasonry, national: NationalChoices) -> Strength | None:
    """Strength of a wall, stated or from units and mortar; None when neither is known."""
    factor = national.masonry
    if masonry.strength is not None:
        fk = masonry.strength
        return Strength(fk, fk / factor, masonry.unit, masonry.mortar, factor, None)
    if masonry.unit is None or masonry.mortar is None:
        return None
    k = national.k or K_TABLE[masonry.group]
    fk = characteristic_strength(masonry.unit, masonry.mortar, k)
    return Strength(fk, fk / factor, masonry.unit, masonry.mortar, factor, k)


def end_reduction(eccentricity: Array, thickness: float) -> Array:
    """Capacity reduction at the head or base: 1 - 2 e/t (6.1.2.2(1), expression 6.4)."""
    return np.maximum(1 - 2 * np.asarray(eccentricity) / thickness, 0.0)


def middle_reduction(
    eccentricity: Array, thickness: float, slenderness: float, stiffness: float = 1000.0
) -> Array:
    """Capacity reduction in the middle fifth (annex G, expressions G.1 to G.4).

    eccentricity: e_mk, m. slenderness: h_ef/t_ef. stiffness: E over fk. The curves of the annex are a
    fit, and lie over the load at which a column without tension buckles where the load stands far
    out; there that load is kept to (Yokel 1971), which is the safe side.
    """
    share = np.asarray(eccentricity) / thickness
    a1 = np.maximum(1 - 2 * share, 0.0)
    u = (slenderness * math.sqrt(1 / stiffness) - 0.063) / np.maximum(0.73 - 1.17 * share, 1e-9)
    phi = a1 * np.exp(-(np.maximum(u, 0.0) ** 2) / 2)
    buckles = YOKEL * stiffness * np.maximum(0.5 - share, 0.0) ** 3 / slenderness**2
    return np.where(share > CRACKED, np.minimum(phi, buckles), phi)


@dataclass(frozen=True)
class VerticalResistance:
    """One wall under k combinations, N a metre, or one bay of a wall with buttresses, N.

    head, middle, base: (k,) use of N_Rd at each level. reductions: (3, k). eccentricities: (3, k).
    slenderness: h_ef/t_ef. effective_height: h_ef, m. area: (3,) of the section, m2 (a metre: m).
    governs: index of the combination and level of greatest use.
    """

    head: Array
    middle: Array
    base: Array
    reductions: Array
    eccentricities: Array
    slenderness: float
    effective_height: float
    area: Array

    @property
    def use(self) -> float:
        return float(max(self.head.max(), self.middle.max(), self.base.max()))

    @property
    def governs(self) -> tuple[str, int]:
        """Level and combination of greatest use."""
        rows = {"head": self.head, "middle": self.middle, "base": self.base}
        level = max(rows, key=lambda name: float(rows[name].max()))
        return level, int(np.argmax(rows[level]))


def vertical_resistance(
    normal: Array,
    eccentricity: Array,
    thickness: float | Array,
    height: float,
    head: str,
    strength: Strength,
    national: NationalChoices,
) -> VerticalResistance:
    """N_Ed over N_Rd = Phi t f_d at head, middle and base (6.1.2.1, expression 6.2).

    normal, eccentricity: (3, k) at head, middle and base, N/m and m (any sign): eccentricities come
    from the thrust on its way down, so e_he is in them; e_init (5.5.1.1(4)), creep (6.1.2.2(2),
    expression 6.8) and the least eccentricity are added here. thickness: m, the same all down or (3,)
    at the three levels; the thinnest makes the wall slender.
    """
    thick = np.broadcast_to(np.asarray(thickness, float), 3)
    tall = effective_height(height, head)
    slender = tall / float(thick.min())
    e_init = tall / INITIAL
    e = np.abs(np.asarray(eccentricity)) + e_init
    e = np.maximum(e, LEAST_ECCENTRICITY * thick[:, None])
    e_middle = e[1]
    if slender > CREEP_FROM:
        creep = 0.002 * national.creep * slender * np.sqrt(thick[1] * e_middle)
        e_middle = np.maximum(e_middle + creep, LEAST_ECCENTRICITY * thick[1])
    phi = np.stack(
        [
            end_reduction(e[0], thick[0]),
            middle_reduction(e_middle, thick[1], slender, national.stiffness),
            end_reduction(e[2], thick[2]),
        ]
    )
    capacity = phi * thick[:, None] * strength.design
    use = np.where(capacity > 0, np.asarray(normal) / np.maximum(capacity, 1e-9), np.inf)
    return VerticalResistance(
        use[0],
        use[1],
        use[2],
        phi,
        np.stack([e[0], e_middle, e[2]]),
        slender,
        tall,
        thick,
    )


def springer_enhancement(bearing: float, thickness: float, end: float, depth: float) -> float:
    """Enhancement for a concentrated load (6.1.3(2), expression 6.11), a metre of wall.

    bearing: width loaded. thickness: of the wall. end: distance of the load from the end of the
    wall (a1, 0 along a springing). depth: height of the wall under it (h_c).
    """
    share = min(bearing / thickness, 0.45)
    beta = (1 + 0.3 * end / depth) * (1.5 - 1.1 * share)
    return float(min(max(beta, 1.0), 1.25 + end / (2 * depth), 1.5))


def bed_shear_strength(stress: Array, strength: Strength, national: NationalChoices) -> Array:
    """Characteristic shear of a bed, f_vk0 + 0.4 sigma_d (3.6.2(3)), at most 0.065 fb."""
    value = national.initial_shear + SHEAR_GAIN * np.asarray(stress)
    return value if strength.unit is None else np.minimum(value, SHEAR_MOST * strength.unit)
