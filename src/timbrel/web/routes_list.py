"""The list of jobs: new, import, export, copy, rename, put away, bring back; the reader's choice."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlsplit

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from timbrel.web.desk import desk_of
from timbrel.web.houses import has_house
from timbrel.web.pages import page
from timbrel.web.parcel import LARGEST_PARCEL, pack_job, unpack_job
from timbrel.web.reader import remember
from timbrel.web.starts import start_text, starts

router = APIRouter(tags=["jobs"])
TitleBox = Annotated[str, Form(min_length=1, max_length=120)]
SEE_OTHER = 303


def to(path: str) -> RedirectResponse:
    """Send the reader on after something was done."""
    return RedirectResponse(path, status_code=SEE_OTHER)


def job_path(name: str) -> str:
    """The address of a job's page."""
    return f"/jobs/{quote(name, safe='')}"


@router.get("/", response_class=HTMLResponse)
def list_of_jobs(request: Request) -> HTMLResponse:
    """All jobs, what a new one may start from, and those put away."""
    store = desk_of(request).store
    return page(
        request,
        "list.html",
        jobs=store.listed(),
        away=store.listed(away=True),
        starts=starts(),
        house=has_house(store.root),
    )


@router.post("/jobs", response_class=RedirectResponse, status_code=SEE_OTHER)
def new_job(request: Request, title: TitleBox, start: Annotated[str, Form()]) -> Response:
    """A new job from a blank or an example."""
    return to(job_path(desk_of(request).store.new(title, start_text(start)).name))


@router.post("/import", response_class=RedirectResponse, status_code=SEE_OTHER)
async def import_job(request: Request, file: UploadFile) -> Response:
    """Take in a job from one file."""
    data = await file.read(LARGEST_PARCEL + 1)
    name = await run_in_threadpool(unpack_job, desk_of(request).store, data)
    return to(job_path(name))


@router.get("/jobs/{name}/export")
def export_job(request: Request, name: str) -> Response:
    """A job as one file."""
    data = pack_job(desk_of(request).store, name)
    return Response(data, media_type="application/zip", headers=as_file(f"{name}.zip"))


@router.post("/jobs/{name}/copy", response_class=RedirectResponse, status_code=SEE_OTHER)
def copy_job(request: Request, name: str, title: TitleBox) -> Response:
    """A second job with the same text."""
    return to(job_path(desk_of(request).store.copy(name, title).name))


@router.post("/jobs/{name}/rename", response_class=RedirectResponse, status_code=SEE_OTHER)
def rename_job(request: Request, name: str, title: TitleBox) -> Response:
    """Another title."""
    return to(job_path(desk_of(request).store.rename(name, title).name))


@router.post("/jobs/{name}/put-away", response_class=RedirectResponse, status_code=SEE_OTHER)
def put_away(request: Request, name: str) -> Response:
    """Out of the list; nothing is lost."""
    desk_of(request).store.put_away(name)
    return to("/")


@router.post("/put-away/{name}/bring-back", response_class=RedirectResponse, status_code=SEE_OTHER)
def bring_back(request: Request, name: str) -> Response:
    """Back into the list."""
    desk_of(request).store.bring_back(name)
    return to("/")


@router.post("/reader", response_class=RedirectResponse, status_code=SEE_OTHER)
def reader(
    request: Request, language: Annotated[str, Form()] = "", unit: Annotated[str, Form()] = ""
) -> Response:
    """Keep the reader's language and unit, and go back to where the reader was."""
    back = urlsplit(request.headers.get("referer", ""))
    same = back.netloc == request.headers.get("host", "")
    path = back.path if same and back.path.startswith("/") and back.path[1:2] != "/" else "/"
    answer = to(path + (f"?{back.query}" if same and back.query else ""))
    remember(answer, language, unit)
    return answer


def as_file(name: str) -> dict[str, str]:
    """The header that makes a browser save an answer under a name."""
    return {"content-disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}"}
