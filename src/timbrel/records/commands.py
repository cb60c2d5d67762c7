"""``timbrel record``: the site's record from the command line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.records.store import Record

app = typer.Typer(
    help="The site's record: what was measured, batched, inspected and signed.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")]


def _folder(job: Path) -> Path:
    return job if job.is_dir() else job.parent


def _existing(job: Path) -> Record:
    from timbrel.records.store import FILE_NAME, Record

    folder = _folder(job)
    if not (folder / FILE_NAME).exists():
        raise TimbrelError(
            say(
                "There is no record beside {job} yet; begin one with: timbrel record start.",
                job=job,
            ),
            key="record",
        )
    return Record.open(folder)


@app.command()
def start(
    context: typer.Context,
    job: JobPath,
    master: Annotated[str, typer.Option(help="The master mason, who may enter the others.")],
) -> None:
    """Begin the record of a job, with its master."""
    from uuid import uuid4

    from timbrel.records.store import Record

    desk: Any = context.obj
    desk.read(job)
    record = Record.open(_folder(job))
    entry = record.found(master, uuid4().hex)
    desk.tell(say("Begun; {master} is entry {seq}.", master=master, seq=entry.seq))


@app.command()
def person(
    context: typer.Context,
    job: JobPath,
    name: str,
    role: Annotated[str, typer.Option(help="master, mason, apprentice, engineer or client")],
    days: Annotated[float, typer.Option(help="Days for which the link is good.")] = 30.0,
) -> None:
    """Enter a person and make the link by which they come in."""
    from uuid import uuid4

    from timbrel.records.links import make_link

    desk: Any = context.obj
    record = _existing(job)
    body = {"name": name, "role": role}
    seq = record.add(uid=uuid4().hex, kind="person", author=1, body=body).entry.seq
    secret, _ = make_link(record, author=1, person=seq, days=days)
    desk.tell(
        say(
            "{name} is entry {seq}. The link, shown only now: ?link={secret}",
            name=name,
            seq=seq,
            secret=secret,
        )
    )


@app.command()
def verify(
    context: typer.Context,
    job: JobPath,
    head: Annotated[str | None, typer.Option(help="A hash noted earlier, to be in it.")] = None,
) -> None:
    """Look for entries that were changed or are missing. Status 0: whole; 1: not."""
    desk: Any = context.obj
    record = _existing(job)
    faults = record.verify(head)
    for fault in faults:
        desk.tell(say("entry {seq}: {what}", seq=fault.seq, what=fault.what))
    count, last = record.head()
    if faults:
        raise typer.Exit(1)
    desk.tell(
        say("{count:count} entries, the chain is whole; last hash {last}.", count=count, last=last)
    )


@app.command()
def export(
    context: typer.Context,
    job: JobPath,
    out: Annotated[Path, typer.Option(metavar="FILE", help="FILE.json, or FILE.csv")],
) -> None:
    """Write the record as JSON (whole, pictures too) or CSV, by the documented schema."""
    from timbrel.records.transfer import to_csv, to_json

    desk: Any = context.obj
    record = _existing(job)
    if out.suffix not in (".json", ".csv"):
        raise TimbrelError(
            say("--out is {out}; a name ending in .json or .csv is accepted.", out=out), key="out"
        )
    _write(out, (to_csv if out.suffix == ".csv" else to_json)(record).encode())
    desk.tell(say("Written: {out}.", out=out))


@app.command("import")
def import_(
    context: typer.Context,
    job: JobPath,
    file: Annotated[Path, typer.Argument(help="An exported record, JSON.")],
) -> None:
    """Read an exported record into a job that has none."""
    from timbrel.records.transfer import from_json

    desk: Any = context.obj
    desk.read(job)
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise TimbrelError(
            say("{file} cannot be read: {why}.", file=file, why=error), key="file"
        ) from error
    record = from_json(text, _folder(job))
    desk.tell(say("Read: {count:count} entries.", count=record.head()[0]))


@app.command("close")
def close_(
    context: typer.Context,
    job: JobPath,
    out: Annotated[Path, typer.Option(metavar="FILE", help="The close-out file, PDF.")],
) -> None:
    """Write the close-out file: record, signatures, deviations, readings, photographs."""
    from timbrel.plan import make_plan, part
    from timbrel.records.closeout import close_out_pdf, gather

    desk: Any = context.obj
    loaded = desk.read(job)
    record = _existing(job)
    with desk.progress() as told:
        plan = make_plan(loaded, part(told, 0.0, 0.4))
        pdf = close_out_pdf(gather(plan, record), desk.voice, part(told, 0.4, 1.0))
    _write(out, pdf)
    desk.tell(say("Written: {out}.", out=out))


def _write(out: Path, content: bytes) -> None:
    """Beside, then renamed: never half a file."""
    beside = out.with_name(f".{out.name}.part")
    try:
        beside.write_bytes(content)
        beside.replace(out)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise TimbrelError(
            say("{out} cannot be written: {why}.", out=out, why=error.strerror or str(error)),
            key="out",
        ) from error
