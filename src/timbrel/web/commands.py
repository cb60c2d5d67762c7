"""The page's commands: serve a folder of jobs, write the site sheet of one, compare its options."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from timbrel.web.options_command import options
from timbrel.words import LANGUAGES, TimbrelError, Voice, say


def add_to(app: typer.Typer) -> None:
    """Add `serve`, `sitesheet` and `options` to the command line."""
    app.command()(serve)
    app.command()(sitesheet)
    app.command()(options)


def serve(
    context: typer.Context,
    jobs: Annotated[
        Path, typer.Argument(metavar="JOBS", help="Folder of jobs; made if it is not there.")
    ] = Path("jobs"),
    share: Annotated[
        bool, typer.Option("--share", help="Open it to the network, with a token in the link.")
    ] = False,
    port: Annotated[int | None, typer.Option(min=1, max=65535, help="Port to answer on.")] = None,
) -> None:
    """Open the page: make, change, check, print and share jobs in a browser."""
    from timbrel.web import serve as page

    if jobs.exists() and not jobs.is_dir():
        raise TimbrelError(say("{name} is not a folder of jobs.", name=jobs), key="jobs")
    place = page.place_of(share, port)
    for message in page.told(place):
        context.obj.tell(message)
    if place.token:
        typer.echo(page.qr_text(place.link))
    page.serve(jobs, place)


def sitesheet(
    context: typer.Context,
    job: Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")],
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Where to write it; left out: site.html by the job."),
    ] = None,
) -> None:
    """Write the site sheet: one HTML file for the crew's phones, that needs no network."""
    from timbrel.plan import follow_all, make_plan
    from timbrel.web.files import write_beside
    from timbrel.web.sitesheet import site_sheet_of

    desk = context.obj
    loaded = desk.read(job)
    plan = follow_all(make_plan(loaded))
    title = plan.job.job
    language = desk.language if desk.language in LANGUAGES else title.language
    text = site_sheet_of(plan, Voice(language, title.length_unit))
    beside = loaded.path.parent if loaded.path is not None else Path()
    file = (out or beside / "site.html").absolute()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        write_beside(file, text.encode())
    except OSError as error:
        raise TimbrelError(
            say("{file} cannot be written ({reason}); give another place with --out.",
                file=file, reason=error.strerror or str(error))
        ) from error  # fmt: skip
    desk.tell(say("The site sheet lies in {file}.", file=file))
