"""What stands in plan.json: one dataclass, from which the file and its schema are both made.

`FORMAT` grows by one whenever a field is taken away or changes its meaning; new fields may be
added without it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from timbrel.bond.layout import Bond
from timbrel.job.defaults import DefaultUsed
from timbrel.job.model import Job
from timbrel.schema.describe import NUMBERS, Describer, closed
from timbrel.schema.plain import plain
from timbrel.shape.barrel import Barrel
from timbrel.shape.directrix import Directrix, Offsets, Trammel
from timbrel.shape.layers import LayerPlace
from timbrel.shape.levels import LevelBudget
from timbrel.shape.planecurve import Array
from timbrel.shape.room import Room
from timbrel.shape.surface import Surface
from timbrel.site.openings import EdgeSite
from timbrel.site.plan import SitePlan, SurfaceSite
from timbrel.statics.building.figures import BuildingFigures
from timbrel.statics.building.surface_figures import SurfaceBuildingFigures
from timbrel.statics.carrying import Carrying
from timbrel.statics.edges import Edges
from timbrel.statics.net_figures import NetFigures
from timbrel.statics.proof import Statics
from timbrel.statics.studies import Studies
from timbrel.takeoff import Since, Takeoff
from timbrel.verdict import Check, Verdict
from timbrel.words import LengthUnit, Voice

FORMAT = 1
LEFT_OUT = frozenset(
    {
        # Follow from the forces and the strip; they would double the file.
        "ThrustLine.normal",
        "ThrustLine.shear",
        "ThrustLine.thickness",
        "ThrustCase.line",
        "StripActions.strip",
        "EnvelopeRow.lines",
        # Working data of the lap search.
        "LayerBond.joints",
        "LayerBond.joint_web",
        "LayerBond.joint_tile",
    }
)


@dataclass(frozen=True)
class CurveFigures:
    """A directrix of the intrados. Lengths in m.

    setting_out: centres and radii in the chord's axes, or heights over the chord.
    """

    kind: str
    span: float
    rise: float
    length: float
    setting_out: Trammel | Offsets


@dataclass(frozen=True)
class EdgeFigures:
    """A line of the intrados that is set out: springing, wall arch, groin, valley, ridge, oculus.
    webs that meet there; what its ends stand on; length (m); points (x, y, level)."""

    name: str
    kind: str
    webs: tuple[str, ...]
    stands_on: tuple[str, ...]
    length: float
    points: Array


@dataclass(frozen=True)
class VaultFigures:
    """The vault's surface. area: of the intrados (m2). volume: of the whole shell (m3).
    axis_length: mean (m), near, far: intrados at AB and CD; null over a whole plan, which has edges
    instead."""

    family: str
    thickness: float
    axis_length: float | None
    area: float
    volume: float
    near: CurveFigures | None
    far: CurveFigures | None
    edges: tuple[EdgeFigures, ...]
    layers: tuple[LayerPlace, ...]


@dataclass(frozen=True)
class PlanFile:
    """A whole plan. All figures in SI (m, N, kg, s, rad) unless a name says otherwise; texts are
    in `language`. null stands for what is not judged, does not exist, or has no bound.

    format: version of this layout. made_by: the program and its version.
    """

    format: int
    made_by: str
    language: str
    length_unit: LengthUnit
    verdict: Verdict
    checks: tuple[Check, ...]
    job: Job
    defaults: tuple[DefaultUsed, ...]
    room: Room
    vault: VaultFigures
    levels: LevelBudget
    bond: Bond
    statics: Statics | NetFigures
    site: SitePlan | SurfaceSite
    takeoff: Takeoff
    building: BuildingFigures | SurfaceBuildingFigures | None
    carrying: Carrying | None
    edges: Edges | None
    edge_site: EdgeSite | None
    studies: Studies | None
    since: Since | None


def _curve(curve: Directrix) -> CurveFigures:
    return CurveFigures(curve.kind, curve.span, curve.rise, curve.length, curve.setting_out)


def vault_figures(vault: Barrel | Surface) -> VaultFigures:
    """The surface in figures."""
    edges = () if isinstance(vault, Barrel) else vault.edges
    return VaultFigures(
        vault.family,
        vault.thickness,
        vault.axis_length if isinstance(vault, Barrel) else None,
        vault.area(0.0),
        vault.volume,
        _curve(vault.near) if isinstance(vault, Barrel) else None,
        _curve(vault.far) if isinstance(vault, Barrel) else None,
        tuple(EdgeFigures(e.name, e.kind, e.webs, e.stands_on, e.length, e.points) for e in edges),
        vault.layers,
    )


def as_json(file: PlanFile) -> dict[str, Any]:
    """A plan as plain JSON values, its texts in its own language."""
    written: dict[str, Any] = plain(file, Voice(file.language, file.length_unit), LEFT_OUT)
    return written


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of plan.json."""
    describer = Describer(LEFT_OUT)
    reference = describer.of(PlanFile)
    definitions = dict(sorted(describer.definitions.items()))
    whole = definitions.pop(reference["$ref"].rsplit("/", 1)[1])
    whole["properties"]["format"] = {"const": FORMAT}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"timbrel plan, format {FORMAT}",
        **closed(whole["properties"], whole["description"]),
        "$defs": {**definitions, "numbers": NUMBERS},
    }
