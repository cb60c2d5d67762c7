"""Vertical resistance of a wall with buttresses, in the spirit of EN 1996-1-1:2005 6.1.2.

The clauses speak of rectangles. Here the share of the section that the block of stress leaves,
1 - 2 e/t of a rectangle, is the share of wall and buttress together whose middle stands under the
resultant (derived; equal to the clause where there is no buttress). In the middle of the height
annex G takes that share in the place of its A1, the eccentricity of a rectangle with the same share
beside it, and the slenderness over the effective thickness of 5.5.1.3.
"""

from __future__ import annotations

import numpy as np

from timbrel.job.supports import NationalChoices
from timbrel.statics.block import block_area, section_area
from timbrel.statics.slenderness import Slenderness
from timbrel.statics.strip import Array
from timbrel.statics.supports import Profile
from timbrel.statics.wall_en1996 import (
    CREEP_FROM,
    INITIAL,
    LEAST_ECCENTRICITY,
    Strength,
    VerticalResistance,
    middle_reduction,
)


def buttressed_resistance(
    profile: Profile,
    normal: Array,
    at: Array,
    slender: Slenderness,
    strength: Strength,
    national: NationalChoices,
) -> VerticalResistance:
    """N_Ed over N_Rd = Phi A f_d of one bay at head, middle and base.

    normal, at: (3, k) N for the bay, and distance of the resultant from the inner face, m.
    """
    beds = np.array([0, len(profile.depth) // 2, len(profile.depth) - 1])
    area = section_area(profile, beds)[:, None]
    middle = _middle(profile, beds)[:, None]
    deep = profile.thickness[beds][:, None]
    e = np.abs(at - middle) + slender.height / INITIAL
    e = np.maximum(e, LEAST_ECCENTRICITY * deep)
    if slender.ratio > CREEP_FROM:
        creep = 0.002 * national.creep * slender.ratio * np.sqrt(slender.thickness * e[1])
        e[1] = e[1] + creep
    away = np.where(at >= middle, 1.0, -1.0)
    phi = block_area(profile, middle + away * e, beds) / area
    share = (1 - phi[1]) / 2
    phi[1] = middle_reduction(share, 1.0, slender.ratio, national.stiffness)
    capacity = phi * area * strength.design
    use = np.where(capacity > 0, np.asarray(normal) / np.maximum(capacity, 1e-9), np.inf)
    return VerticalResistance(
        use[0], use[1], use[2], phi, e, slender.ratio, slender.height, area[:, 0]
    )


def _middle(profile: Profile, beds: Array) -> Array:
    """(m,) distance of the middle of each bed's area from the inner face, m."""
    T = profile.flange[beds]
    out = np.where(profile.web_width[beds] > 0, profile.web[beds], 0.0)
    flange, web = profile.width[beds] * T, profile.web_width[beds] * out
    return np.asarray((flange * T / 2 + web * (T + out / 2)) / (flange + web))
