"""The house: its vaults added up, and its papers."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from timbrel.web.desk import desk_of
from timbrel.web.houses import has_house, planned_house
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.routes_list import as_file
from timbrel.words import TimbrelError, say

router = APIRouter(prefix="/house", tags=["house"])


@router.get("", response_class=HTMLResponse)
def shown(request: Request) -> HTMLResponse:
    """Visits, choices, vaults, order, programme, quote."""
    from timbrel.sheets.house_sheet import house_blocks

    _refuse_none(request)
    house = planned_house(desk_of(request))
    made = house_blocks(house, voice_of(request))
    return page(request, "house.html", house=house, made=made)


@router.get("/house.pdf")
def papers(request: Request) -> Response:
    """The sheets of the house."""
    from timbrel.sheets.house_sheet import house_pdf

    _refuse_none(request)
    made = house_pdf(planned_house(desk_of(request)), voice_of(request))
    return Response(made, media_type="application/pdf", headers=as_file("house.pdf"))


def _refuse_none(request: Request) -> None:
    if not has_house(desk_of(request).store.root):
        raise TimbrelError(say("This folder of jobs has no house.toml, so no house to add up."))
