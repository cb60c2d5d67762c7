"""The parts of a layer on the several webs of a vault, as one layer."""

from __future__ import annotations

import numpy as np

from timbrel.bond.layout import Gauge, LayerBond, Rod


def merged(parts: list[LayerBond]) -> LayerBond:
    """One layer of the parts, web after web; rods carry the letters of their web."""
    if len(parts) == 1:
        return parts[0]
    first = parts[0]
    tiles = np.cumsum([0, *(part.count for part in parts)])
    corners = np.cumsum([0, *(len(part.points) for part in parts)])

    def joined(name: str) -> np.ndarray:
        return np.concatenate([getattr(part, name) for part in parts])

    start = [part.start[:-1] + at for part, at in zip(parts, corners, strict=False)]
    follows = [part.joint_tile + at for part, at in zip(parts, tiles, strict=False)]
    return LayerBond(
        layer=first.layer,
        tile=first.tile,
        direction=first.direction,
        courses=sum(part.courses for part in parts),
        bed_joint=float(np.average([p.bed_joint for p in parts], weights=np.diff(tiles))),
        perpend_joint=float(np.average([p.perpend_joint for p in parts], weights=np.diff(tiles))),
        joint_least=min(part.joint_least for part in parts),
        joint_most=max(part.joint_most for part in parts),
        names=tuple(name for part in parts for name in part.names),
        webs=tuple(web for part in parts for web in part.webs),
        web=joined("web"),
        course=joined("course"),
        number=joined("number"),
        kind=joined("kind"),
        arch=joined("arch"),
        points=joined("points"),
        start=np.concatenate([*start, corners[-1:]]),
        corners=joined("corners"),
        area=joined("area"),
        length=joined("length"),
        width=joined("width"),
        solid=sum(part.solid for part in parts),
        facet=max(part.facet for part in parts),
        gauge=Gauge(tuple(_lettered(part, rod) for part in parts for rod in part.gauge.rods)),
        joints=joined("joints"),
        joint_width=joined("joint_width"),
        joint_web=joined("joint_web"),
        joint_tile=np.concatenate(follows),
    )


def _lettered(part: LayerBond, rod: Rod) -> Rod:
    return Rod(f"{part.webs[0]} {rod.key}", rod.title, rod.size, rod.joint, rod.marks, rod.length)
