"""Why a room does not close: what each measure would have to be, and which one is likely wrong.

Four sides and two diagonals hold five unknowns: closure finds that something is wrong, never where.
A measure whose closing value is a swap of two digits or a slip of a whole unit away is marked. With
further measures each is left out in turn (data snooping, Baarda 1968): the one without which all
the rest close is the faulty one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from timbrel.shape.tape import Figure, Tape, fit
from timbrel.words import LengthUnit, Message, say

READING = 0.005
"""What honest tapes differ by, m: a closing value this near to a slip is that slip."""

CONTROLLED = 0.05
"""Share of an error that must show in a measure's own residual for its closure to mean something."""


@dataclass(frozen=True)
class Closing:
    """What a measure would be if all the others were right; None when they cannot close at all.

    slip: how the given value comes from the closing one by an ordinary mistake, if it does.
    """

    name: str
    given: float
    closing: float | None
    slip: Message | None

    @property
    def closure(self) -> float | None:
        """Given less closing, m."""
        return None if self.closing is None else self.given - self.closing


def closing_values(
    tapes: tuple[Tape, ...], figure: Figure | None, unit: LengthUnit = "mm"
) -> tuple[Closing, ...]:
    """For each measure, the value that closes the figure with all the others."""
    found = []
    for tape in tapes:
        others = tuple(t for t in tapes if t is not tape)
        without = fit(others, None if figure is None else figure.corners) or fit(others)
        closing = None if without is None else without.reads(tape)
        slip = None if closing is None else slip_between(tape.given, closing, unit)
        found.append(Closing(tape.name, tape.given, closing, slip))
    return tuple(found)


def worst_closure(closings: tuple[Closing, ...], figure: Figure) -> float:
    """The greatest closure among the measures that check the sides: diagonals and further ones, m.

    Each is the reading less what all the others make of it. Infinite when the others cannot close.
    """
    worst = 0.0
    for number, closing in enumerate(closings):
        if number < 4 or figure.redundancy[number] < CONTROLLED:
            continue
        worst = max(worst, float("inf") if closing.closure is None else abs(closing.closure))
    return worst


def suspects(tapes: tuple[Tape, ...], figure: Figure, warn: float) -> tuple[str, ...]:
    """Measures each of which, left out, lets all the rest close; empty with one spare measure.

    One name: it is found. Several: the further measures do not tell them apart. The rest closes
    when its spread is within half of `warn` (in a rectangle with its two diagonals the closure of
    a diagonal is twice the spread) and not three times that of the best, beyond honest reading.
    """
    if figure.spare < 2:
        return ()
    spreads = {}
    for tape in tapes:
        without = fit(tuple(t for t in tapes if t is not tape), figure.corners)
        if without is not None:
            spreads[tape.name] = without.spread
    limit = min(warn / 2, max(3 * min(spreads.values()), READING / 2))
    return tuple(name for name, spread in spreads.items() if spread <= limit)


def slip_between(given: float, closing: float, unit: LengthUnit = "mm") -> Message | None:
    """The ordinary mistake by which a `closing` value was read or noted as `given`, if any."""
    if abs(given - closing) <= READING:
        return None
    found: list[tuple[bool, float, Message]] = []
    steps = (0.3048, 0.0254) if unit == "ft" else (10.0, 1.0, 0.1, 0.01)
    for step in steps:
        off = abs(abs(given - closing) - step)
        if off <= min(READING, step / 4):
            found.append((False, off, say("a slip of {step:length}?", step=step)))
    for swapped, apart in _swaps(given):
        off = abs(swapped - closing)
        if off <= READING:
            said = say("two digits exchanged, {meant:length}?", meant=swapped)
            # Digits that do not stand side by side are rarely exchanged: the last thing to think of.
            found.append((apart > 1, off, said))
    return min(found, key=lambda mistake: mistake[:2])[2] if found else None


def _swaps(given: float) -> list[tuple[float, int]]:
    """The reading with two of its digits in millimetres exchanged, and how far they stand apart."""
    digits = str(round(given * 1e3))
    swapped = []
    for i, j in combinations(range(len(digits)), 2):
        new = list(digits)
        new[i], new[j] = new[j], new[i]
        if new[0] != "0" and digits[i] != digits[j]:
            swapped.append((int("".join(new)) * 1e-3, j - i))
    return swapped
