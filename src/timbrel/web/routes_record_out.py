"""What the site's record comes to: the shape as built, the whole of it as files, the close-out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from timbrel.records.asbuilt import AsBuilt, compare
from timbrel.records.built_surface import design_factor
from timbrel.records.kinds import Course, Delivery, MeasuredPoint, RodReading
from timbrel.records.replan import (
    GuideCorrection,
    Need,
    Regauge,
    corrected_template,
    guide_corrections,
    needs,
    regauge,
)
from timbrel.shape.vault import Barrel
from timbrel.web.desk import desk_of
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.record_door import opened
from timbrel.web.routes_list import as_file
from timbrel.web.view import plan_or_refuse
from timbrel.words import TimbrelError

router = APIRouter(prefix="/jobs/{name}/record", tags=["record"])
MOVES = 3
"""Moves of the centring over which a correction of the ribs is shown."""


@dataclass(frozen=True)
class Come:
    """What the record comes to: the shape as built, rods gauged anew or why not, materials.

    corrections: for the last station measured, distance along the chord and what to add to the rib
    there for each of the next moves (m); empty when nothing was measured. guides: the same for the
    guides of a vault on a plan.
    """

    built: AsBuilt
    corrections: tuple[tuple[float, tuple[float, ...]], ...]
    regauged: tuple[Regauge, ...]
    refused: tuple[TimbrelError, ...]
    needs: tuple[Need, ...]
    guides: tuple[GuideCorrection, ...]


@router.get("/built", response_class=HTMLResponse)
def built(request: Request, name: str) -> HTMLResponse:
    """The shape as built against the design, the rest gauged anew, the materials left."""
    planned = plan_or_refuse(desk_of(request), name)
    plan = planned.plan
    with opened(request, name) as record:
        points = [MeasuredPoint(**e.body) for e in record.standing("point")]
        rods = [RodReading(**e.body) for e in record.standing("rod")]
        came = [Delivery(**e.body) for e in record.standing("delivery")]
        closed = [Course(**e.body) for e in record.standing("course")]
    regauged, refused = [], []
    for reading in {(r.layer, r.rod): r for r in rods}.values():
        try:
            regauged.append(regauge(plan.job, plan.bond, reading))
        except TimbrelError as error:
            refused.append(error)
    design = None
    if points and not isinstance(plan.vault, Barrel):
        design = planned.once("coarse factor", lambda: design_factor(plan.job, plan.vault))
    as_built = compare(plan.job, plan.vault, points, design)
    come = Come(
        as_built,
        _corrections(plan.vault, as_built, plan.job.site.offsets_step),
        tuple(regauged),
        tuple(refused),
        needs(plan.job, plan.bond, came, closed),
        guide_corrections(plan.vault, plan.site.guides, as_built.surface)
        if as_built.surface is not None
        else (),
    )
    return page(request, "record_built.html", name=name, come=come)


def _corrections(
    vault: Any, as_built: AsBuilt, step: float
) -> tuple[tuple[float, tuple[float, ...]], ...]:
    if not as_built.stations:
        return ()
    last = as_built.stations[-1]
    profile = vault.profile(last.v, [0.0, 1.0])
    span = float(profile[1, 0] - profile[0, 0])
    u, add = corrected_template(last, step / span, MOVES)
    x = vault.profile(last.v, u)[:, 0]
    return tuple(
        (float(at - x[0]), tuple(float(a) for a in column))
        for at, column in zip(x, add.T, strict=True)
    )


@router.get("/record.json")
def as_json(request: Request, name: str) -> Response:
    """The whole record by the documented schema."""
    from timbrel.records.transfer import to_json

    with opened(request, name) as record:
        text = to_json(record)
    return Response(text, media_type="application/json", headers=as_file(f"{name}-record.json"))


@router.get("/record.csv")
def as_csv(request: Request, name: str) -> Response:
    """The entries as a table."""
    from timbrel.records.transfer import to_csv

    with opened(request, name) as record:
        text = to_csv(record)
    return Response(text, media_type="text/csv", headers=as_file(f"{name}-record.csv"))


@router.get("/close.pdf")
def close_out(request: Request, name: str) -> Response:
    """The close-out file."""
    from timbrel.records.closeout import close_out_pdf, gather

    planned = plan_or_refuse(desk_of(request), name)
    with opened(request, name) as record:
        pdf = close_out_pdf(gather(planned.plan, record), voice_of(request))
    return Response(pdf, media_type="application/pdf", headers=as_file(f"{name}-close-out.pdf"))
