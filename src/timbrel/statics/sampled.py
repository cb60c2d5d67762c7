"""What samples of an uncertain vault come to: of a strip, or of a vault on a plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.sampling import rank_correlation
from timbrel.statics.strip import Array
from timbrel.words import Message


@dataclass(frozen=True)
class Influence:
    """Rank correlation of one input with the reserve of the vault: -1 to 1."""

    name: str
    title: Message
    correlation: float


@dataclass(frozen=True)
class Fitted:
    """How the samples of a vault on a plan were foretold.

    nets: that were solved and fitted. reserve_error, strength_error: share by which the reserve and
    what is left of the strength of a net left out was missed (root mean square; None where no strength
    is stated). thrust_error: the same of the thrust on the support that was foretold worst (None where
    no support is known). pattern: the imposed load beside the dead load, None without. checked:
    samples near the limit that were asked of a net of their own; turned: of them, those that came
    out otherwise than foretold. left_out: inputs that a net does not follow.
    """

    nets: int
    reserve_error: float
    strength_error: float | None
    thrust_error: float | None
    pattern: Message | None
    checked: int
    turned: int
    left_out: tuple[Message, ...]


@dataclass(frozen=True)
class Uncertain:
    """What the samples came to.

    reserve: (n,) thickness over least thickness. walls: (n,) least factor of the cracked walls or
    piers, nan when they are not known. failing: share of samples in which the vault, or a wall,
    fails. standard_error: of that share. influences: on the reserve of the vault, strongest first.
    seed: of the samples. strength: (n,) multiple of all loads at which the vault crushes, None where
    that is not sampled by itself. supports: influences on the walls, empty where they are not known.
    fitted: of a vault on a plan, None of a strip, each sample of which is solved.
    """

    reserve: Array
    walls: Array
    failing: float
    standard_error: float
    influences: tuple[Influence, ...]
    seed: int
    strength: Array | None = None
    supports: tuple[Influence, ...] = ()
    fitted: Fitted | None = None


def failing_share(fails: NDArray[np.bool_]) -> tuple[float, float]:
    """Share of the samples (n,) that fail, and its standard error."""
    share = float(np.mean(fails))
    return share, float(np.sqrt(share * (1 - share) / len(fails)))


def influences(
    inputs: Array, names: tuple[str, ...], titles: tuple[Message, ...], output: Array
) -> tuple[Influence, ...]:
    """Rank correlation of every input (n, k) with an output (n,), strongest first."""
    values = rank_correlation(inputs, output)
    found = [
        Influence(name, title, float(value))
        for name, title, value in zip(names, titles, values, strict=True)
    ]
    return tuple(sorted(found, key=lambda f: -abs(f.correlation)))
