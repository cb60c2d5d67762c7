"""Seats of vaults on a plan: a cloister on four level walls, a dome on its drum, a sail on the arches
that rise along its walls.

A groin stands on its corners and has none along its walls (:mod:`timbrel.site.corner_seat`).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.crossed import CrossedVault
from timbrel.shape.dome import Dome
from timbrel.shape.sail import Sail
from timbrel.shape.surface import Surface
from timbrel.site.rising_seat import rising_seat
from timbrel.site.seat import Bearing, Seat, Springing, bearing, governing, make_seat, pressing_most
from timbrel.site.seat_walls import Side
from timbrel.statics.support_push import SupportPush

STEP = 0.002
"""The slope at a springing is taken over so short a run from it, m, and carried back to it."""
SIDES: tuple[Side, ...] = ("near", "right", "far", "left")


def plan_surface_seats(
    job: Job, vault: Surface, pushes: tuple[SupportPush, ...] = ()
) -> tuple[Seat, ...]:
    """The seats of a cloister, a dome or a sail, with the pressure that a net's `pushes` put on
    them; none for a vault on its corners. Raises TimbrelError as `make_seat` does."""
    if vault.on_corners:
        return ()
    if isinstance(vault, Sail):
        ends = {"near": vault.room.near_end, "far": vault.room.far_end}
        walled = (k for k in range(4) if ends.get(SIDES[k]) not in ("free", "closing wall"))
        seats = (rising_seat(job, vault, k, SIDES[k]) for k in walled)
        return tuple(_pressed(pushes, seat, vault.thickness) for seat in seats)
    if isinstance(vault, Dome):
        springings = [_ring(vault)]
    elif isinstance(vault, CrossedVault) and vault.family == "cloister":
        springings = [_side(vault, k) for k in range(4)]
    else:
        return ()
    return tuple(
        make_seat(
            job,
            Springing(
                at.side, at.slope, at.length, at.thickness, _level(pushes, at),
                round_about=at.round_about,
            ),
        )
        for at in springings
    )  # fmt: skip


def _side(vault: CrossedVault, k: int) -> Springing:
    """The springing over side k, its slope at the middle of the wall."""
    start, end = np.asarray(vault.plan.side(k))
    along = (end - start)[:2]
    length = float(np.hypot(*along))
    inward = np.array([-along[1], along[0]]) / length
    middle = (start + end)[:2] / 2
    slope = _slope(vault, middle, inward)
    # The walls meet at the corners: turns go on round them, so none is cut from both sides at once.
    return Springing(SIDES[k], slope, length, vault.thickness, round_about=True)


def _ring(vault: Dome) -> Springing:
    radius = float(vault.rings(0.0).radius)
    middle = vault.centre[:2] - np.array([radius, 0.0])
    slope = _slope(vault, middle, np.array([1.0, 0.0]))
    return Springing("ring", slope, 2 * math.pi * radius, vault.thickness, round_about=True)


def _slope(vault: Surface, foot: np.ndarray, inward: np.ndarray) -> float:
    """Slope of the intrados at its foot, square to the wall: from two short steps inward."""
    points = foot + np.outer([STEP, 2 * STEP, 3 * STEP], inward)
    level = np.asarray(vault.height(points[:, 0], points[:, 1], 0.0))
    first, second = np.arctan2(np.diff(level), STEP)
    return float(first + 1.5 * (first - second))


def _pressed(pushes: tuple[SupportPush, ...], seat: Seat, thickness: float) -> Seat:
    """A rising seat with what the pushes put on it: in the bay that each of them presses most, and in
    the one that it slides on most."""
    slopes = [bay.slope for bay in seat.rising]
    bearings = governing(
        state
        for push in pushes
        if push.support == seat.side
        for slope in slopes
        for state in _on_seat(push, slope, thickness)
    )
    return replace(seat, bearing=pressing_most(bearings), bearings=bearings)


def _level(pushes: tuple[SupportPush, ...], at: Springing) -> tuple[Bearing, ...]:
    """What the pushes put on a seat that is level all along."""
    return governing(
        state
        for push in pushes
        if push.support == at.side
        for state in _on_seat(push, at.slope, at.thickness)
    )


def _on_seat(push: SupportPush, slope: float, thickness: float) -> tuple[Bearing, ...]:
    """The parts of a push square to a seat and in it; none where it is not known a metre."""
    force = push.force
    if force is None:
        return ()
    square = force.level * math.cos(slope) + force.down * math.sin(slope)
    along = force.level * math.sin(slope) - force.down * math.cos(slope)
    return (bearing(push.case.title, push.case.bound, square, along, thickness / 2),)
