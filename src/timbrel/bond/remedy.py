"""What would mend a lap that is too small: the layer turned, or its courses shifted, really laid.

Asked only where a lap fails, so that a bond that holds costs nothing more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product
from typing import get_args

from timbrel.bond.layout import Bond
from timbrel.job.materials import Layer
from timbrel.job.model import Job
from timbrel.verdict import Check, Verdict
from timbrel.words import Message, TimbrelError, say

LayAgain = Callable[[Job], Bond]
LAP = "bond.lap."


def with_remedies(bond: Bond, job: Job, lay: LayAgain) -> Bond:
    """The same bond; checks of laps that fail say what would help. lay: lays a job afresh."""
    checks = tuple(
        replace(check, reason=_helped(check, job, lay)) if _fails(check) else check
        for check in bond.checks
    )
    return replace(bond, checks=checks)


def _fails(check: Check) -> bool:
    return check.verdict is Verdict.FAILS and check.name.startswith(LAP)


def _helped(check: Check, job: Job, lay: LayAgain) -> Message:
    upper = int(check.name.rsplit("-", 1)[1])
    for layer in _others(job.layers[upper - 1], job.curve.family):
        layers = (*job.layers[: upper - 1], layer)
        try:
            tried = lay(job.model_copy(update={"layers": layers}))
        except TimbrelError:
            continue
        found = next(c for c in tried.checks if c.name == check.name)
        if found.verdict is Verdict.HOLDS:
            return say(
                "{reason} With layers.{number}.direction {direction} and stagger {stagger} this "
                "check holds.",
                reason=check.reason,
                number=upper - 1,
                direction=layer.direction,
                stagger=layer.stagger,
            )
    return say(
        "{reason} Turning layer {upper} or shifting its courses does not help: give it a tile "
        "whose length and width with their joints go with those of layer {lower}.",
        reason=check.reason,
        upper=upper,
        lower=upper - 1,
    )


def _others(layer: Layer, family: str) -> Iterator[Layer]:
    """The layer in every other direction and shift that the vault takes, its own direction first."""
    fields = Layer.model_fields
    directions = sorted(get_args(fields["direction"].annotation), key=layer.direction.__ne__)
    if family == "dome":  # rings run round or up, never at 45 degrees
        directions.remove("diagonal")
    for direction, stagger in product(directions, get_args(fields["stagger"].annotation)):
        other = layer.model_copy(update={"direction": direction, "stagger": stagger})
        if other != layer:
            yield other
