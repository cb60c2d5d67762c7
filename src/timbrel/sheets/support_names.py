"""Supports as they are called on paper."""

from __future__ import annotations

from timbrel.words import Message, say


def support_name(name: str) -> Message:
    """A support as it is called on paper."""
    names = {
        "left": say("Left wall"),
        "right": say("Right wall"),
        "near": say("Near wall"),
        "far": say("Far wall"),
        "ring": say("Drum under the ring"),
    }
    return names.get(name) or say("Pier {corner}", corner=name)
