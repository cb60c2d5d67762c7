"""Choosing: plan several options of a job in the background, compare them, make one the job."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from timbrel.job.load import read_job
from timbrel.options import CARES, VARIES, Care, Option, Vary, compare, sorted_options
from timbrel.sheets.options_sheet import care_name, measured_rows, vary_name
from timbrel.web.choosing import with_choice, with_option
from timbrel.web.desk import Desk, desk_of
from timbrel.web.history import chosen
from timbrel.web.jobs import StaleEditError, title_of
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.routes_list import SEE_OTHER, job_path, to
from timbrel.web.work import Work
from timbrel.words import Progress, TimbrelError, Voice, say

router = APIRouter(prefix="/jobs/{name}/options", tags=["choosing"])


@dataclass(frozen=True)
class Sweep:
    """What a sweep came to. job: its folder; revision: the state of the job that it began with."""

    job: str
    revision: str
    currency: str
    options: tuple[Option, ...]


@router.get("", response_class=HTMLResponse)
def choose(
    request: Request, name: str, work: str = "", care: Care = "safety", vary: Vary = "all"
) -> HTMLResponse:
    """What to vary and to sort by; under it the sweep that runs, or what it came to."""
    desk = desk_of(request)
    held = desk.store.read(name)
    found = _found(desk, name, work) if work else None
    return page(
        request,
        "options.html",
        held=held,
        title=title_of(held.text) or held.name,
        care=care,
        vary=vary,
        cares=[(c, care_name(c)) for c in CARES],
        varies=[(v, vary_name(v)) for v in VARIES],
        work=found,
        **_shown(found, held.revision, care, voice_of(request)),
    )


@router.post("", response_class=RedirectResponse, status_code=SEE_OTHER)
def begin(
    request: Request,
    name: str,
    care: Annotated[Care, Form()] = "safety",
    vary: Annotated[Vary, Form()] = "all",
) -> Response:
    """Begin to plan the options, in processes of their own."""
    desk = desk_of(request)
    held = desk.store.read(name)
    job = read_job(held.text).job

    def task(progress: Progress) -> Sweep:
        options = compare(job, care, progress, vary=vary)
        return Sweep(name, held.revision, job.prices.currency, options)

    work = desk.bench.start(say("Planning options"), task)
    return to(f"{job_path(name)}/options?work={work.name}&care={care}&vary={vary}")


@router.get("/{work}", response_class=HTMLResponse)
def how_far(
    request: Request, name: str, work: str, care: Care = "safety", vary: Vary = "all"
) -> HTMLResponse:
    """How far the sweep is, as a piece of the page."""
    desk = desk_of(request)
    held = desk.store.read(name)
    found = _found(desk, name, work)
    return page(
        request,
        "options_work.html",
        held=held,
        care=care,
        vary=vary,
        work=found,
        **_shown(found, held.revision, care, voice_of(request)),
    )


@router.post("/{work}/stop", response_class=RedirectResponse, status_code=SEE_OTHER)
def stop(
    request: Request,
    name: str,
    work: str,
    care: Annotated[Care, Form()] = "safety",
    vary: Annotated[Vary, Form()] = "all",
) -> Response:
    """Stop the sweep; its processes are ended."""
    _found(desk_of(request), name, work).stop.set()
    return to(f"{job_path(name)}/options?work={work}&care={care}&vary={vary}")


@router.post("/{work}/take", response_class=RedirectResponse, status_code=SEE_OTHER)
def take(
    request: Request,
    name: str,
    work: str,
    key: Annotated[str, Form(max_length=40)],
    revision: Annotated[str, Form(max_length=64)],
    care: Annotated[Care, Form()] = "safety",
) -> Response:
    """Make an option the job, with what it was chosen over, as one step of its history."""
    desk = desk_of(request)
    sweep = _found(desk, name, work).result
    if not isinstance(sweep, Sweep):
        raise TimbrelError(say("The options are not planned yet."))
    held = desk.store.read(name)
    if not held.revision == revision == sweep.revision:
        raise StaleEditError
    option = next((o for o in sweep.options if o.candidate.key == key), None)
    if option is None or option.figures is None:
        raise TimbrelError(say("There is no option named {key}.", key=key), key=key)
    text = with_option(held.text, option.candidate)
    text = with_choice(
        text, sorted_options(sweep.options, care), key, care, date.today(), read_job(held.text).job
    )
    desk.planner.plan(text)
    title = voice_of(request)(option.candidate.title)
    desk.store.save(name, text, held.revision, chosen(title))
    return to(job_path(name))


def _found(desk: Desk, name: str, work: str) -> Work:
    """A sweep of this job; that of another job is none of this address."""
    found = desk.bench.find(work)
    if isinstance(found.result, Sweep) and found.result.job != name:
        raise TimbrelError(say("There is no such work any more."))
    return found


def _shown(work: Work | None, revision: str, care: Care, voice: Voice) -> dict[str, Any]:
    """What the table shows: options in order, rows, and whether the job has changed since."""
    sweep = work.result if work is not None else None
    if not isinstance(sweep, Sweep):
        return {"options": (), "refused": (), "rows": (), "stale": False}
    options = sorted_options(sweep.options, care)
    planned = tuple(o for o in options if o.figures is not None)
    refused = tuple(o for o in options if o.figures is None)
    return {
        "options": planned,
        "refused": refused,
        "rows": measured_rows(planned, sweep.currency, voice),
        "stale": sweep.revision != revision,
    }
