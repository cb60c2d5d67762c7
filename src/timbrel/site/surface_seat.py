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
from timbrel.site.rising_seat import rising_seat, square_to_seat
from timbrel.site.seat import Bearing, Seat, Springing, make_seat
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
        return tuple(replace(seat, bearing=_pressed(pushes, seat, vault)) for seat in seats)
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
                at.side, at.slope, at.length, at.thickness, _worst(pushes, at),
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


def _pressed(pushes: tuple[SupportPush, ...], seat: Seat, vault: Surface) -> Bearing | None:
    """The push that presses a rising seat most, in the bay that leans most against it."""
    worst: Bearing | None = None
    for push in pushes:
        if push.support != seat.side or push.force is None:
            continue
        force, pressed = (
            square_to_seat(seat, push.force.level, push.force.down),
            vault.thickness / 2,
        )
        if worst is None or force / pressed > worst.pressure:
            worst = Bearing(push.case.title, push.case.bound, force, pressed, force / pressed)
    return worst


def _worst(pushes: tuple[SupportPush, ...], at: Springing) -> Bearing | None:
    """The push that presses the seat most: its part square to the seat on half the thickness."""
    worst: Bearing | None = None
    for push in pushes:
        if push.support != at.side or push.force is None:
            continue
        force = push.force.level * math.cos(at.slope) + push.force.down * math.sin(at.slope)
        pressed = at.thickness / 2
        if worst is None or force / pressed > worst.pressure:
            worst = Bearing(push.case.title, push.case.bound, force, pressed, force / pressed)
    return worst
