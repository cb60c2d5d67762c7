"""Which wall a seat is cut in, by its name and its data in the job."""

from __future__ import annotations

from typing import Literal

from timbrel.job.model import Job, Wall
from timbrel.words import Message, TimbrelError, say

Side = Literal["left", "right", "near", "far", "ring"]
"""Walls by their names; the ring of a dome stands on its drum."""


def wall_of_seat(job: Job, side: Side) -> Wall:
    """The wall that a seat is cut in: near and far as left and right where they are not stated; the
    drum of a dome is the left one."""
    walls = job.walls
    stated: dict[Side, Wall] = {
        "left": walls.left,
        "right": walls.right,
        "near": walls.near or walls.left,
        "far": walls.far or walls.right,
        "ring": walls.left,
    }
    return stated[side]


def wall_name(side: Side) -> Message:
    """The wall as it begins a sentence."""
    return {
        "left": say("Left wall"),
        "right": say("Right wall"),
        "near": say("Near wall"),
        "far": say("Far wall"),
        "ring": say("Drum"),
    }[side]


def refuse_depth(job: Job, side: Side, depth: float) -> None:
    """Refuse a chase that is as deep as its wall is thick."""
    wall = wall_of_seat(job, side)
    if wall.thickness is not None and depth >= wall.thickness:
        names: dict[Side, Message] = {
            "left": say("left"), "right": say("right"), "near": say("near"), "far": say("far"),
            "ring": say("drum"),
        }  # fmt: skip
        raise TimbrelError(
            say(
                "seat.depth is {given:length}, which cuts {depth:length} into the {side} wall, "
                "{thickness:length} thick; accepted: a chase that leaves wall behind it, or "
                "seat.kind corbel or ledger.",
                given=job.seat.depth,
                depth=depth,
                side=names[side],
                thickness=wall.thickness,
            ),
            key="seat.depth",
        )
