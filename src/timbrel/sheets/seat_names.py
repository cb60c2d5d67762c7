"""Seats by their names: which wall or corner, and what the shell sits on."""

from __future__ import annotations

from timbrel.words import Message, say


def side_name(side: str) -> Message:
    """Which wall the seat is cut in."""
    return {
        "left": say("Left wall, DA"),
        "right": say("Right wall, BC"),
        "near": say("Near wall, AB"),
        "far": say("Far wall, CD"),
        "ring": say("Drum"),
    }[side]


def kind_name(kind: str) -> Message:
    """What the shell sits on."""
    return {
        "chase": say("chase"),
        "corbel": say("corbel"),
        "ledger": say("ledger"),
        "bed": say("level bed"),
    }[kind]
