"""Samples of the uncertain vault: drawn in processes, told as they go, stopped at a word."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse

from timbrel.web.desk import desk_of
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.view import plan_or_refuse
from timbrel.words import Progress, say

if TYPE_CHECKING:
    from timbrel.statics.studies import Studies

router = APIRouter(prefix="/jobs/{name}/samples", tags=["samples"])


@router.post("", response_class=HTMLResponse)
def begin(
    request: Request,
    name: str,
    samples: Annotated[int, Form(ge=20, le=20000)],
    seed: Annotated[int, Form(ge=0, le=2**31 - 1)],
) -> HTMLResponse:
    """Begin to draw samples of the job as it stands."""
    from timbrel.plan import draw_samples

    desk = desk_of(request)
    planned = plan_or_refuse(desk, name)

    def task(progress: Progress) -> Any:
        return draw_samples(planned.plan, progress, samples=samples, seed=seed).studies

    work = desk.bench.start(say("Samples of the uncertain vault"), task)
    return _shown(request, name, work.name)


@router.get("/{work}", response_class=HTMLResponse)
def how_far(request: Request, name: str, work: str) -> HTMLResponse:
    """How far it is, or what came of it."""
    return _shown(request, name, work)


@router.post("/{work}/stop", response_class=HTMLResponse)
def stop(request: Request, name: str, work: str) -> HTMLResponse:
    """Stop drawing."""
    desk_of(request).bench.find(work).stop.set()
    return _shown(request, name, work)


def _shown(request: Request, name: str, work: str) -> HTMLResponse:
    from timbrel.sheets.studies import sureness

    found = desk_of(request).bench.find(work)
    studies: Studies | None = found.result if found.state == "done" else None
    told = [] if studies is None else sureness(studies, voice_of(request))
    return page(request, "samples.html", name=name, work=found, told=told)
