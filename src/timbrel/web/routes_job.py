"""One job: its form, its verdicts, its views; edits, undo and redo."""

from __future__ import annotations

from contextlib import suppress
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from timbrel.web import edits
from timbrel.web.desk import Desk, desk_of
from timbrel.web.editing import Edit, Outcome, change_rows, edit_fields
from timbrel.web.jobs import Held, StaleEditError
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.routes_list import SEE_OTHER, job_path, to
from timbrel.web.turns import GIVES_WAY
from timbrel.web.view import JobView, look
from timbrel.web.work import StoppedError
from timbrel.words import LengthUnit, silent

router = APIRouter(tags=["job"])
Revision = Annotated[str, Form(max_length=64)]
KeyBox = Annotated[str, Form(max_length=200)]
MOST_BOXES = 600

FIELDS_BODY: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            "application/x-www-form-urlencoded": {
                "schema": {
                    "type": "object",
                    "properties": {"revision": {"type": "string"}},
                    "required": ["revision"],
                    "additionalProperties": {"type": "string"},
                }
            }
        },
    }
}


@router.get("/jobs/{name}", response_class=HTMLResponse)
def job_page(request: Request, name: str) -> HTMLResponse:
    """The page of one job."""
    desk = desk_of(request)
    held = desk.store.read(name)
    return page(request, "job.html", view=_look(request, desk, held), outcome=None)


@router.get("/jobs/{name}/verdicts", response_class=HTMLResponse)
def verdicts(request: Request, name: str) -> HTMLResponse:
    """The verdicts once the stages of building have been followed too."""
    desk = desk_of(request)
    voice = voice_of(request)
    for _ in range(GIVES_WAY):
        following = desk.turns.after_edits()
        with suppress(StoppedError):
            return _followed(request, look(desk, desk.store.read(name), voice, following=following))
    return _followed(request, look(desk, desk.store.read(name), voice, following=silent))


def _followed(request: Request, view: JobView) -> HTMLResponse:
    """The verdicts with the figures that are known from now on; what shows the order of work is told
    that the one to build by may be another."""
    answer = page(request, "followed.html", view=view)
    answer.headers["hx-trigger-after-settle"] = "replanned"
    return answer


@router.post("/jobs/{name}/edit", response_class=HTMLResponse, openapi_extra=FIELDS_BODY)
async def edit(request: Request, name: str) -> Response:
    """Put what was typed into one or more boxes; what cannot stand is refused at its box."""
    boxes = await request.form(max_files=0, max_fields=MOST_BOXES)
    trigger = request.headers.get("hx-trigger-name", "")
    typed = _typed(boxes, trigger)
    wanted = Edit(typed, trigger.removeprefix("v."), str(boxes.get("revision", "")))
    return await run_in_threadpool(_edit, request, name, wanted)


def _typed(boxes: FormData, trigger: str) -> dict[str, str]:
    """What stands in the boxes; several picks of one box go together, and none sends no box at all."""
    typed: dict[str, str] = {trigger[2:]: ""} if trigger.startswith("v.") else {}
    for key in boxes:
        if key.startswith("v."):
            typed[key[2:]] = "; ".join(str(value) for value in boxes.getlist(key))
    return typed


def _edit(request: Request, name: str, wanted: Edit) -> Response:
    desk = desk_of(request)
    with desk.turns.editing():
        try:
            outcome = edit_fields(desk, name, wanted, _unit(request))
        except StaleEditError as error:
            return _told_late(request, desk, name, error, wanted)
        return _answer(request, desk, name, outcome)


@router.post("/jobs/{name}/rows", response_class=HTMLResponse)
def rows(
    request: Request,
    name: str,
    key: KeyBox,
    act: Annotated[str, Form(pattern="^(add|remove|up|down)$")],
    revision: Revision,
    called: Annotated[str, Form(max_length=60)] = "",
) -> Response:
    """Add, take out or move a row of the job."""
    desk, unit = desk_of(request), _unit(request)
    acts = {
        "add": lambda text: edits.add_row(text, key, called, unit),
        "remove": lambda text: edits.remove_row(text, key, unit),
        "up": lambda text: edits.move_row(text, key, False, unit),
        "down": lambda text: edits.move_row(text, key, True, unit),
    }
    with desk.turns.editing():
        try:
            outcome = change_rows(desk, name, key, acts[act], act, revision)
        except StaleEditError as error:
            return _told_late(request, desk, name, error)
        return _answer(request, desk, name, outcome)


@router.post("/jobs/{name}/undo", response_class=HTMLResponse)
def undo(request: Request, name: str, revision: Revision) -> Response:
    """One state back."""
    return _step(request, name, lambda desk: desk.store.undo(name, revision))


@router.post("/jobs/{name}/redo", response_class=HTMLResponse)
def redo(request: Request, name: str, revision: Revision) -> Response:
    """One state forward."""
    return _step(request, name, lambda desk: desk.store.redo(name, revision))


@router.get("/jobs/{name}/history", response_class=HTMLResponse)
def history(request: Request, name: str) -> HTMLResponse:
    """All states of a job, the last first."""
    desk = desk_of(request)
    held = desk.store.read(name)
    return page(request, "history.html", held=held, history=desk.store.history(name))


@router.post("/jobs/{name}/history", response_class=RedirectResponse, status_code=SEE_OTHER)
def go_to(
    request: Request, name: str, state: Annotated[int, Form(ge=0, le=10**9)], revision: Revision
) -> Response:
    """Make another state the one that stands."""
    desk_of(request).store.go_to(name, state, revision)
    return to(job_path(name))


def _step(request: Request, name: str, act: Any) -> Response:
    desk = desk_of(request)
    with desk.turns.editing():
        try:
            act(desk)
        except StaleEditError as error:
            return _told_late(request, desk, name, error)
        return _answer(request, desk, name, Outcome(whole_form=True))


def _answer(request: Request, desk: Desk, name: str, outcome: Outcome) -> Response:
    held = desk.store.read(name)
    if "hx-request" not in request.headers:
        if outcome.refusal:
            raise outcome.refusal
        return to(job_path(name))
    answer = page(
        request,
        "reply.html",
        status=422 if outcome.refusal else 200,
        view=_look(request, desk, held),
        outcome=outcome,
    )
    if outcome.changed:
        answer.headers["hx-trigger-after-settle"] = "replanned"
    return answer


def _told_late(
    request: Request, desk: Desk, name: str, error: StaleEditError, wanted: Edit | None = None
) -> Response:
    if "hx-request" not in request.headers:
        raise error
    return page(
        request,
        "told_late.html",
        status=409,
        held=desk.store.read(name),
        error=error,
        typed=wanted.typed if wanted else {},
    )


def _look(request: Request, desk: Desk, held: Held) -> JobView:
    return look(desk, held, voice_of(request))


def _unit(request: Request) -> LengthUnit:
    return voice_of(request).length_unit
