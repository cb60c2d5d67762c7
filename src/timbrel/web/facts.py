"""The few figures that tell one variant of a job from another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.bond.layout import Piece
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan


@dataclass(frozen=True)
class Fact:
    """One figure. value: SI, None when the job does not let it be told; unit: a word after it."""

    label: Message
    value: float | None
    kind: str
    unit: str = ""

    def spoken(self, voice: Voice) -> str:
        """The figure in the reader's language and unit."""
        return f"{voice.quantity(self.value, self.kind)} {self.unit}".strip()


def facts(plan: Plan) -> tuple[Fact, ...]:
    """Thickness, thrust, tiles, cuts, mass, hours, days and price of a plan."""
    thrusts = [t for t in plan.statics.thrusts if getattr(t, "kind", "wall") == "wall"]
    # Walls all round press on each other without bound: no greatest thrust is told.
    bounded = [t for t in thrusts if not hasattr(t, "kind")]
    layers = plan.bond.layers
    quote = plan.takeoff.quote
    programme = plan.site.programme
    cuts = sum(layer.number_of(Piece.CUT) + layer.number_of(Piece.HALF) for layer in layers)
    priced = quote.likely.total > 0
    return (
        Fact(say("Thickness of the shell"), plan.vault.thickness, "length"),
        Fact(say("Least thrust"), _least(t.least for t in thrusts), "line_load"),
        Fact(say("Greatest thrust"), _most(t.greatest for t in bounded), "line_load"),
        Fact(say("Tiles in the work"), sum(layer.count for layer in layers), "count"),
        Fact(say("Tiles to order"), sum(nest.bought for nest in plan.bond.cuts.nests), "count"),
        Fact(say("Pieces to cut"), cuts, "count"),
        Fact(say("Mass to lift"), plan.takeoff.mass, "mass"),
        Fact(say("Hours of the crew"), programme.work, "hours"),
        Fact(say("Working days"), programme.days, "ratio"),
        Fact(say("Price, likely"), quote.likely.total if priced else None, "money", quote.currency),
    )


def _told(values: object) -> list[float]:
    return [v for v in values if v is not None]  # type: ignore[attr-defined]


def _least(values: object) -> float | None:
    return min(_told(values), default=None)


def _most(values: object) -> float | None:
    return max(_told(values), default=None)
