"""What is read from a plan: drawings, tables, the model, the pack, the site sheet, the raw files."""

from __future__ import annotations

import io
import json
import mimetypes
import shutil
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from timbrel.web.desk import desk_of
from timbrel.web.drawn import pictures, svg_of
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.routes_list import as_file
from timbrel.web.scene import scene
from timbrel.web.tables import leaves
from timbrel.web.view import plan_or_refuse
from timbrel.words import Progress, TimbrelError, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan

router = APIRouter(prefix="/jobs/{name}", tags=["files"])
SVG_POLICY = {
    "content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; font-src data:"
}
"""A drawing styles itself and carries its letters; it may load nothing and run nothing."""


@dataclass(frozen=True)
class PackFile:
    """One file of the pack, by its path inside it."""

    path: str
    size: str


@dataclass(frozen=True)
class Pack:
    """A pack that was made, and the folder that holds it."""

    folder: Path
    files: tuple[PackFile, ...]

    def bytes_of(self, path: str) -> bytes:
        """One file of the pack; any path that is not in its list is refused."""
        if path not in {file.path for file in self.files}:
            raise TimbrelError(say("The pack has no file named {name}.", name=path))
        return (self.folder / path).read_bytes()


@router.get("/drawings", response_class=HTMLResponse)
def list_of_drawings(request: Request, name: str) -> HTMLResponse:
    """The drawings to choose among."""
    planned = plan_or_refuse(desk_of(request), name)
    drawn = pictures(planned, voice_of(request))
    return page(request, "drawings.html", drawn=drawn)


@router.get("/drawings/{drawing}.svg")
def drawing(request: Request, name: str, drawing: str) -> Response:
    """One drawing."""
    planned = plan_or_refuse(desk_of(request), name)
    return Response(
        svg_of(planned, voice_of(request), drawing),
        media_type="image/svg+xml",
        headers=SVG_POLICY,
    )


@router.get("/tables", response_class=HTMLResponse)
def tables(request: Request, name: str) -> HTMLResponse:
    """The tables of a plan."""
    planned = plan_or_refuse(desk_of(request), name)
    found = leaves(planned.whole(), voice_of(request))
    return page(request, "tables.html", leaves=found, name=name)


@router.get("/model.json")
def model(request: Request, name: str) -> Response:
    """What the view in three dimensions is drawn from."""
    planned = plan_or_refuse(desk_of(request), name)
    voice = voice_of(request)
    key, plan = ("model", voice, planned.is_judged), planned.known

    def make() -> str:
        return json.dumps(scene(plan, voice, planned.revision), separators=(",", ":"))

    return Response(planned.once(key, make), media_type="application/json")


@router.get("/plan.json")
def plan_as_json(request: Request, name: str) -> Response:
    """Every figure of the plan."""
    from timbrel.plan import plan_json

    planned = plan_or_refuse(desk_of(request), name)
    text = json.dumps(plan_json(planned.whole()), indent=1)
    return Response(text, media_type="application/json", headers=as_file("plan.json"))


@router.get("/job.toml")
def job_text(request: Request, name: str) -> Response:
    """The job's own text."""
    held = desk_of(request).store.read(name)
    return Response(held.text, media_type="application/toml", headers=as_file("job.toml"))


@router.get("/sitesheet")
def site_sheet(request: Request, name: str) -> Response:
    """One file for the crew's phones."""
    from timbrel.web.sitesheet import site_sheet_of

    planned = plan_or_refuse(desk_of(request), name)
    voice = voice_of(request)
    planned.whole()
    text = planned.once(("sitesheet", voice), lambda: site_sheet_of(planned.whole(), voice))
    return Response(text, media_type="text/html", headers=as_file(f"{name}-site.html"))


@router.post("/pack", response_class=HTMLResponse)
def make_pack(request: Request, name: str) -> HTMLResponse:
    """Begin to make the pack."""
    desk = desk_of(request)
    planned = plan_or_refuse(desk, name)
    voice = voice_of(request)

    def task(progress: Progress) -> Pack:
        return _write(planned.whole(), voice, progress)

    work = desk.bench.start(say("Making the pack"), task)
    return page(request, "work.html", name=name, work=work)


def _write(plan: Plan, voice: Voice, progress: Progress) -> Pack:
    from timbrel.sheets.pack import write_pack

    folder = Path(tempfile.mkdtemp(prefix="timbrel-pack-"))
    try:
        write_pack(plan, folder / "pack", progress)
        progress(say("The pack is ready."), 1.0)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    folder = folder / "pack"
    found = sorted(p for p in folder.rglob("*") if p.is_file() and not p.name.startswith("."))
    files = tuple(
        PackFile(
            path.relative_to(folder).as_posix(),
            f"{voice.number(path.stat().st_size / 1e3, 0)} kB",
        )
        for path in found
    )
    return Pack(folder, files)


@router.get("/pack/{work}", response_class=HTMLResponse)
def how_far(request: Request, name: str, work: str) -> HTMLResponse:
    """How far the pack is."""
    return page(request, "work.html", name=name, work=desk_of(request).bench.find(work))


@router.post("/pack/{work}/stop", response_class=HTMLResponse)
def stop(request: Request, name: str, work: str) -> HTMLResponse:
    """Stop making the pack."""
    found = desk_of(request).bench.find(work)
    found.stop.set()
    return page(request, "work.html", name=name, work=found)


@router.get("/pack/{work}/all.zip")
def whole_pack(request: Request, name: str, work: str) -> Response:
    """The whole pack as one file."""
    pack = _made(request, work)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as parcel:
        for file in pack.files:
            parcel.writestr(f"{name}-pack/{file.path}", pack.bytes_of(file.path))
    return Response(
        out.getvalue(), media_type="application/zip", headers=as_file(f"{name}-pack.zip")
    )


@router.get("/pack/{work}/files/{path:path}")
def pack_file(request: Request, name: str, work: str, path: str) -> Response:
    """One file of the pack."""
    data = _made(request, work).bytes_of(path)
    kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
    return Response(data, media_type=kind, headers=as_file(Path(path).name))


def _made(request: Request, work: str) -> Pack:
    found = desk_of(request).bench.find(work).result
    if not isinstance(found, Pack):
        raise TimbrelError(say("The pack is not ready yet."))
    return found
