"""The block of stress at the beds of a support: the part whose middle lies on the resultant.

EN 1996-1-1 6.1.1: a block of even stress. On a wall it is twice the distance to the nearer face; on
a wall with a buttress it is what lies between a straight inner edge and the outer face (or the
other way about), where the middle of that area stands under the resultant.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.strip import Array
from timbrel.statics.supports import Profile

HALVINGS = 40


def block_area(profile: Profile, at: Array, beds: Array | None = None) -> Array:
    """(m, k) area of the block at every bed (or at some), m2; nothing outside the support.

    at: (m, k) distance of the resultant from the inner face, m.
    """
    pick = slice(None) if beds is None else beds
    T, out = profile.flange[pick, None], profile.web[pick, None]
    width, web = profile.width[pick, None], profile.web_width[pick, None]
    whole = T + np.where(web > 0, out, 0.0)
    at = np.asarray(at)
    plain = width * 2 * np.clip(np.minimum(T - at, at), 0.0, None)
    if not (web > 0).any():
        return np.asarray(plain)
    full, first = _strip(0.0, whole, T, width, web)
    outward = at >= first / full
    # Outward, the inner edge of the block moves out until its middle stands under the resultant.
    low, high = np.zeros(np.broadcast(at, T).shape), np.broadcast_to(whole, at.shape).copy()
    for _ in range(HALVINGS):
        edge = (low + high) / 2
        near, far = np.where(outward, edge, 0.0), np.where(outward, whole, edge)
        area, moment = _strip(near, far, T, width, web)
        beyond = moment > at * area
        low, high = np.where(beyond, low, edge), np.where(beyond, edge, high)
    edge = (low + high) / 2
    area, _ = _strip(np.where(outward, edge, 0.0), np.where(outward, whole, edge), T, width, web)
    inside = (at > 0) & (at < whole)
    return np.asarray(np.where(web > 0, np.where(inside, area, 0.0), plain))


def section_area(profile: Profile, beds: Array | None = None) -> Array:
    """(m,) whole area of each bed, m2."""
    pick = slice(None) if beds is None else beds
    out = np.where(profile.web_width > 0, profile.web, 0.0)
    return np.asarray((profile.width * profile.flange + profile.web_width * out)[pick])


def _strip(
    near: Array | float, far: Array, T: Array, width: Array, web: Array
) -> tuple[Array, Array]:
    """Area between two distances from the inner face, and its moment about that face."""
    a, b = np.minimum(near, T), np.minimum(far, T)
    c, d = np.maximum(near, T), np.maximum(far, T)
    area = width * (b - a) + web * (d - c)
    moment = width * (b**2 - a**2) / 2 + web * (d**2 - c**2) / 2
    return area, moment
