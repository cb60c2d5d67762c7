"""Does the practice arch stand: planned as a barrel of its own, all layers on, bags over all of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job
from timbrel.shape import Directrix
from timbrel.shape.barrel import Barrel
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.actions import StripActions, actions
from timbrel.statics.strip_answer import STANDS, strip_program


@dataclass(frozen=True)
class PracticeProof:
    """What the strip of the practice arch comes to.

    thickness: of all layers, m. weight: of them, N. bags: N/m2 of plan that the gate puts on.
    stands: is there a thrust line under all layers. factor: on the bags, None where it does not
    stand, infinite where they may grow without bound. least, greatest: push of each foot under all
    layers and the bags, N, over the whole length of the arch; None where it does not stand.
    """

    thickness: float
    weight: float
    bags: float
    stands: bool
    factor: float | None
    least: float | None
    greatest: float | None


def practice_job(job: Job, curve: Directrix, length: float, bags: float) -> Job:
    """The job of a barrel on `curve` (its intrados), `length` along the axis, with the tiles,
    binders and layers of the job; bare, and `bags` N/m2 for its imposed load."""
    span = curve.span
    diagonal = float((span**2 + length**2) ** 0.5)
    level = job.room.levels.model_copy(update=dict.fromkeys("ABCD", 0.0))
    room = job.room.model_copy(
        update={
            "AB": span, "BC": length, "CD": span, "DA": length, "AC": diagonal, "BD": diagonal,
            "levels": level, "further": (), "wall_offsets": (), "near_end": "free",
            "far_end": "free",
        }
    )  # fmt: skip
    three = curve.kind == "three-centre"
    shape = job.curve.model_copy(
        update={
            "family": "barrel", "directrix": curve.kind, "line": "intrados", "keep": "rise",
            "rise": None if curve.kind == "semicircle" else curve.rise, "oculus": 0.0,
            "haunch_radius": 1 / float(curve.curvature(0.0)) if three else None,
        }
    )  # fmt: skip
    fill = job.loads.fill.model_copy(update={"kind": "none", "lifts": (), "backing": None})
    loads = type(job.loads)(
        use="none", fill=fill, finish=0.0, imposed=0.0, line=0.0, patterns=("full",),
        factors=job.loads.factors,
    ).model_copy(update={"imposed": bags})  # fmt: skip
    return job.model_copy(
        update={"room": room, "curve": shape, "loads": loads, "openings": (), "hooks": ()}
    )


def prove_practice(job: Job, curve: Directrix, length: float, bags: float) -> PracticeProof:
    """The practice arch as a strip. bags: N/m2 of plan."""
    derived = practice_job(job, curve, length, bags)
    vault = shape_vault(derived, solve_room(derived.room))
    assert isinstance(vault, Barrel)
    acts = actions(derived, vault, 0.5)
    return _answered(acts, vault.thickness, length, bags)


def _answered(acts: StripActions, thickness: float, length: float, bags: float) -> PracticeProof:
    program = strip_program(acts)
    weight = sum(load.total for load in acts.permanent) * length
    if program.share_of_dead() < STANDS:
        return PracticeProof(thickness, weight, bags, False, None, None, None)
    grown = program.load_factor(0)
    loaded = np.zeros(len(acts.patterns))
    loaded[0] = 1.0
    least, greatest = program.least_thrust(1.0, loaded), program.greatest_thrust(1.0, loaded)
    return PracticeProof(
        thickness=thickness,
        weight=weight,
        bags=bags,
        stands=True,
        factor=float(grown.factors[0]) if grown is not None else 0.0,
        least=least.line.thrust * length if least else None,
        greatest=greatest.line.thrust * length if greatest else None,
    )
