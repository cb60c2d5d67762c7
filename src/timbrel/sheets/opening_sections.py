"""An opening cut through: shell, ring, bar and kerb on both sides of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import TrimmedOpening
from timbrel.shape.opened import PlacedOpening
from timbrel.shape.opened_plan import on_shell, way_along
from timbrel.sheets.board import Board, Picture, fitted, moved
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan

Floats = NDArray[np.float64]
BESIDE = 0.45
PLAN_BESIDE = 0.20
"""Shell drawn beyond the ring in the section of a barrel, and of a vault on a plan (m)."""


def plan_section(
    plan: Plan,
    opening: TrimmedOpening,
    placed: PlacedOpening,
    voice: Voice,
    room_mm: tuple[float, float],
) -> Picture:
    """Plumb across an opening of a vault on a plan, through its middle: shell, ring and kerb."""
    vault, web = plan.vault, plan.vault.webs[placed.web]
    middle = placed.plan.mean(axis=0)
    along = way_along(vault, placed.web, middle)
    across = np.array([-along[1], along[0]])
    reach = float(np.ptp(placed.plan @ across)) / 2
    flat = 2 * reach / placed.across

    def profile(t: Floats, offset: float = 0.0) -> Floats:
        uv, _ = on_shell(vault, placed.web, middle + np.asarray(t)[:, None] * across)
        points = np.asarray(web.point(uv[:, 0], uv[:, 1], offset))
        return np.column_stack([(points[:, :2] - middle) @ across, points[:, 2]])

    beyond = (placed.ring + PLAN_BESIDE) * flat
    wide = placed.across + 2 * (placed.ring + PLAN_BESIDE)

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: section", name=opening.name)
        board = Board(f"opening-section-{opening.number}", title, voice, scale)
        edges = []
        for way in (-1.0, 1.0):
            t = way * np.linspace(reach, reach + beyond, 33)
            t = t[np.isfinite(on_shell(vault, placed.web, middle + t[:, None] * across)[1])]
            for layer in vault.layers:
                for offset in (layer.inner, layer.outer):
                    board.line(profile(t, offset), "TILE")
            inner, outer = profile(t), profile(t, vault.thickness)
            _shell_cut(board, inner, outer)
            edges.append(inner[0])
            _ring_cut(board, plan, opening, profile, way * reach, way * placed.ring * flat)
        a, b = edges
        board.measure(a, b, away_mm=-18.0)
        # Both levels are told in the opening, clear of the shell and of a measure that slants.
        slants = abs(float(b[1] - a[1])) > board.paper(6.0)
        for edge, other, side in ((a, b, 1), (b, a, -1)):
            at = moved(edge, side * board.paper(1.0), 0.0)
            raised = 2.2 if slants and edge[1] < other[1] else -2.5
            board.level(at, float(edge[1]), say("edge"), side=side, raised_mm=raised)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (wide, 0.7), room_mm)[0]


def section_picture(
    plan: Plan,
    opening: TrimmedOpening,
    placed: PlacedOpening,
    voice: Voice,
    room_mm: tuple[float, float],
) -> Picture:
    """Across the vault through the middle of the opening: both trimmers with ring, kerb, bars."""
    vault, v = plan.vault, placed.middle[1]
    arc = placed.across / (placed.u[1] - placed.u[0])
    reach = (placed.ring + BESIDE) / arc
    sides = (
        (max(placed.u[0] - reach, 0.0), placed.u[0], -1.0),
        (placed.u[1], min(placed.u[1] + reach, 1.0), 1.0),
    )
    wide = placed.across + 2 * (placed.ring + BESIDE)

    def at_station(u: Floats, offset: float) -> Floats:
        return np.asarray(vault.profile(v, u, offset))

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: section", name=opening.name)
        board = Board(f"opening-section-{opening.number}", title, voice, scale)
        edges = []
        for start, end, way in sides:
            u = np.linspace(start, end, 33)
            for layer in vault.layers:
                for offset in (layer.inner, layer.outer):
                    board.line(vault.profile(v, u, offset), "TILE")
            inner, outer = vault.profile(v, u), vault.profile(v, u, vault.thickness)
            _shell_cut(board, inner, outer)
            edge = end if way < 0 else start
            edges.append(vault.profile(v, np.array([edge]))[0])
            _ring_cut(board, plan, opening, at_station, edge, way * placed.ring / arc)
        a, b = edges
        board.measure(a, b, away_mm=-9.0)
        board.level(moved(a, board.paper(1.0), 0.0), float(a[1]), say("edge"), raised_mm=-2.5)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (wide, 0.5), room_mm)[0]


def _shell_cut(board: Board, inner: Floats, outer: Floats) -> None:
    """The shell on one side of an opening, cut: both faces (n, 2), hatched, closed at both ends."""
    board.line(inner, "INTRADOS")
    board.line(outer, "EXTRADOS")
    shell = np.concatenate([inner, outer[::-1]])
    board.hatch([shell], "HALF HATCH", angle_deg=45, gap_mm=1.4)
    board.lines([(inner[0], outer[0]), (inner[-1], outer[-1])], "EDGE")


def _ring_cut(
    board: Board,
    plan: Plan,
    opening: TrimmedOpening,
    profile: Callable[[Floats, float], Floats],
    edge: float,
    width: float,
) -> None:
    """Ring tiles, bar and kerb over one trimmer. profile: points of the section at places along it
    and an offset; edge: place of the opening's edge; width: of the ring, signed, in the same."""
    vault, trimmer = plan.vault, plan.job.openings[opening.number - 1].trimmer
    thickness = plan.job.tiles[opening.ring[0].tile].thickness
    u = np.linspace(edge, edge + width, 9)
    offset = vault.thickness
    for _ in opening.ring:
        low, high = offset + trimmer.bed, offset + trimmer.bed + thickness
        ring = np.concatenate([profile(u, low), profile(u, high)[::-1]])
        board.line(ring, "TILE CUT", closed=True)
        board.hatch([ring], "CUT HATCH", angle_deg=135, gap_mm=1.2)
        offset = high
    if trimmer.bar is not None:
        middle = profile(np.array([edge + width / 2]), vault.thickness + trimmer.bed / 2)
        board.dot(middle[0], "EDGE", max(trimmer.bar * 1e3 / board.scale, 0.8), filled=True)
        spot = moved(middle[0], np.sign(width) * board.paper(9.0), board.paper(15.0))
        words = say("bar {bar:length}", bar=trimmer.bar)
        board.leader(middle[0], spot, words)
    foot = profile(np.array([edge, edge + width * min(
        trimmer.kerb_thickness / opening.ring_width, 1.0)]), offset)  # fmt: skip
    if opening.kerb_volume:
        top = foot + np.array([0.0, trimmer.kerb_height])
        kerb = np.array([foot[0], foot[1], top[1], top[0]])
        board.line(kerb, "WALL", closed=True)
        board.hatch([kerb], "WALL HATCH", angle_deg=45, gap_mm=1.6)
        if width > 0:
            board.measure(foot[1], top[1], away_mm=-5.0, angle=np.pi / 2)
