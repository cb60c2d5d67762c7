"""One rib of the centring: the curve it is cut to, its boards, its feet and its weight.

The template is the intrados less the lagging, measured along the normal: never the intrados moved
down, which leaves the rib too full at the haunches by lagging (1 - cos a).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Site
from timbrel.shape.directrix import Directrix, Offsets, Trammel, TrammelArc
from timbrel.site.curves import drawn
from timbrel.site.wedges import clearance, steepest_slope
from timbrel.words import TimbrelError, say

Floats = NDArray[np.float64]
DRAWN_STEP = 0.02
"""Spacing of the points of a template, m: a chord that long on a radius of 1 m errs by 0.05 mm."""


@dataclass(frozen=True)
class Rib:
    """A rib. Axes: x along the springing chord of the vault there, y square to it. m, kg, m3.

    station: 0 near end, 1 far end. span, rise: of the intrados. top: (n, 2) the template, upper
    edge of the boards; slope (n,) of its tangent to the level, rad; gap: (n,) that the lowering
    opens along the normal. offsets: of the template from the chord at the job's step. trammel:
    centres and radii of the template, None when it is drawn by offsets. stop_left, stop_right:
    length of the template at each foot that must be left out (or split off) because the lowering
    frees less than the least gap there. boards: pieces in one ply; board_length: of each, before
    it is cut; joined lapped over each other, ply on ply. band_length: middle line of the boards.
    timber: volume bought. mass: of the rib with its tie and post.
    """

    station: float
    span: float
    rise: float
    top: Floats
    slope: Floats
    gap: Floats
    offsets: Offsets
    trammel: Trammel | None
    stop_left: float
    stop_right: float
    boards: int
    board_length: float
    band_length: float
    timber: float
    mass: float


def template_curve(intrados: Directrix, lagging: float) -> Directrix:
    """The intrados less the lagging along the normal.

    Raises TimbrelError when the lagging is as thick as the tightest radius of the curve.
    """
    tightest = _tightest(intrados)
    if lagging >= tightest:
        raise TimbrelError(
            say(
                "site.lagging: {lagging:length} was given and the curve has a radius of "
                "{radius:length}; give a thinner lagging.",
                lagging=lagging,
                radius=tightest,
            ),
            key="site.lagging",
        )
    return intrados.parallel(-lagging)


def _tightest(curve: Directrix) -> float:
    s, _ = drawn(curve, DRAWN_STEP)
    return 1.0 / float(np.max(curve.curvature(s)))


def _moved(trammel: Trammel | None, seat: tuple[float, float]) -> Trammel | None:
    if trammel is None:
        return None

    def move(p: tuple[float, float]) -> tuple[float, float]:
        return p[0] + seat[0], p[1] + seat[1]

    return Trammel(
        tuple(
            TrammelArc(move(a.centre), a.radius, move(a.start), move(a.end)) for a in trammel.arcs
        )
    )


def template_offsets(template: Directrix, step: float) -> Offsets:
    """Heights of the template over the springing chord of the vault, at steps from the left
    springing of the vault, and at both its feet and its crown."""
    left = template.seat[0]
    right = left + template.span
    x = np.arange(0.0, right, step)
    x = np.unique(np.concatenate([x[x > left], [left, left + template.span / 2, right]]))
    inside = np.clip(x - left, 0.0, template.span)
    return Offsets(x, template.height(inside) + template.seat[1])


def _stops(template: Directrix, tilt: float, drop: float, least_gap: float) -> tuple[float, float]:
    """Lengths at the left and the right foot where the lowering opens less than the least gap."""
    limit = steepest_slope(drop, least_gap)
    s, _ = drawn(template, DRAWN_STEP / 10)
    steep = np.abs(template.angle(s) + tilt) > limit
    if not steep.any():
        return 0.0, 0.0
    free = s[~steep]
    if free.size == 0:
        return template.length / 2, template.length / 2
    return float(free[0]), float(template.length - free[-1])


def board_reach(radius: float, width: float, depth: float) -> float | None:
    """Longest piece of rib of `depth` under an outer `radius` that a board of `width` yields.

    Its chord between the outer corners: the board must hold the arc's sagitta and the depth of
    the band at its ends (geometry). Infinite under a straight line. None when the board is
    narrower than the rib is deep.
    """
    if width <= depth:
        return None
    if math.isinf(radius):
        return math.inf
    cosine = (radius - width) / (radius - depth) if radius > depth else -1.0
    return 2.0 * radius if cosine <= 0.0 else 2.0 * radius * math.sqrt(1.0 - cosine**2)


def refuse_narrow_boards(site: Site) -> NoReturn:
    """Boards narrower than the rib is deep."""
    raise TimbrelError(
        say(
            "site.board_width: boards of {width:length} were given for a rib {depth:length} deep; "
            "give boards wider than that, or a shallower site.rib_depth.",
            width=site.board_width,
            depth=site.rib_depth,
        ),
        key="site.board_width",
    )


def make_rib(
    intrados: Directrix, station: float, tilt: float, site: Site, drop: float | None = None
) -> Rib:
    """The rib under one section of the vault.

    intrados: with its seat at 0, 0 (see :func:`timbrel.site.ends.ends_of`). tilt: slope of the
    springing chord (rad), positive when it climbs to the right. drop: lowering
    of the frame; the job's easing when left out. Raises TimbrelError when the lagging or the rib
    is thicker than the curve's radius allows, or the boards narrower than the rib is deep.
    """
    drop = site.easing if drop is None else drop
    template = template_curve(intrados, site.lagging)
    s, top = drawn(template, DRAWN_STEP)
    slope = np.abs(template.angle(s) + tilt)
    stop_left, stop_right = _stops(template, tilt, drop, min(site.clear_least, drop))
    reach = board_reach(_tightest(template), site.board_width, site.rib_depth)
    if reach is None:
        refuse_narrow_boards(site)
    turning = float(template.angle(0.0) - template.angle(template.length))
    band = template.length - site.rib_depth / 2 * turning
    boards = max(1, math.ceil(template.length / reach - 1e-9))
    board_length = min(reach, template.length)
    # A tie across the feet and a post under the crown, both of a board of the rib's depth.
    braces = template.span + max(template.rise, 0.0)
    bow = boards * board_length * site.board_width * site.rib_plies
    timber = (bow + braces * site.board_width) * site.board_thickness
    net = (band * site.rib_plies + braces) * site.rib_depth * site.board_thickness
    return Rib(
        station=station,
        span=intrados.span,
        rise=intrados.rise,
        top=top,
        slope=slope,
        gap=clearance(slope, drop),
        offsets=template_offsets(template, site.offsets_step),
        trammel=_moved(template.trammel, template.seat),
        stop_left=stop_left,
        stop_right=stop_right,
        boards=boards,
        board_length=board_length,
        band_length=band,
        timber=timber,
        mass=net * site.timber_density,
    )
