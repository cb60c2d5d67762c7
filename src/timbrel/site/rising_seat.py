"""The seat of a vault whose springing rises along its wall: a sail, on the arch it draws there.

The chase follows that arch and its face leans another way in every bay. Each bay is cut as one
prism with the slope at its middle; the section square to the wall cuts the shell at a slant along
the wall, so that it is thicker there than square to its faces.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.sail import Sail
from timbrel.site.seat import BULKING, Seat, SeatBay, Springing, make_seat
from timbrel.site.seat_shape import chase_section, polygon_area
from timbrel.site.seat_walls import Side, refuse_depth
from timbrel.words import say


def rising_seat(job: Job, vault: Sail, k: int, side: Side) -> Seat:
    """The seat on wall `k` of a sail (AB, BC, CD, DA). Raises TimbrelError as `make_seat` does.

    slope, section and angle are those of the bay that is cut deepest; depth and height the greatest
    of all bays; length that of the wall in plan.
    """
    start, end = np.asarray(vault.plan.side(k))
    length = float(np.hypot(*(end - start)[:2]))
    along = np.append((end - start)[:2], 0.0) / length
    inward = np.array([-along[1], along[0], 0.0])
    whole = make_seat(job, Springing(side, 0.0, length, vault.thickness, round_about=True))
    count = whole.bays
    ends = vault.rim(k, n=count + 1)
    middles = vault.rim(k, n=2 * count + 1)[1::2]
    normals = _normals(vault, k, count)
    lean, up = normals @ inward, normals[:, 2]
    slopes = np.arctan2(-lean, up)
    thick = vault.thickness / np.hypot(lean, up)
    made = [
        make_seat(job, Springing(side, float(a), length, float(t), round_about=True))
        for a, t in zip(slopes, thick, strict=True)
    ]
    # Where one bay is too steep for a chase, the whole wall has what that bay has.
    kind = made[int(np.argmax(np.abs(slopes)))].kind
    if any(seat.kind != kind for seat in made):
        stated = job.model_copy(update={"seat": job.seat.model_copy(update={"kind": kind})})
        return rising_seat(stated, vault, k, side)
    bays = tuple(
        SeatBay(
            number=n + 1,
            start=float((ends[n] - ends[0]) @ along),
            end=float((ends[n + 1] - ends[0]) @ along),
            start_level=float(ends[n, 2]),
            level=float(middles[n, 2]),
            end_level=float(ends[n + 1, 2]),
            slope=float(slopes[n]),
            depth=seat.depth,
        )
        for n, seat in enumerate(made)
    )
    deepest = max(made, key=lambda seat: (seat.depth, seat.stands_out))
    refuse_depth(job, side, deepest.depth)
    runs = np.linalg.norm(np.diff(ends, axis=0), axis=1)
    debris = 0.0
    if kind == "chase":
        sections = [
            chase_section(float(a), float(t), job.seat.depth, job.seat.clearance)
            for a, t in zip(slopes, thick, strict=True)
        ]
        areas = np.array([polygon_area(section) for section in sections])
        debris = float(areas @ runs) * BULKING
    note = say(
        "The seat follows the arch that the vault draws on this wall: strike that line first, then "
        "cut each bay to its own level and lean, as the table has them. Cut back to sound masonry, "
        "brush, wet."
    )
    return replace(
        deepest,
        height=max(seat.height for seat in made),
        stands_out=max(seat.stands_out for seat in made),
        debris=debris,
        rising=bays,
        notes=(note, *(n for n in deepest.notes if "{angle" not in n.msgid)),
    )


def _normals(vault: Sail, k: int, count: int) -> np.ndarray:
    """(count, 3) unit normals of the intrados at the middles of the bays of wall `k`."""
    t = (np.arange(count) + 0.5) / count
    zero, one = np.zeros(count), np.ones(count)
    p, q = ((t, zero), (one, t), (1 - t, one), (zero, 1 - t))[k]
    u, v, _ = vault.over(p, q)
    return np.asarray(vault.normal(u, v))
