"""What the view in three dimensions is drawn from: a plain table of the plan, for the browser.

x across the room, y along the axis, z up; metres, to a tenth of a millimetre.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import LayerBond, Piece
from timbrel.statics.pier_shape import OUTWARD
from timbrel.statics.walls import AnySide, wall_of
from timbrel.web.steps import LaidStep, order_of_laying
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.job.carried import Wall
    from timbrel.plan import Plan, SurfacePlan

Floats = NDArray[np.float64]
RIB_POINTS = 25
STRUTS_SHOWN = 0.03
"""Struts under this share of the greatest force are not drawn."""
UNSTATED_WALL = 0.30
"""Thickness of a wall that the job does not state, as drawn (m); the sheets draw it alike."""
SHOWN_BELOW = 1.2
"""Height of wall drawn under the springing where the job does not state it (m)."""
SIDES: tuple[tuple[AnySide, int, int], ...] = (
    ("left", 3, 0),
    ("right", 1, 2),
    ("near", 0, 1),
    ("far", 2, 3),
)
"""The sides of the room, and the corners between which each wall stands."""


def scene(plan: Plan, voice: Voice, revision: str) -> dict[str, Any]:
    """The whole table."""
    from timbrel.plan import SurfacePlan

    arches, steps = order_of_laying(plan)
    corners = np.concatenate([layer.corners for layer in plan.bond.layers])
    walls = _piers(plan) if plan.vault.on_corners else _walls(plan)
    feet = np.array([spot for wall in walls for spot in wall["foot"]])
    low, high = corners.min(axis=0), corners.max(axis=0)
    low[:2], high[:2] = (
        np.minimum(low[:2], feet.min(axis=0)),
        np.maximum(high[:2], feet.max(axis=0)),
    )
    low[2] = min(low[2], *(wall["bottom"] for wall in walls))
    floor = np.asarray(plan.room.corners)
    return {
        "revision": revision,
        "box": [_round(low), _round(high)],
        "inside": _round([*floor.mean(axis=0)[:2], floor[:, 2].min() - 1.0]),
        "layers": [
            *(_layer(plan, n, layer, voice) for n, layer in enumerate(plan.bond.layers)),
            *_rings(plan, voice),
        ],
        "walls": walls,
        "thrust": [] if isinstance(plan, SurfacePlan) else _thrust_lines(plan),
        "hinges": [] if isinstance(plan, SurfacePlan) else _hinges(plan),
        "net": _struts(plan) if isinstance(plan, SurfacePlan) else [],
        "rib_depth": plan.job.site.rib_depth,
        "centring": [_ribs(plan, v0, v1) for v0, v1 in arches],
        "steps": [_step(step, voice) for step in steps],
        "words": _words(voice),
    }


def _round(values: Any) -> list[Any]:
    rounded: list[Any] = np.round(np.asarray(values, float), 4).tolist()
    return rounded


def _words(voice: Voice) -> dict[str, Any]:
    """Sentences that the script fills: kept with their places in braces."""
    plain = (
        ("step", say("Step {n} of {of}: {text}")),
        ("tile", say("Tile {name} – {layer} – {size} – {kind}")),
        ("none", say("No tile there.")),
        ("whole", say("The whole work. Lay it step by step with the buttons above.")),
    )
    kinds: dict[Piece, Message] = {
        Piece.WHOLE: say("whole"),
        Piece.HALF: say("half"),
        Piece.CUT: say("cut"),
    }
    return {key: voice.text(message.msgid) for key, message in plain} | {
        "kinds": [voice(kinds[Piece(code)]) for code in sorted(kinds)]
    }


def _rings(plan: Plan, voice: Voice) -> list[dict[str, Any]]:
    """Rings of openings as layers of their own, after those of the shell."""
    found = []
    for opening in plan.bond.openings:
        for k, ring in enumerate(opening.ring, 1):
            label = say("{name}: ring, layer {n:count}", name=opening.name, n=k)
            found.append({**_layer(plan, -1, ring, voice), "label": voice(label)})
    return found


def _layer(plan: Plan, n: int, layer: LayerBond, voice: Voice) -> dict[str, Any]:
    """n: which layer of the shell, or -1 for a ring."""
    sizes, index = _sizes(plan, layer, voice)
    own = plan.job.tiles[layer.tile].thickness if n < 0 else plan.vault.layers[n].thickness
    return {
        "label": voice(say("Layer {n:count}: {tile}", n=layer.layer, tile=layer.tile)),
        "thickness": own,
        "names": list(layer.names),
        "kinds": layer.kind.tolist(),
        "start": layer.start.tolist(),
        "corners": _round(layer.corners.ravel()),
        "sizes": sizes,
        "size": index,
    }


def _sizes(plan: Plan, layer: LayerBond, voice: Voice) -> tuple[list[str], list[int]]:
    """The sizes that occur, spoken, and which of them each tile has."""
    tile = plan.job.tiles[layer.tile]
    measures = np.tile([tile.length, tile.width], (layer.count, 1))
    for i in np.flatnonzero(layer.kind != Piece.WHOLE):
        measures[i] = _size(layer.polygon(int(i)))
    distinct, index = np.unique(np.round(measures, 3), axis=0, return_inverse=True)
    spoken = [f"{voice.length(float(a))} × {voice.length(float(b))}" for a, b in distinct]
    return spoken, index.ravel().tolist()


def _size(polygon: Floats) -> tuple[float, float]:
    """Length and width of the rectangle that a piece is cut from, its longest edge along it."""
    edges = np.roll(polygon, -1, axis=0) - polygon
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    ahead = edges[np.argmax(lengths)] / lengths.max()
    along = polygon @ ahead
    across = polygon @ np.array([-ahead[1], ahead[0]])
    a, b = float(np.ptp(along)), float(np.ptp(across))
    return (a, b) if a >= b else (b, a)


def _walls(plan: Plan) -> list[dict[str, Any]]:
    """Walls as prisms: foot (4, 2) with the level of its top at each corner of the foot."""
    corners = np.asarray(plan.room.corners)
    made = []
    for side, i, j in SIDES:
        if (side, "free") in (("near", plan.job.room.near_end), ("far", plan.job.room.far_end)):
            continue
        wall = _wall_drawn(plan, side)
        p, q = corners[i], corners[j]
        along = (q - p)[:2] / np.hypot(*(q - p)[:2])
        square = np.array([along[1], -along[0]])
        back, out = (
            square * _behind(plan, side),
            square * ((wall and wall.thickness) or UNSTATED_WALL),
        )
        face = np.array([p[:2], q[:2]]) + back
        foot = np.concatenate([face, face[::-1] + out])
        below = min((wall and wall.height) or SHOWN_BELOW, 3.0)
        bottom = float(min(p[2], q[2]) - below)
        tops = np.array([p[2], q[2], q[2], p[2]]) + (min(wall.above, 1.0) if wall else 0.0)
        made.append({"foot": _round(foot), "bottom": round(bottom, 4), "top": _round(tops)})
    return made


def _behind(plan: Plan, side: AnySide) -> float:
    """How far the face of a wall stands behind the room as measured: behind a corbel or a ledger."""
    if plan.vault.family not in ("barrel", "flight") or side not in ("left", "right"):
        return 0.0
    return float(plan.vault.behind[0 if side == "left" else 1])


def _wall_drawn(plan: Plan, side: AnySide) -> Wall | None:
    """The wall on a side, as the general plan has it: those at the ends of a barrel carry nothing, and
    are only what is stated of them."""
    if plan.vault.family in ("barrel", "flight") and side in ("near", "far"):
        return plan.job.walls.near if side == "near" else plan.job.walls.far
    return wall_of(plan.job, side)


def _piers(plan: Plan) -> list[dict[str, Any]]:
    """The stated piers of a vault on its corners as prisms, and what leans on them; a post as thick as
    an unstated wall where the job is silent. As :func:`_walls` tells them."""
    from timbrel.sheets.general import pier_rings
    from timbrel.statics.net_supports import wall_at

    stated, made = pier_rings(plan), []
    for k, corner in enumerate(np.asarray(plan.room.corners)):
        letter = "ABCD"[k]
        wall, _ = wall_at(plan.job, letter)
        away = np.array(OUTWARD[letter]) * UNSTATED_WALL
        post = np.array([[0.0, 0.0], [away[0], 0.0], away, [0.0, away[1]]])
        for ring in stated.get(letter, [post]):
            bottom = float(corner[2] - min(wall.height or SHOWN_BELOW, 3.0))
            tops = np.full(4, corner[2] + (min(wall.above, 1.0) if letter in stated else 0.0))
            foot = np.asarray(ring)[:4] + corner[:2]
            made.append({"foot": _round(foot), "bottom": round(bottom, 4), "top": _round(tops)})
    return made


def _in_space(plan: Plan, v: float, points: Floats) -> Floats:
    """Points (n, 2) of the section plane at `v` (x from the left springing, level) in space."""
    plane = plan.vault.plane(v)
    spots = plane.left + points[:, :1] * plane.across
    spots[:, 2] = points[:, 1]
    return np.asarray(spots)


def _thrust_lines(plan: Plan) -> list[Any]:
    """The line of least thrust and that of greatest, at each station that was proved."""
    lines = []
    for station in plan.statics.stations:
        for bound in (station.answer.least_thrust, station.answer.greatest_thrust):
            if bound is not None:
                lines.append(_round(_in_space(plan, station.v, bound.line.points)))
    return lines


def _struts(plan: SurfacePlan) -> list[Any]:
    """The struts of the state shown that carry most, as pairs of points."""
    shown = plan.statics.shown
    if shown is None:
        return []
    net, answer = shown.net, shown.answer
    start, end = net.struts.ends(net.grid)
    seen = answer.force > STRUTS_SHOWN * float(answer.force.max(initial=0.0))
    return _round(np.stack([start[seen], end[seen]], axis=1))


def _hinges(plan: Plan) -> list[Any]:
    """Hinges of the mechanism that governs at the worst station."""
    worst = plan.statics.worst
    factors = [p for p in worst.answer.patterns if np.isfinite(p.static)]
    if not factors:
        return []
    line = min(factors, key=lambda p: p.static).answer
    points = np.array([(hinge.x, hinge.z) for hinge in line.hinges]).reshape(-1, 2)
    return _round(_in_space(plan, worst.v, points))


def _ribs(plan: Plan, v0: float, v1: float) -> list[Any]:
    """The two ribs of the centring under an arch, under their lagging."""
    u = np.linspace(0.0, 1.0, RIB_POINTS)
    lagging = plan.job.site.lagging
    return [_round(plan.vault.point(u, v, -lagging)) for v in (v0, v1)]


def _step(step: LaidStep, voice: Voice) -> dict[str, Any]:
    return {
        "layer": step.layer,
        "tiles": step.tiles,
        "text": voice(step.text),
        "stop": voice(step.stop) if step.stop else None,
        "centring": step.setting,
    }
