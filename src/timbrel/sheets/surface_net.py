"""The strut net on paper: struts by force over the plan, thrust at the supports, the mechanism."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import Board, Picture, fitted
from timbrel.sheets.surface_mechanism import mechanism_picture
from timbrel.statics.mechanism_figures import MechanismFigures, mechanism_figures
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.statics.net import Net, NetAnswer
    from timbrel.statics.net_proof import NetProof

Floats = NDArray[np.float64]
SHOWN = 0.01
"""Struts under this share of the greatest force are left out."""
CLASSES = ((0.30, "STRUT HEAVY"), (0.10, "STRUT"), (SHOWN, "STRUT LIGHT"))
"""Least share of the greatest force in each class, and its layer."""
ARROW_MM = 16.0
FORCE_MM = 2.0
"""Length of the longest arrow, height of the letters beside it."""
MOVED_MM = 10.0
STILL = 0.02


def net_pictures(
    plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float], whole_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """The state that governs, the mechanism of the net and the one that bounds it from above; the
    coarse one before the proof. whole_mm: room for the first where it stands alone."""
    shown = plan.statics.shown
    if shown is None:
        return ()
    net, answer, title = shown.net, shown.answer, shown.title
    size = np.ptp(np.asarray(plan.room.corners)[:, :2], axis=0)
    upper = _bounded(plan.statics.proof)
    moves = float(np.abs(answer.velocity).max()) > 0

    def draw(scale: int) -> tuple[Picture, ...]:
        made = [_struts(plan, net, answer, title, voice, scale)]
        if moves:
            made.append(_mechanism(plan, net, answer, title, voice, scale))
        if upper is not None:
            made.append(mechanism_picture(plan, *upper, voice, scale, _outline))
        return tuple(made)

    room = room_mm if moves or upper is not None else whole_mm
    return fitted(draw, (float(size[0]), float(size[1])), room)


def _bounded(proof: NetProof | None) -> tuple[MechanismFigures, Message] | None:
    """The least mechanism of all patterns that have one, and the load that it bounds."""
    found = [
        (figures, factor.title)
        for factor in (proof.factors if proof else ())
        if (figures := mechanism_figures(factor.upper.mechanism)) is not None
    ]
    return min(found, key=lambda f: f[0].factor, default=None)


def _outline(board: Board, plan: SurfacePlan) -> None:
    room = np.asarray(plan.room.corners)[:, :2]
    board.line(room, "ROOM", closed=True)
    for edge in plan.vault.edges:
        if edge.kind != "wall arch":
            board.line(edge.points[:, :2], "AXIS")
    for opening in plan.bond.openings:
        board.line(opening.plan, "EDGE", closed=True)
    middle = room.mean(axis=0)
    # Where the vault stands on its corners the pushes run out along the diagonals.
    aside = np.array([1.0, 0.0] if plan.vault.on_corners else [1.0, 1.0]) * board.paper(5.0)
    for letter, corner in zip("ABCD", room, strict=True):
        place = corner + np.sign(corner - middle) * aside
        board.text(place, letter, height_mm=3.5, bold=True)


def _struts(
    plan: SurfacePlan, net: Net, answer: NetAnswer, title: Message, voice: Voice, scale: int
) -> Picture:
    board = Board("net-struts", say("Struts, {load}", load=title), voice, scale)
    _outline(board, plan)
    start, end = net.struts.ends(net.grid)
    most = float(answer.force.max(initial=0.0))
    upper = np.inf
    for least, layer in CLASSES:
        chosen = (answer.force >= least * most) & (answer.force < upper * most)
        pairs = zip(start[chosen, :2], end[chosen, :2], strict=True)
        board.lines(pairs, layer)
        upper = least
    _reactions(board, net, answer, voice)
    return board.finish(
        margin_mm=2.0, notes=(say("Greatest force in a strut {force:force}.", force=most),)
    )


def _reactions(board: Board, net: Net, answer: NetAnswer, voice: Voice) -> None:
    """Level part of what the vault puts on each support, from the middle of its nodes."""
    pushes = []
    for support in net.grid.supports:
        on = -answer.reaction[support.nodes]
        if support.name == "ring":
            pushes += [
                (net.grid.middle[n, :2], on[k, :2])
                for k, n in enumerate(support.nodes)
                if k % max(1, len(support.nodes) // 16) == 0
            ]
            continue
        pushes.append((net.grid.middle[support.nodes, :2].mean(axis=0), on[:, :2].sum(axis=0)))
    most = max((float(np.hypot(*push)) for _, push in pushes), default=0.0)
    for place, push in pushes:
        size = float(np.hypot(*push))
        if size <= STILL * most:
            continue
        tip = place + push / most * board.paper(ARROW_MM)
        board.arrow(tip, place, "THRUST")
        spot, said = tip + push / size * board.paper(4.0), voice.quantity(size, "force")
        board.clear_ground(spot, said, height_mm=FORCE_MM)
        board.text(spot, said, height_mm=FORCE_MM)


def _mechanism(
    plan: SurfacePlan, net: Net, answer: NetAnswer, title: Message, voice: Voice, scale: int
) -> Picture:
    """How the net would give way: up strokes and down rings at its lines, by their speed."""
    board = Board("net-mechanism", say("How it would give way, {load}", load=title), voice, scale)
    _outline(board, plan)
    speed = answer.velocity[:, 2]
    for place, up in zip(net.grid.middle[:, :2], speed, strict=True):
        if abs(up) < STILL:
            continue
        size = board.paper(MOVED_MM / 2 * abs(float(up)))
        if up > 0:
            half = np.eye(2) * size / 2
            board.lines([(place - half[k], place + half[k]) for k in (0, 1)], "HINGE")
        else:
            board.dot(place, "HINGE", MOVED_MM / 2 * abs(float(up)))
    return board.finish(
        margin_mm=2.0,
        notes=(say("Rings sink, crosses rise; the larger, the faster."),),
    )
