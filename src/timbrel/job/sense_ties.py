"""Do the keys of the ties fit each other and the vault that they hold?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from timbrel.job.measured import Curve
from timbrel.job.refusals import Fault
from timbrel.job.supports import Ties
from timbrel.words import say

Layout = Literal["across", "round"]

LAYOUTS: dict[str, tuple[Layout, ...]] = {
    "barrel": ("across",),
    "flight": ("across",),
    "groin": ("round",),
    "dome": ("round",),
    "cloister": ("round", "across"),
    "sail": ("round", "across"),
}
"""How ties may lie under a vault of each family on its walls; the first where the job does not say."""
FRAMED = ("cloister", "sail")
"""Families on four walls, which a tie round the plan holds as a frame."""


def layouts_of(curve: Curve) -> tuple[Layout, ...]:
    """How ties may lie under a vault: on corners from pier to pier, whatever its family."""
    return LAYOUTS["groin"] if curve.on_corners else LAYOUTS[curve.family]


def layout_of(ties: Ties, curve: Curve) -> Layout:
    """How the ties lie: as stated, or as the family's lie."""
    return ties.layout or layouts_of(curve)[0]


def framed(ties: Ties, curve: Curve) -> bool:
    """Do the ties lie round four walls, each of which bears its push to the corners."""
    round_about = layout_of(ties, curve) == "round"
    return round_about and curve.family in FRAMED and not curve.on_corners


def tie_faults(ties: Ties, curve: Curve) -> Iterator[Fault]:
    """Ties that lie where none can, and ties that lack what they are made of."""
    family, allowed = curve.family, layouts_of(curve)
    if ties.layout is not None and ties.layout not in allowed:
        yield Fault(
            "walls.ties.layout",
            say(
                "walls.ties.layout is {given} under a vault of kind {family}; accepted: {accepted}.",
                given=ties.layout,
                family=family,
                accepted=", ".join(allowed),
            ),
        )
    layout = layout_of(ties, curve)
    if layout == "across" and ties.spacing is None:
        yield Fault(
            "walls.ties.spacing",
            say("walls.ties lie across the vault and have no spacing; accepted: a length."),
        )
    if layout == "round" and ties.spacing is not None and family != "dome":
        yield Fault(
            "walls.ties.spacing",
            say(
                "walls.ties.spacing is {given:length}, but these ties lie round the plan, one on "
                "each side; accepted: no spacing, or layout across where the vault stands on walls.",
                given=ties.spacing,
            ),
        )
    if ties.band is not None and not framed(ties, curve):
        yield Fault(
            "walls.ties.band",
            say(
                "walls.ties.band is {given:length}, but no wall carries a push to its corners here; "
                "accepted: only with ties round a cloister or a sail.",
                given=ties.band,
            ),
        )
    yield from made_faults(ties, ringed=family == "dome")


def made_faults(ties: Ties, *, ringed: bool = False) -> Iterator[Fault]:
    """A tie without an anchor (a closed ring needs none), or without the sizes of its kind."""
    if ties.anchor is None and not ringed:
        yield Fault(
            "walls.ties.anchor",
            say(
                "walls.ties has no anchor; accepted: walls.ties.anchor with the side and thickness "
                "of the plate at each end."
            ),
        )
    round_bar, flat = ("diameter",), ("width", "thickness")
    own: tuple[str, ...] = flat if ties.kind == "flat" else round_bar
    other: tuple[str, ...] = round_bar if ties.kind == "flat" else flat
    for name in own:
        if getattr(ties, name) is None:
            yield Fault(
                f"walls.ties.{name}",
                say(
                    "walls.ties is a {kind} without {name}; accepted: a size in mm.",
                    kind=ties.kind,
                    name=name,
                ),
            )
    for name in other:
        if getattr(ties, name) is not None:
            yield Fault(
                f"walls.ties.{name}",
                say(
                    "walls.ties is a {kind} with {name} {given:length}; accepted: {names} alone.",
                    kind=ties.kind,
                    name=name,
                    given=getattr(ties, name),
                    names=", ".join(own),
                ),
            )
    if ties.kind == "flat" and ties.hole >= (ties.width or ties.hole + 1.0):
        yield Fault(
            "walls.ties.hole",
            say(
                "walls.ties.hole is {hole:length} in a flat of {width:length}; accepted: a hole "
                "smaller than the width.",
                hole=ties.hole,
                width=ties.width,
            ),
        )
    grip = 2 * (ties.diameter or 0.0) if ties.kind == "bar" else ties.width or 0.0
    if ties.anchor is not None and ties.anchor.side <= grip:
        yield Fault(
            "walls.ties.anchor.side",
            say(
                "walls.ties.anchor.side is {side:length}; accepted: over {grip:length}, the width "
                "of the nut (twice the bar) or of the flat.",
                side=ties.anchor.side,
                grip=grip,
            ),
        )
    if ties.ultimate_strength < ties.yield_strength:
        yield Fault(
            "walls.ties.ultimate_strength",
            say(
                "walls.ties.ultimate_strength is {ultimate:stress} and the yield {given:stress}; "
                "accepted: at least the yield.",
                ultimate=ties.ultimate_strength,
                given=ties.yield_strength,
            ),
        )
