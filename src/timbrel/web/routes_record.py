"""The site's record on the page: it is begun, entries come from phones, people get their links."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Any
from uuid import uuid4

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from timbrel.records.asbuilt import must_be_on
from timbrel.records.kinds import MeasuredPoint
from timbrel.records.links import make_link, person_of, revoke_link, who_enters
from timbrel.records.roles import MAY_WRITE, ROLE_NAMES, Role, may_write
from timbrel.records.store import FILE_NAME, Record
from timbrel.records.words import KIND_NAMES, spoken_body
from timbrel.web.desk import desk_of
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.record_door import COOKIE, at_the_machine, must, opened, source_of, visitor
from timbrel.web.record_form import entry_forms, rods_of
from timbrel.web.routes_list import job_path
from timbrel.web.view import good_plan, plan_or_refuse
from timbrel.words import Message, TimbrelError, say

router = APIRouter(prefix="/jobs/{name}/record", tags=["record"])
SEE_OTHER = 303
SHOWN = 40
"""Entries shown on the page, the newest first."""


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


@router.get("", response_class=HTMLResponse)
def record_page(request: Request, name: str, link: str = "") -> Response:
    """The record of a job: what to enter, what was entered, what it comes to."""
    store = desk_of(request).store
    if not (store.folder(name) / FILE_NAME).exists():
        return page(request, "record_begin.html", name=name)
    if link:
        with opened(request, name) as record:
            who_enters(record, link, source_of(request))
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
            must(who, "note")  # all of them wait on the phone until it has a link again
        answers = []
        for one in sent:
            try:
                author = must(who, one.kind if one.kind in KIND_NAMES else "note")
                body = dict(one.body)
                if one.kind == "signature":
                    # What is signed is the chain as it stands when the signature arrives.
                    body["head"] = record.head()[1]
                if one.kind == "point" and record.taken_before(one.uid) is None:
                    _must_be_on(request, name, body)
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


def _must_be_on(request: Request, name: str, body: dict[str, Any]) -> None:
    """Refuse a measured point that cannot be on the vault; what is no point is refused further on."""
    desk = desk_of(request)
    planned, _ = good_plan(desk, desk.store.read(name))
    try:
        point = MeasuredPoint(**body)
    except ValidationError:
        return
    if planned is not None:
        must_be_on(planned.plan.vault, point)


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
            must(visitor(request, name, record), "photo")
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
        author = must(visitor(request, name, record), "token")
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
        author = must(visitor(request, name, record), "token_revoked")
        revoke_link(record, author=author.seq, token=seq)
    return RedirectResponse(f"{job_path(name)}/record", SEE_OTHER)


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
