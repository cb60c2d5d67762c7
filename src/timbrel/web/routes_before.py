"""Before the first tile: seats, real tiles, fill, logistics, practice, stop line, tests, changes."""

from __future__ import annotations

import re
from typing import Any

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response

from timbrel.web.delivered import (
    COLUMNS,
    MOST_LINES,
    TypedDelivery,
    deliveries_of,
    put_delivery,
    typed_back,
)
from timbrel.web.desk import Desk, desk_of
from timbrel.web.history import measured
from timbrel.web.jobs import StaleEditError
from timbrel.web.pages import page
from timbrel.web.planning import Planned
from timbrel.web.reader import voice_of
from timbrel.web.revisions import with_changes
from timbrel.web.routes_list import job_path, to
from timbrel.web.view import good_plan
from timbrel.words import TimbrelError, Voice, say

router = APIRouter(prefix="/jobs/{name}", tags=["before the first tile"])
BOX = re.compile(r"t\.(\d{1,3})\.(length|width|thickness|bow)")
MOST_BOXES = MOST_LINES * len(COLUMNS) + 10
LONGEST = 40

SHEET_BODY: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            "application/x-www-form-urlencoded": {
                "schema": {
                    "type": "object",
                    "properties": {"revision": {"type": "string"}, "tile": {"type": "string"}},
                    "required": ["revision", "tile"],
                    "additionalProperties": {"type": "string"},
                }
            }
        },
    }
}


@router.get("/before", response_class=HTMLResponse)
def before(request: Request, name: str) -> HTMLResponse:
    """All subjects of a job on one page."""
    return _page(request, name)


@router.post("/delivered", response_class=HTMLResponse, openapi_extra=SHEET_BODY)
async def delivered(request: Request, name: str) -> Response:
    """Save the measured tiles of one kind; what cannot stand is shown again with its reason."""
    boxes = await request.form(max_files=0, max_fields=MOST_BOXES)
    sent = {str(key): str(value)[:LONGEST] for key, value in boxes.items()}
    return await run_in_threadpool(_delivered, request, name, sent)


def _delivered(request: Request, name: str, sent: dict[str, str]) -> Response:
    desk, unit = desk_of(request), voice_of(request).length_unit
    cells = {
        (int(found[1]), found[2]): value.strip()
        for key, value in sent.items()
        if (found := BOX.fullmatch(key)) and 0 < int(found[1]) <= MOST_LINES
    }
    typed = typed_back(sent.get("tile", ""), cells, sent.get("use", "yes") == "yes")
    held = desk.store.read(name)
    try:
        if held.revision != sent.get("revision"):
            raise StaleEditError
        text = put_delivery(held.text, typed, unit)
        desk.planner.plan(text)
        count = sum(any(line.cells) for line in typed.lines)
        desk.store.save(name, text, held.revision, measured(typed.tile, count))
    except TimbrelError as error:
        return _page(request, name, typed, error)
    return to(f"{job_path(name)}/before#leaf-tiles")


def _page(
    request: Request,
    name: str,
    typed: TypedDelivery | None = None,
    refusal: TimbrelError | None = None,
) -> HTMLResponse:
    """The page; beside what was refused its reason, and what was typed is kept."""
    desk, voice = desk_of(request), voice_of(request)
    held = desk.store.read(name)
    planned, failed = good_plan(desk, held)
    if planned is None:
        raise failed or TimbrelError(say("This job has no plan yet."))
    tiles = tuple(dict.fromkeys(layer.tile for layer in planned.plan.job.layers))
    sheets = deliveries_of(held.text, tiles, voice.length_unit)
    if typed is not None:
        sheets = tuple(typed if sheet.tile == typed.tile else sheet for sheet in sheets)
    status = 200 if refusal is None else 409 if isinstance(refusal, StaleEditError) else 422
    return page(
        request,
        "before.html",
        status=status,
        held=held,
        title=planned.plan.job.job.title,
        leaves=_leaves(desk, planned, name, voice),
        sheets=sheets,
        columns=COLUMNS,
        old=failed,
        refusal=refusal,
    )


def _leaves(desk: Desk, planned: Planned, name: str, voice: Voice) -> Any:
    """The leaves of the plan in view, once a state; with the building where it was followed."""
    from timbrel.sheets.before_book import before_leaves, before_pictures

    key = ("before", voice, planned.is_judged)
    plan = with_changes(planned.known, desk.store.history(name))
    drawn = planned.once(key, lambda: {p.name: p for p in before_pictures(plan, voice)})
    return tuple(before_leaves(plan, voice, drawn))
