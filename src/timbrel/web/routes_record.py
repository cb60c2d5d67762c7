"""The site's record on the page: entries from phones, what they come to, the close-out file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Any
from urllib.parse import urlsplit
from uuid import uuid4

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from pydantic import BaseModel, ConfigDict, Field

from timbrel.records.asbuilt import AsBuilt, compare
from timbrel.records.built_surface import design_factor
from timbrel.records.kinds import Course, Delivery, MeasuredPoint, RodReading
from timbrel.records.links import Person, make_link, person_of, revoke_link, who_enters
from timbrel.records.replan import (
    GuideCorrection,
    Need,
    Regauge,
    corrected_template,
    guide_corrections,
    needs,
    regauge,
)
from timbrel.records.roles import MAY_WRITE, ROLE_NAMES, Role, may_write
from timbrel.records.store import FILE_NAME, Record
from timbrel.records.words import KIND_NAMES, spoken_body
from timbrel.shape.vault import Barrel
from timbrel.web.desk import desk_of
from timbrel.web.guard import LOOPBACK
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.record_form import entry_forms, rods_of
from timbrel.web.routes_list import as_file, job_path
from timbrel.web.view import plan_or_refuse
from timbrel.words import Message, TimbrelError, say

router = APIRouter(prefix="/jobs/{name}/record", tags=["record"])
SEE_OTHER = 303
SHOWN = 40
"""Entries shown on the page, the newest first."""
MOVES = 3
"""Moves of the centring over which a correction of the ribs is shown."""
COOKIE = "timbrel-person"
PASSED_ON = ("forwarded", "x-forwarded-for", "x-real-ip", "via")


class Sent(BaseModel):
    """An entry as a phone sends it."""

    model_config = ConfigDict(extra="forbid")
    uid: str = Field(min_length=8, max_length=64)
    kind: str = Field(max_length=20)
    at: str = Field(max_length=40)
    body: dict[str, Any]
    corrects: int | None = Field(None, ge=1, le=2**53)


class Answered(BaseModel):
    """What became of an entry: where it stands, or why not; earlier ones that say the same."""

    uid: str
    seq: int | None = None
    repeated: bool = False
    told: str = ""
    refused: str = ""


@dataclass(frozen=True)
class Line:
    """One entry as it is shown."""

    seq: int
    when: str
    who: str
    kind: Message
    words: str
    replaced: bool


@contextmanager
def opened(request: Request, name: str) -> Iterator[Record]:
    """The record of a job, for one request."""
    folder = desk_of(request).store.folder(name)
    if not (folder / FILE_NAME).exists():
        raise TimbrelError(say("This job has no record yet; the master begins it."))
    record = Record.open(folder)
    try:
        yield record
    finally:
        record.close()


def visitor(request: Request, name: str, record: Record) -> Person | None:
    """Who is at the other end: by the link kept in a cookie; at this machine itself, the master.

    Without a link a page shared on the network only reads.
    """
    secret = request.cookies.get(f"{COOKIE}-{name}")
    if secret:
        return who_enters(record, secret, _source(request))
    return person_of(record, 1) if at_the_machine(request) else None


def at_the_machine(request: Request) -> bool:
    """Does the browser run on the machine that keeps the job, and ask by its loopback name.

    What a proxy passes on never does: behind one, everybody would seem to sit at the machine.
    """
    if not request.app.state.door.token:
        return True
    named = urlsplit(f"//{request.headers.get('host', '')}").hostname
    passed_on = any(name in request.headers for name in PASSED_ON)
    return _source(request) in LOOPBACK and named in LOOPBACK and not passed_on


def _source(request: Request) -> str:
    return request.client.host if request.client else "unknown"


def _must(who: Person | None, kind: str) -> Person:
    if who is None or not may_write(who.role, kind):
        allowed = ", ".join(r.value for r in Role if may_write(r, kind))
        raise TimbrelError(
            say(
                "You came in without a link that lets you do this; it needs: {roles}.",
                roles=allowed,
            ),
            key="link" if who is None else "role",
        )
    return who


@router.get("", response_class=HTMLResponse)
def record_page(request: Request, name: str, link: str = "") -> Response:
    """The record of a job: what to enter, what was entered, what it comes to."""
    store = desk_of(request).store
    if not (store.folder(name) / FILE_NAME).exists():
        return page(request, "record_begin.html", name=name)
    if link:
        with opened(request, name) as record:
            who_enters(record, link, _source(request))
        answer = RedirectResponse(f"{job_path(name)}/record", SEE_OTHER)
        answer.set_cookie(
            f"{COOKIE}-{name}", link, max_age=366 * 86400, httponly=True, samesite="strict"
        )
        return answer
    planned = plan_or_refuse(desk_of(request), name)
    job = planned.plan.job
    with opened(request, name) as record:
        who = visitor(request, name, record)
        forms = [
            form
            for form in entry_forms(
                tuple(job.tiles), tuple(job.binders), rods_of(planned.plan.bond)
            )
            if who is not None and may_write(who.role, form.kind)
        ]
        return page(
            request,
            "record.html",
            name=name,
            title=job.job.title,
            who=who,
            role_names=ROLE_NAMES,
            forms=forms,
            head=record.head(),
            lines=_lines(request, record),
            master=who is not None and "token" in MAY_WRITE[who.role],
            people=[person_of(record, e.seq) for e in record.standing("person")],
            links=_links(record),
        )


@router.post("/begin", response_class=RedirectResponse, status_code=SEE_OTHER)
def begin(
    request: Request, name: str, master: Annotated[str, Form(min_length=1, max_length=120)]
) -> Response:
    """Begin the record, at this machine only."""
    if not at_the_machine(request):
        raise TimbrelError(say("A record is begun at the machine that keeps the job."))
    record = Record.open(desk_of(request).store.folder(name))
    try:
        record.found(master, uuid4().hex)
    finally:
        record.close()
    return RedirectResponse(f"{job_path(name)}/record", SEE_OTHER)


@router.post("/entries")
def take_entries(request: Request, name: str, sent: list[Sent]) -> list[Answered]:
    """Take entries in order; each is taken or refused by itself, and the same uid is taken once."""
    voice = voice_of(request)
    if len(sent) > 200:
        raise TimbrelError(say("At most 200 entries are taken at once; send them in parts."))
    with opened(request, name) as record:
        who = visitor(request, name, record)
        if who is None:
            _must(who, "note")  # all of them wait on the phone until it has a link again
        answers = []
        for one in sent:
            try:
                author = _must(who, one.kind if one.kind in KIND_NAMES else "note")
                body = dict(one.body)
                if one.kind == "signature":
                    # What is signed is the chain as it stands when the signature arrives.
                    body["head"] = record.head()[1]
                taken = _retaken(record, one) or record.add(
                    uid=one.uid,
                    kind=one.kind,
                    author=author.seq,
                    body=body,
                    at=one.at,
                    corrects=one.corrects,
                )
                told = ""
                if taken.later_than:
                    told = voice(
                        say(
                            "Somebody entered the same before: entry {seq}. Both are kept; look "
                            "which one stands.",
                            seq=taken.later_than[-1],
                        )
                    )
                answers.append(
                    Answered(uid=one.uid, seq=taken.entry.seq, repeated=taken.repeated, told=told)
                )
            except TimbrelError as error:
                answers.append(Answered(uid=one.uid, refused=voice(error.message)))
        return answers


def _retaken(record: Record, one: Sent) -> Any:
    """A signature that arrives again: its head has moved on, so its uid alone is looked for."""
    return record.taken_before(one.uid) if one.kind == "signature" else None


@router.post("/photos")
async def take_photo(request: Request, name: str) -> JSONResponse:
    """Keep a picture; answers its digest and media type, for the entry that follows."""
    from fastapi.concurrency import run_in_threadpool

    data = await request.body()

    def keep() -> JSONResponse:
        with opened(request, name) as record:
            _must(visitor(request, name, record), "photo")
            digest, media = record.keep_picture(data)
            return JSONResponse({"digest": digest, "media": media, "size": len(data)})

    return await run_in_threadpool(keep)


@router.get("/photos/{digest}")
def photo(request: Request, name: str, digest: str) -> Response:
    """One picture."""
    with opened(request, name) as record:
        found = record.picture(digest)
    if found is None:
        raise TimbrelError(say("There is no such picture in this record."))
    return Response(found[1], media_type=found[0])


@router.get("/latest", response_class=HTMLResponse)
def latest(request: Request, name: str) -> HTMLResponse:
    """The newest entries, for a page that is open."""
    with opened(request, name) as record:
        return page(
            request, "record_lines.html", name=name, lines=_lines(request, record),
            head=record.head(),
        )  # fmt: skip


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


@router.post("/people", response_class=HTMLResponse)
def enter_person(
    request: Request,
    name: str,
    who: Annotated[str, Form(min_length=1, max_length=120)],
    role: Annotated[Role, Form()],
    days: Annotated[float, Form(gt=0, le=366)] = 30.0,
) -> HTMLResponse:
    """Enter a person and show the link, once."""
    import segno

    with opened(request, name) as record:
        author = _must(visitor(request, name, record), "token")
        body = {"name": who, "role": role.value}
        entry = record.add(uid=uuid4().hex, kind="person", author=author.seq, body=body).entry
        secret, _ = make_link(record, author=author.seq, person=entry.seq, days=days)
    door = request.app.state.door
    home = door.address or str(request.base_url).rstrip("/")
    link = f"{home}{job_path(name)}/record?link={secret}"
    if door.token:
        link += f"&token={door.token}"
    return page(
        request,
        "record_link.html",
        name=name,
        person=who,
        link=link,
        code=segno.make(link, error="m").svg_data_uri(scale=4),
    )


@router.post("/links/{seq}/revoke", response_class=RedirectResponse, status_code=SEE_OTHER)
def revoke(request: Request, name: str, seq: int) -> Response:
    """End a link."""
    with opened(request, name) as record:
        author = _must(visitor(request, name, record), "token_revoked")
        revoke_link(record, author=author.seq, token=seq)
    return RedirectResponse(f"{job_path(name)}/record", SEE_OTHER)


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


def _lines(request: Request, record: Record) -> list[Line]:
    voice = voice_of(request)
    every = record.entries()
    replaced = {e.corrects for e in every if e.corrects is not None}
    names = {e.seq: e.body["name"] for e in every if e.kind == "person"}
    return [
        Line(
            e.seq,
            e.at[:16].replace("T", " "),
            names.get(e.author, ""),
            KIND_NAMES[e.kind],
            spoken_body(voice, e),
            e.seq in replaced,
        )
        for e in reversed(every[-SHOWN:])
    ]


def _links(record: Record) -> list[tuple[int, str, str]]:
    """Links that still let somebody in: their entry, whose they are, until when."""
    over = {e.body["token"] for e in record.entries(kind="token_revoked")}
    now = datetime.now(UTC)
    return [
        (e.seq, person_of(record, e.body["person"]).name, e.body["expires"][:10])
        for e in record.entries(kind="token")
        if e.seq not in over and datetime.fromisoformat(e.body["expires"]) > now
    ]
