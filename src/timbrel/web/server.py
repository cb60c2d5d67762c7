"""The server: routers, the guard at the door, and how refusals are shown."""

from __future__ import annotations

from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware

from timbrel import __version__
from timbrel.web import (
    routes_before,
    routes_compare,
    routes_files,
    routes_house,
    routes_job,
    routes_list,
    routes_options,
    routes_record,
    routes_record_out,
    routes_samples,
)
from timbrel.web.desk import Desk
from timbrel.web.guard import Door, Guard
from timbrel.web.jobs import JobStore, NoSuchJobError, StaleEditError
from timbrel.web.pages import HERE, page
from timbrel.web.warm import warmed
from timbrel.words import TimbrelError, say

ROUTERS = (
    routes_list.router,
    routes_house.router,
    routes_compare.router,
    routes_job.router,
    routes_before.router,
    routes_options.router,
    routes_files.router,
    routes_samples.router,
    routes_record.router,
    routes_record_out.router,
)


def create_app(jobs: Path, door: Door | None = None) -> FastAPI:
    """The page over a folder of jobs, behind a door (loopback names only unless told)."""
    app = FastAPI(
        title="timbrel", version=__version__, docs_url=None, redoc_url=None, lifespan=warmed
    )
    app.state.desk = Desk(JobStore(jobs))
    app.state.door = door or Door()
    app.add_middleware(GZipMiddleware, minimum_size=2048, compresslevel=4)
    app.add_middleware(Guard, door=app.state.door)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    for router in ROUTERS:
        app.include_router(router)
    app.add_exception_handler(TimbrelError, _refused)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _not_here)
    return app


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, TimbrelError)
    status = 422
    if isinstance(error, NoSuchJobError):
        status = 404
    elif isinstance(error, StaleEditError):
        status = 409
    elif error.key == "link":
        status = 403
    elif error.key == "attempts":
        status = 429
    return page(request, "refused.html", status=status, error=error)


def _not_understood(request: Request, _error: Exception) -> Response:
    return page(
        request,
        "refused.html",
        status=422,
        error=TimbrelError(say("What was sent is not what this page asks for.")),
    )


def _not_here(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    sentence = (
        say("There is nothing at this address.")
        if error.status_code == 404
        else say("This page cannot do that.")
    )
    return page(request, "refused.html", status=error.status_code, error=TimbrelError(sentence))
