"""All combinations on one strip: which governs, the range of thrust, the reach of the line.

All combinations are asked of the strip's linear program together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.actions import StripActions
from timbrel.statics.combinations import Combination, combinations, variable_loads
from timbrel.statics.strip import Array, Strip, ThrustLine
from timbrel.statics.thickness import least_thicknesses
from timbrel.statics.thrust_program import Found, Question, ThrustProgram
from timbrel.words import Message


@dataclass(frozen=True)
class EnvelopeRow:
    """One combination: its least and greatest thrust (N/m at the left springing).

    None when the strip has no thrust line under it. lines: (least, greatest), None likewise.
    """

    combination: Combination
    least: float | None
    greatest: float | None
    lines: tuple[ThrustLine, ThrustLine] | None


@dataclass(frozen=True)
class Governing:
    """The combination that needs most of the thickness, among those for strength.

    share: least thickness over the thickness. line: the line that needs no more.
    """

    key: str
    leading: Message
    source: str
    share: float
    line: ThrustLine


@dataclass(frozen=True)
class Interaction:
    """Thrust against eccentricity at every joint under the governing combination.

    normal: (n + 1,) N/m. moment: (n + 1,) N, about the middle of the joint. thickness: (n + 1,).
    crushing: N/m2, None when it is not stated.
    """

    normal: Array
    moment: Array
    thickness: Array
    crushing: float | None

    @property
    def limits(self) -> Array:
        """(n + 1,) greatest moment at each joint: N t/2, less N^2/(2 f) where crushing is limited."""
        edge = self.normal * self.thickness / 2
        return edge if self.crushing is None else edge - self.normal**2 / (2 * self.crushing)

    @property
    def use(self) -> float:
        """Greatest share of the limit that is used."""
        return float(np.max(np.abs(self.moment) / np.maximum(self.limits, 1e-12)))


@dataclass(frozen=True)
class Envelope:
    """Every combination on one strip. governing is None when some combination has no line at all
    (`fallen` names those), at any thickness."""

    rows: tuple[EnvelopeRow, ...]
    governing: Governing | None
    interaction: Interaction | None

    @property
    def fallen(self) -> tuple[EnvelopeRow, ...]:
        """Combinations under which the strip has no thrust line."""
        return tuple(r for r in self.rows if r.least is None)


def envelope(acts: StripActions, loads: Loads) -> Envelope:
    """Ask every combination of one strip."""
    every = combinations(acts, loads)
    variable = variable_loads(acts)
    program = ThrustProgram(acts.strip, acts.dead, variable)
    least = program.answers([Question("least thrust", c.dead, c.factors) for c in every])
    greatest = program.answers([Question("greatest thrust", c.dead, c.factors) for c in every])
    rows = tuple(_row(*found) for found in zip(every, least, greatest, strict=True))
    governing = _governing(acts.strip, acts.dead, variable, rows)
    picture = None if governing is None else _interaction(acts.strip, governing.line)
    return Envelope(rows, governing, picture)


def _row(combination: Combination, least: Found | None, greatest: Found | None) -> EnvelopeRow:
    if least is None:
        return EnvelopeRow(combination, None, None, None)
    most = greatest or least
    lines = (least.line, most.line)
    return EnvelopeRow(combination, least.line.thrust, most.line.thrust, lines)


def _governing(
    strip: Strip, dead: Array, variable: Array, rows: tuple[EnvelopeRow, ...]
) -> Governing | None:
    """The strength combination of greatest need; None when no thickness would do for one."""
    asked = [r.combination for r in rows if r.combination.situation in ("STR", "accidental")]
    if not asked:
        return None
    needs = least_thicknesses(
        [(strip, c.dead * dead + np.tensordot(c.factors, variable, axes=1)) for c in asked]
    )
    found = [(c, least) for c, least in zip(asked, needs, strict=True) if least is not None]
    if len(found) < len(asked):
        return None
    c, least = max(found, key=lambda f: f[1].share)
    return Governing(c.key, c.leading, c.source, least.share, least.line)


def _interaction(strip: Strip, line: ThrustLine) -> Interaction:
    moment = line.normal * (line.position - line.thickness / 2)
    return Interaction(line.normal, moment, line.thickness, strip.crushing)
