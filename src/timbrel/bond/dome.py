"""The bond of a dome: ring upon ring, closed at the crown by a round key or by an oculus.

Flat coordinates of a dome's tiles: X along the ring at its lower edge, clockwise from the direction of
A to B; Y the slant length from the springing. Each tile has its true size in its own ring.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.bond.laps import aimed_lap
from timbrel.bond.layer import tile_names
from timbrel.bond.layout import Floats, Gauge, Ints, LayerBond, Piece, Rod
from timbrel.bond.meridian import Meridian
from timbrel.bond.rings import TURN, Ring, RingGauge, lay_rings, ring_gauges
from timbrel.bond.shapes import ring_area
from timbrel.bond.starts import worth
from timbrel.bond.stock import Stock
from timbrel.words import TimbrelError, say

KEY_SIDES = 12
"""The round key is drawn with so many sides."""


@dataclass(frozen=True)
class LaidRings:
    """One layer of a dome before its tiles are drawn. meridian: at its inner face. middle: offset
    of its middle surface."""

    number: int
    stock: Stock
    direction: str
    gauge: RingGauge
    rings: list[Ring]
    meridian: Meridian
    middle: float


def lay_dome_layer(
    number: int, stock: Stock, direction: str, dome: Any, under: LaidRings | None
) -> LaidRings:
    """One layer: the division of the meridian that breaks the beds below best, then its rings."""
    place = dome.layers[number - 1]
    meridian = Meridian(dome, place.inner)
    slant = meridian.length
    gauges = ring_gauges(slant, key_radii(number, stock, bool(dome.oculus)), stock)
    if not gauges:
        raise TimbrelError(
            say(
                "The rings of layer {layer} cannot close: a meridian of {slant:length} takes no "
                "number of tiles {width:length} wide with joints from {least:length} to "
                "{most:length}; widen the range or change the tile.",
                layer=number,
                slant=slant,
                width=stock.across,
                least=stock.joint.least,
                most=stock.joint.most,
            ),
            key=f"layers.{number - 1}.joint",
        )
    enough = aimed_lap(stock, stock)

    def rank(gauge: RingGauge) -> tuple[int, int, float]:
        lap = ring_bed_lap(gauge, under, meridian) if under else 0.0
        cut = int(np.sum(gauge.widths < stock.across - 1e-9))
        return -worth(lap, enough), cut, abs(gauge.joint - stock.joint.best)

    gauge = min(gauges, key=rank)
    rings = lay_rings(number, meridian, gauge, stock, under.rings if under else [])
    return LaidRings(number, stock, direction, gauge, rings, meridian, place.middle)


def key_radii(number: int, stock: Stock, oculus: bool) -> tuple[float, ...]:
    """Radii of the round key: as wide as a tile in one piece; later layers, whose key must lap the
    one below, may also have one twice as wide, in two halves. 0: an oculus."""
    if oculus:
        return (0.0,)
    half = stock.across / 2
    double = min(stock.across, stock.along / 2)
    return (half,) if number == 1 or double < 1.5 * half else (half, double)


def bed_slants(gauge: RingGauge) -> Floats:
    """Slant lengths of the beds between rings, and of that round the key."""
    tops = gauge.edges[:, 1] + gauge.joint / 2
    return tops if gauge.key else tops[:-1]


def ring_bed_lap(gauge: RingGauge, under: LaidRings, meridian: Meridian) -> float:
    """Least distance of the beds of a division from those of the layer below."""
    below = meridian.slant(under.meridian.u(bed_slants(under.gauge)))
    return float(np.abs(bed_slants(gauge)[:, None] - below).min(initial=np.inf))


def draw_rings(laid: LaidRings, dome: Any) -> LayerBond:
    """The layer with every tile's polygon, corners in space, name and joints."""
    stock, rings = laid.stock, laid.rings
    flat, uv = zip(*(ring_tiles(ring) for ring in rings), strict=True)
    points, corners_uv = np.concatenate(flat), np.concatenate(uv)
    course = np.repeat(np.arange(len(rings)) + 1, [len(ring.begin) for ring in rings])
    number = np.concatenate([np.arange(len(ring.begin)) + 1 for ring in rings])
    kind = np.concatenate([ring.kinds for ring in rings])
    count = len(course)
    start = np.arange(count + 1) * 4
    area = ring_area(points)
    width = np.repeat([ring.width for ring in rings], [len(ring.begin) for ring in rings])
    length = area / width
    corners = dome.point(corners_uv[..., 0], corners_uv[..., 1], laid.middle)
    middle = corners_uv.mean(axis=1)
    away = dome.point(middle[:, 0], middle[:, 1], laid.middle) - corners.mean(axis=1)
    sagitta = np.abs(np.einsum("ni,ni->n", away, dome.normal(middle[:, 0], middle[:, 1])))
    points, corners = points.reshape(-1, 2), corners.reshape(-1, 3)
    if laid.gauge.key:
        for k, (key, in_space) in enumerate(key_tiles(laid, dome)):
            points, corners = np.concatenate([points, key]), np.concatenate([corners, in_space])
            start = np.append(start, start[-1] + len(key))
            course, number = np.append(course, len(rings) + 1), np.append(number, k + 1)
            kind = np.append(kind, int(Piece.CUT))
            area = np.append(area, ring_area(key))
            size = np.ptp(key, axis=0)
            length, width = np.append(length, size.max()), np.append(width, size.min())
    joints = [ring.joints for ring in rings]
    lines, widths, follows = ring_joints(laid)
    beds = laid.gauge.joint
    return LayerBond(
        layer=laid.number,
        tile=stock.name,
        direction=laid.direction,
        courses=len(rings) + bool(laid.gauge.key),
        bed_joint=beds,
        perpend_joint=float(np.mean([(a + b).mean() / 2 for a, b in joints])),
        joint_least=min(beds, *(float(min(a.min(), b.min())) for a, b in joints)),
        joint_most=max(beds, *(float(max(a.max(), b.max())) for a, b in joints)),
        names=tile_names(laid.number, "", course, number),
        webs=("",),
        web=np.zeros(len(course), dtype=np.int64),
        course=course,
        number=number,
        kind=kind,
        arch=course - 1,
        points=points,
        start=start,
        corners=corners,
        area=area,
        length=length,
        width=width,
        solid=0.0,
        facet=float(sagitta.max()),
        gauge=ring_rods(laid),
        joints=lines,
        joint_width=widths,
        joint_web=np.zeros(len(follows), dtype=np.int64),
        joint_tile=follows,
    )


