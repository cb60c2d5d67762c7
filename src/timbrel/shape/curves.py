"""Drawing a directrix from what the mason states: kind, span and rise.

Each kind allows a range of rises; outside it the job is refused with that range.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from timbrel.shape.directrix import Directrix
from timbrel.shape.planecurve import Arc, ArcChain, CatenaryProfile, ParabolaProfile, SlopeCurve
from timbrel.words import Message, TimbrelError, say

LEAST_RISE = 1 / 40
"""Least rise over span. Common practice is 1/10 and more; a flatter curve is a slip of the unit."""
MOST_RISE = 3.0
"""Greatest rise over span of the curves that have no limit of their own."""
LEAST_RADIUS = 0.05
"""No tile can be laid on a tighter arc, m."""


def directrix(
    kind: str, span: float, rise: float | None, haunch_radius: float | None = None
) -> Directrix:
    """The directrix of a `kind` over a `span` with a `rise` (m).

    Only the semicircle needs no rise. Raises TimbrelError when the curve does not allow the rise,
    with the range that it does.
    """
    if kind == "semicircle":
        rise = _semicircle_rise(span, rise)
    if rise is None:
        least, most = rise_range(kind, span)
        raise TimbrelError(
            say(
                "curve.rise is missing: the curve {kind} over a span of {span:length} wants a rise "
                "from {least:length} to {most:length}.",
                kind=kind,
                span=span,
                least=least,
                most=most,
            ),
            key="curve.rise",
        )
    _refuse_rise(kind, span, rise)
    if kind == "three-centre":
        return _three_centre(span, rise, haunch_radius)
    return _DRAWN[kind](span, rise)


def rise_range(kind: str, span: float) -> tuple[float, float]:
    """Least and greatest rise that a curve of this kind allows over a span."""
    half = span / 2
    if kind == "semicircle":
        return half, half
    if kind == "pointed":
        return half * (1 + 1e-6), MOST_RISE * span
    if kind in ("segment", "three-centre"):
        return LEAST_RISE * span, half
    return LEAST_RISE * span, MOST_RISE * span


def _refuse_rise(kind: str, span: float, rise: float) -> None:
    least, most = rise_range(kind, span)
    if least - 1e-9 <= rise <= most + 1e-9:
        return
    more: list[Message] = []
    if rise < least <= 10 * rise <= most:
        more.append(say("Was a rise of {rise:length} meant?", rise=10 * rise))
    if kind == "pointed" and rise < least:
        more.append(say("A lower rise can be a segment, a three-centre curve or a parabola."))
    if kind in ("segment", "three-centre") and rise > most:
        more.append(say("A higher rise can be a catenary, a parabola or a pointed curve."))
    raise TimbrelError(
        say(
            "curve.rise is {rise:length}; the curve {kind} over a span of {span:length} accepts "
            "{least:length} to {most:length}.",
            rise=rise,
            kind=kind,
            span=span,
            least=least,
            most=most,
        ),
        key="curve.rise",
        more=tuple(more),
    )


def _semicircle_rise(span: float, rise: float | None) -> float:
    if rise is not None and abs(rise - span / 2) > 0.001:
        raise TimbrelError(
            say(
                "curve.rise is {rise:length}, but a semicircle over a span of {span:length} rises "
                "{half:length}: leave the rise out, or choose another curve.",
                rise=rise,
                span=span,
                half=span / 2,
            ),
            key="curve.rise",
        )
    return span / 2


def _segment(span: float, rise: float, kind: str = "segment") -> Directrix:
    radius = span * span / (8 * rise) + rise / 2
    half = 2 * math.atan(2 * rise / span)
    arc = Arc((span / 2, rise - radius), radius, half, -half)
    return Directrix(kind, span, rise, ArcChain((arc,)))


def _semicircle(span: float, rise: float) -> Directrix:
    return _segment(span, rise, "semicircle")


def _catenary(span: float, rise: float) -> Directrix:
    """a (cosh(span/(2 a)) - 1) = rise, solved for h = span/(2 a) by Newton from above.

    (cosh h - 1)/h is convex and rising, so Newton from a start beyond the root falls onto it.
    """
    wanted = 2 * rise / span
    h = max(2 * wanted, 2 * math.asinh(2 * wanted) + 1)
    for _ in range(100):
        miss = (math.cosh(h) - 1) / h - wanted
        step = miss / ((h * math.sinh(h) - math.cosh(h) + 1) / (h * h))
        h -= step
        if abs(step) < 1e-15 * h:
            break
    profile = CatenaryProfile(span / (2 * h))
    return Directrix("catenary", span, rise, SlopeCurve(profile, -math.sinh(h), math.sinh(h)))


def _parabola(span: float, rise: float) -> Directrix:
    profile = ParabolaProfile(span * span / (8 * rise))
    return Directrix("parabola", span, rise, SlopeCurve(profile, -4 * rise / span, 4 * rise / span))


def _pointed(span: float, rise: float) -> Directrix:
    """Two arcs struck from the springing chord, meeting at the crown."""
    radius = (span * span / 4 + rise * rise) / span
    crown = math.asin((radius - span / 2) / radius)
    left = Arc((radius, 0.0), radius, math.pi / 2, crown)
    right = Arc((span - radius, 0.0), radius, -crown, -math.pi / 2)
    return Directrix("pointed", span, rise, ArcChain((left, right)))


def _three_centre(span: float, rise: float, haunch: float | None) -> Directrix:
    """Haunch arcs struck from the chord, a crown arc from below, tangent to each other.

    Without a haunch radius: three arcs of 60 degrees, the common construction.
    """
    half = span / 2
    if haunch is None:
        haunch = (rise - (2 - math.sqrt(3)) * half) / (math.sqrt(3) - 1)
    most = min(rise, half)
    if abs(rise - half) < 1e-9:
        return _segment(span, rise, "three-centre")
    if not LEAST_RADIUS <= haunch < most - 1e-6:
        raise TimbrelError(
            say(
                "curve.haunch_radius comes to {haunch:length}; a three-centre curve of span "
                "{span:length} and rise {rise:length} accepts {least:length} to less than "
                "{most:length}.",
                haunch=haunch,
                span=span,
                rise=rise,
                least=LEAST_RADIUS,
                most=most,
            ),
            key="curve.haunch_radius",
        )
    crown = ((half - haunch) ** 2 + rise**2 - haunch**2) / (2 * (rise - haunch))
    turn = math.atan2(half - haunch, crown - rise)
    arcs = (
        Arc((haunch, 0.0), haunch, math.pi / 2, turn),
        Arc((half, rise - crown), crown, turn, -turn),
        Arc((span - haunch, 0.0), haunch, -turn, -math.pi / 2),
    )
    return Directrix("three-centre", span, rise, ArcChain(arcs))


_DRAWN: dict[str, Callable[[float, float], Directrix]] = {
    "segment": _segment,
    "semicircle": _semicircle,
    "catenary": _catenary,
    "parabola": _parabola,
    "pointed": _pointed,
}
