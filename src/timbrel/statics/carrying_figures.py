"""The load path as plain figures for plan.json: what the notes and sheets show, no working data."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.statics.carrying import Carrying
from timbrel.statics.combinations import Situation
from timbrel.statics.notes import Note
from timbrel.statics.spread import Moved
from timbrel.statics.strip import Array
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.ties import TieAnswer
from timbrel.statics.walls import Side
from timbrel.verdict import Check
from timbrel.words import Message


@dataclass(frozen=True)
class CombinationFigures:
    """One combination. dead: factor on the dead load. least, greatest: thrust, N/m, None when there
    is no thrust line. source: clause."""

    key: str
    situation: Situation
    leading: Message
    dead: float
    least: float | None
    greatest: float | None
    source: str


@dataclass(frozen=True)
class InteractionFigures:
    """Thrust against eccentricity at the joints, under what governs. normal: N/m; moment: N;
    thickness: m; limit: greatest moment at that normal force, N."""

    normal: Array
    moment: Array
    thickness: Array
    limit: Array
    use: float


@dataclass(frozen=True)
class SupportFigures:
    """A support. Lengths in m; uses are shares of the resistance; None where data are missing.

    governing: depth, normal force (N), distance of the resultant from the inner face, inner edge of
    the pressed part, from the springing down.
    """

    side: Side
    thickness: float
    tributary: float
    characteristic_strength: float | None
    design_strength: float | None
    overturning: Governed
    opens: float | None
    crushing: Governed | None
    vertical: Governed | None
    shear: Governed | None
    springer: Governed | None
    bearing: Governed | None
    ground_sliding: Governed
    governing: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True)
class LoadPathFigures:
    """The load path at one station. shares: level acceleration borne to the right, to the left and
    along, as shares of weight. governing: key of the combination that needs most thickness, with
    the share of the thickness that it needs."""

    v: float
    governing: str | None
    share: float | None
    combinations: tuple[CombinationFigures, ...]
    interaction: InteractionFigures | None
    supports: tuple[SupportFigures, ...]
    tie: TieAnswer | None
    moved: Moved | None
    spread_most: float | None
    shares: tuple[float | None, float | None, float | None]
    notes: tuple[Note, ...]
    checks: tuple[Check, ...]


def load_path_figures(carrying: Carrying) -> LoadPathFigures:
    """The figures of a load path."""
    every = carrying.envelope
    governing, level = every.governing, carrying.level
    return LoadPathFigures(
        carrying.v,
        governing.key if governing else None,
        governing.share if governing else None,
        tuple(
            CombinationFigures(
                r.combination.key,
                r.combination.situation,
                r.combination.leading,
                r.combination.dead,
                r.least,
                r.greatest,
                r.combination.source,
            )
            for r in every.rows
        ),
        _interaction(carrying),
        tuple(
            SupportFigures(
                s.side,
                s.thickness,
                s.tributary,
                s.strength.characteristic if s.strength else None,
                s.strength.design if s.strength else None,
                s.overturning,
                s.opens,
                s.crushing,
                s.vertical,
                s.shear,
                s.springer,
                s.bearing,
                s.ground_sliding,
                s.governing,
            )
            for s in carrying.supports
        ),
        carrying.tie,
        carrying.moved,
        carrying.spread_most,
        (
            level.right.static if level.right else None,
            level.left.static if level.left else None,
            level.along,
        ),
        carrying.notes,
        carrying.checks,
    )


def _interaction(carrying: Carrying) -> InteractionFigures | None:
    picture = carrying.envelope.interaction
    if picture is None:
        return None
    return InteractionFigures(
        picture.normal, picture.moment, picture.thickness, picture.limits, picture.use
    )