def ring_tiles(ring: Ring) -> tuple[Floats, Floats]:
    """Corners of a ring's tiles, flat (n, 4, 2) and as (u, v) (n, 4, 2)."""
    centre = ring.begin + ring.share / 2
    x, half = centre * TURN * ring.below, np.stack([ring.bottom, ring.top], axis=1) / 2
    flat = np.stack(
        [
            np.stack([x - half[:, 0], x + half[:, 0], x + half[:, 1], x - half[:, 1]], axis=1),
            np.broadcast_to([ring.low, ring.low, ring.high, ring.high], (len(x), 4)),
        ],
        axis=2,
    )
    turn = half / (TURN * np.array([ring.below, ring.above]))
    v = np.stack(
        [centre - turn[:, 0], centre + turn[:, 0], centre + turn[:, 1], centre - turn[:, 1]], axis=1
    )
    u = np.broadcast_to([ring.u_low, ring.u_low, ring.u_high, ring.u_high], v.shape)
    return flat, np.stack([u, v], axis=2)


def key_tiles(laid: LaidRings, dome: Any) -> list[tuple[Floats, Floats]]:
    """The round key at the crown, in one piece or two, flat beside the last ring, and in space."""
    radius = laid.gauge.key
    beside = np.array([radius, laid.rings[-1].high + laid.gauge.joint + radius])
    turns = np.arange(KEY_SIDES + 1) / KEY_SIDES
    if radius <= laid.stock.across / 2 + 1e-9:
        parts = [(turns[:-1], np.zeros(2))]
    else:
        gap = np.array([0.0, laid.stock.joint.best / 2])
        parts = [(turns / 2, gap), (0.5 + turns / 2, -gap)]
    found = []
    for turn, moved in parts:
        round_key = radius * np.stack([np.cos(TURN * turn), np.sin(TURN * turn)], axis=1)
        # The joint between the halves is taken off them, not added to the key.
        flat = round_key * (1 - 2 * abs(moved[1]) / radius) + moved
        slant = laid.meridian.length - np.hypot(*flat.T)
        around = np.arctan2(-flat[:, 1], flat[:, 0]) / TURN
        found.append((flat + beside, dome.point(laid.meridian.u(slant), around, laid.middle)))
    return found


def ring_joints(laid: LaidRings) -> tuple[Floats, Floats, Ints]:
    """Joints as (u, v) lines (k, 2, 2), their widths, and the tile that each follows."""
    lines, widths, follows = [], [], []
    u_beds = laid.meridian.u(bed_slants(laid.gauge))
    first = 0
    for k, ring in enumerate(laid.rings):
        n = len(ring.begin)
        low, high = ring.joints
        ends = np.stack([np.full(n, ring.u_low), ring.begin, np.full(n, ring.u_high), ring.begin])
        lines.append(ends.T.reshape(n, 2, 2))
        # The perpend where a piece begins follows the piece before it.
        follows.append(first + (np.arange(n) - 1) % n)
        widths.append((low + high) / 2)
        if k < len(u_beds):
            u = np.full(n, u_beds[k])
            ends = np.stack([u, ring.begin, u, ring.begin + ring.share])
            lines.append(ends.T.reshape(n, 2, 2))
            follows.append(first + np.arange(n))
            widths.append(np.full(n, laid.gauge.joint))
        first += n
    return np.concatenate(lines), np.concatenate(widths), np.concatenate(follows)


def ring_rods(laid: LaidRings) -> Gauge:
    """A rod up the meridian, and one round each ring at the lower edge of its tiles."""
    edges = laid.gauge.edges
    slant = laid.meridian.length
    marks = np.append(edges[:, 0], edges[-1, 1])
    title = say("Rings along the meridian, from the springing")
    found = [Rod("meridian", title, laid.stock.across, laid.gauge.joint, marks, slant)]
    for k, ring in enumerate(laid.rings):
        low = ring.bottom
        joint, _ = ring.joints
        centre = (ring.begin + ring.share / 2) * TURN * ring.below
        marks = np.append(centre - low / 2, centre[-1] + low[-1] / 2)
        girth = TURN * ring.below
        title = say("Ring {ring:count}, round its lower edge", ring=k + 1)
        found.append(
            Rod(f"ring {k + 1:02d}", title, float(low.max()), float(joint.mean()), marks, girth)
        )
    return Gauge(tuple(found))
