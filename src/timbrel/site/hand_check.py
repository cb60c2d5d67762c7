"""A page that an engineer can follow with a pencil, beside the program's answer.

Three-pinned arch by statics: thrust = moment of a beam of the same span about mid span, over the
rise. The load is taken as an even part w and, on the haunches, a part that falls as a parabola
from w_h at the springings to nothing at the crown:

    H = (w L^2/8 + w_h L^2/48) / f

The thrust line may stand anywhere in the thickness t, so its rise may be from f - t (with the
span of the extrados) to f + t (with the span of the intrados): the hand gives a range, and so does
the program. They must agree but for what the shape of the fill explains.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.statics.strip import Strip
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.proof import Statics
    from timbrel.statics.station import Station

EXPLAINED = 0.01
"""What a haunch load that is no true parabola may explain, share of the thrust (derived: over
segments from a tenth to a third of the span, bare and filled, the most that was found is 0.2 %, of
a solid fill at a third; see the tests)."""


@dataclass(frozen=True)
class HandCase:
    """One load. even: w, N/m2. haunch: w_h at the springings, N/m2. thrust: by hand about the
    middle line, N/m. low, high: by hand with the line at its highest and lowest in the thickness;
    high is infinite where the rise is less than the thickness. least, greatest: the program's.
    apart: share by which the program's range leaves the hand's, 0 when it lies inside."""

    title: Message
    even: float
    haunch: float
    thrust: float
    low: float
    high: float
    least: float
    greatest: float

    @property
    def apart(self) -> float:
        """Share by which the program's range stands outside the hand's."""
        under = (self.low - self.least) / self.low if self.low > 0 else 0.0
        over = 0.0 if math.isinf(self.high) else (self.greatest - self.high) / self.high
        return max(under, over, 0.0)


@dataclass(frozen=True)
class HandCheck:
    """The figures of the page. station: where. span, rise: of the middle line, m. inner_span,
    outer_span: of the intrados and the extrados, m. thickness: plumb, m. cases: dead load, and
    imposed on the full span. lines: the sums in words."""

    station: Message
    span: float
    inner_span: float
    outer_span: float
    rise: float
    thickness: float
    cases: tuple[HandCase, ...]
    lines: tuple[Message, ...]


def parabola_thrust(even: float, haunch: float, span: float, rise: float) -> float:
    """H = (w L^2/8 + w_h L^2/48)/f, N/m (statics; derived)."""
    return (even / 8 + haunch / 48) * span**2 / rise


def split_load(x: np.ndarray, weight: np.ndarray, span: float) -> tuple[float, float]:
    """Even part and haunch part (N/m2) of weights (N/m) at places x from the middle of the span.

    Chosen so that the total and the moment of half of it about the middle are kept: a pencil does
    the same with the centre of gravity of the haunch.
    """
    total = float(weight.sum())
    moment = float((weight * np.abs(x)).sum()) / 2
    # w L + w_h L/3 = W;  w L^2/8 + w_h L^2/16 = M of a half about the middle.
    system = np.array([[span, span / 3], [span**2 / 8, span**2 / 16]])
    even, haunch = np.linalg.solve(system, [total, moment])
    return float(even), float(haunch)


def _measures(strip: Strip) -> tuple[float, float, float]:
    """Level span, plumb rise over the chord, and plumb thickness of the middle line: on a flight
    H = w L^2/(8 f) holds with these, not with lengths along the slope."""
    middle = strip.shell_middle
    run, climb = middle[-1] - middle[0]
    chord = middle[0, 1] + climb / run * (middle[:, 0] - middle[0, 0])
    lean = run / math.hypot(run, climb)
    thickness = float(strip.shell_thickness.mean()) / lean
    return float(run), float(np.max(middle[:, 1] - chord)), thickness


def free_part(
    strip: Strip, loads: list[tuple[np.ndarray, np.ndarray]]
) -> tuple[Strip, list[tuple[np.ndarray, np.ndarray]]]:
    """What stands free between the backing of both haunches, with its loads: there a pencil takes
    the vault to spring. All of it without backing."""
    if strip.backing is None or not (strip.backing > 0).any():
        return strip, loads
    free = np.flatnonzero(strip.backing == 0)
    a, b = int(free[0]), int(free[-1])
    part = Strip(strip.inner[a : b + 1], strip.shell_outer[a : b + 1], strip.friction)
    return part, [(force[a:b], at[a:b]) for force, at in loads]


def _face_spans(strip: Strip) -> tuple[float, float]:
    """Level spans of the inner and the outer face."""
    inner, outer = (float(line[-1, 0] - line[0, 0]) for line in (strip.inner, strip.shell_outer))
    return inner, outer


def _case(
    station: Station, key: str, loads: list[tuple[np.ndarray, np.ndarray]]
) -> HandCase | None:
    lines = {c.bound: c.line for c in station.cases if c.load == key}
    title = next((c.title for c in station.cases if c.load == key), None)
    if title is None or len(lines) < 2:
        return None
    strip, loads = free_part(station.actions.strip, loads)
    span, rise, thickness = _measures(strip)
    middle = float(strip.shell_middle[[0, -1], 0].mean())
    x = np.concatenate([at[:, 0] for _, at in loads]) - middle
    weight = np.concatenate([-force[:, 1] for force, _ in loads])
    even, haunch = split_load(x, weight, span)
    inner, outer = _face_spans(strip)
    high = math.inf
    if rise > thickness:
        high = parabola_thrust(even, haunch, outer, rise - thickness)
    return HandCase(
        title=title,
        even=even,
        haunch=haunch,
        thrust=parabola_thrust(even, haunch, span, rise),
        low=parabola_thrust(even, haunch, inner, rise + thickness),
        high=high,
        least=lines["least"].thrust,
        greatest=lines["greatest"].thrust,
    )


def hand_check(statics: Statics) -> HandCheck | None:
    """The page for the worst station; None when the vault has no thrust line to compare."""
    station = statics.worst
    dead = [(load.force, load.at) for load in station.actions.permanent]
    cases = [_case(station, "dead", dead)]
    full = next((p.load for p in station.actions.patterns if p.kind == "full"), None)
    if full is not None:
        cases.append(_case(station, "full", [*dead, (full.force, full.at)]))
    found = tuple(case for case in cases if case is not None)
    if not found:
        return None
    strip, _ = free_part(station.actions.strip, [])
    span, rise, thickness = _measures(strip)
    inner, outer = _face_spans(strip)
    return HandCheck(station.title, span, inner, outer, rise, thickness, found,
                     _lines(found, span, rise, thickness))  # fmt: skip


def _lines(
    cases: tuple[HandCase, ...], span: float, rise: float, thickness: float
) -> tuple[Message, ...]:
    lines = [
        say(
            "L = {span:metres}, f = {rise:length}, t = {t:length}, all on the middle line.",
            span=span,
            rise=rise,
            t=thickness,
        )
    ]
    for case in cases:
        lines.append(
            say(
                "{title}: w = {even:pressure}, w_h = {haunch:pressure}; "
                "H = (w L²/8 + w_h L²/48)/f = {thrust:line_load}; with f + t and f - t from "
                "{low:line_load} to {high:line_load}. The program: {least:line_load} to "
                "{greatest:line_load}.",
                title=case.title,
                even=case.even,
                haunch=case.haunch,
                thrust=case.thrust,
                low=case.low,
                high=case.high,
                least=case.least,
                greatest=case.greatest,
            )
        )
    return tuple(lines)


def hand_checks(found: HandCheck | None) -> tuple[Check, ...]:
    """Does the program agree with the pencil, but for what the approximation explains?"""
    title = say("Program against hand check: thrust outside the hand's range")
    if found is None:
        reason = say("The vault has no thrust line, so there is nothing to compare.")
        apart = None
    else:
        worst = max(found.cases, key=lambda case: case.apart)
        apart = worst.apart
        if apart > EXPLAINED:
            reason = say(
                "Under {load} the program's {least:line_load} to {greatest:line_load} leave the "
                "hand's {low:line_load} to {high:line_load} by more than the approximation "
                "explains: look at the loads and the curve before relying on either.",
                load=worst.title,
                least=worst.least,
                greatest=worst.greatest,
                low=worst.low,
                high=worst.high,
            )
        else:
            reason = say(
                "Under {load}: by hand {thrust:line_load}, the program {least:line_load} to "
                "{greatest:line_load}.",
                load=worst.title,
                thrust=worst.thrust,
                least=worst.least,
                greatest=worst.greatest,
            )
    return (
        judge(
            "site.hand-check",
            title,
            apart,
            EXPLAINED,
            kind="percent",
            at_least=False,
            reason=reason,
            source="statics of the three-pinned arch, w L^2/(8 f)",
        ),
    )
