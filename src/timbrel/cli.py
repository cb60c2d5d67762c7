"""The command line, thin: each command is one function that calls the rooms of the house.

Heavy libraries are imported inside the commands, so that ``timbrel --help`` answers at once. To
add a command, write one function under ``@app.command()`` that takes the Desk from its context.

Exit status: 0 done (``check``: all hold); 1 ``check``: something fails or is not judged; 2 the job
cannot be read or planned, or the command was not understood; 70 timbrel itself broke; 130 stopped.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperGroup

from timbrel.words import LANGUAGES, Message, Progress, TimbrelError, Voice, catalogue, say

if TYPE_CHECKING:
    from timbrel.job import Loaded
    from timbrel.plan import Plan
    from timbrel.verdict import Check


REDRAWN = 0.1
"""The bar is drawn again after so many seconds at the soonest."""


class Exit(IntEnum):
    """What the command line answers to the shell."""

    DONE = 0
    DOES_NOT_HOLD = 1
    REFUSED = 2
    BROKEN = 70
    STOPPED = 130


@dataclass
class Desk:
    """Where the reader sits: the language that was asked for, and the voice of the job read."""

    language: str | None = None
    voice: Voice = field(default_factory=Voice)

    def read(self, job: Path) -> Loaded:
        """Read a job, or the job in a folder, and from then on speak as it asks."""
        from timbrel.job import load_job

        loaded = load_job(job)
        title = loaded.job.job
        self.voice = Voice(spoken(self.language or title.language), title.length_unit)
        return loaded

    def tell(self, message: Message) -> None:
        """Say a sentence to the reader."""
        typer.echo(self.voice(message))

    def refuse(self, error: TimbrelError) -> None:
        """Say why not: one sentence, what else was found behind it."""
        typer.echo(self.voice(error.message), err=True)
        for further in error.more:
            typer.echo(f"  - {self.voice(further)}", err=True)

    @contextmanager
    def progress(self) -> Iterator[Progress]:
        """A bar on the terminal while long work goes on; nothing where there is no terminal."""
        from rich.console import Console
        from rich.progress import BarColumn, TextColumn
        from rich.progress import Progress as Bars

        console = Console(stderr=True)
        share = TextColumn("{task.percentage:.0f} %")
        columns = (TextColumn("{task.description}"), BarColumn(), share)
        quiet = not console.is_terminal
        # It is drawn when there is news and not by a thread of its own: with threads about, parts
        # of the work could not be given to other processes.
        bars = Bars(*columns, console=console, transient=True, disable=quiet, auto_refresh=False)
        with bars:
            task = bars.add_task("", total=1.0)
            drawn = 0.0

            def told(what: Message, share: float) -> None:
                nonlocal drawn
                due = time.monotonic() - drawn > REDRAWN
                bars.update(task, completed=share, description=self.voice(what), refresh=due)
                drawn = time.monotonic() if due else drawn

            yield told


def spoken(language: str) -> str:
    """The language if its catalogue is here, else English."""
    try:
        catalogue(language)
    except OSError:
        return "en"
    return language


def _environment_language() -> str:
    """The language of the shell, for what is said before a job has been read."""
    for name in ("LC_ALL", "LC_MESSAGES", "LANG"):
        value = os.environ.get(name)
        if value:
            return spoken(value[:2]) if value[:2] in LANGUAGES else "en"
    return "en"


class Commands(TyperGroup):
    """Ends every command in the house's way: a sentence when refused, nothing left when stopped."""

    def invoke(self, ctx: Any) -> Any:
        try:
            return super().invoke(ctx)
        except TimbrelError as error:
            ctx.obj.refuse(error)
            raise typer.Exit(Exit.REFUSED) from error
        except KeyboardInterrupt as error:
            typer.echo(ctx.obj.voice(say("Stopped; nothing is left half written.")), err=True)
            raise typer.Exit(Exit.STOPPED) from error


app = typer.Typer(
    name="timbrel",
    cls=Commands,
    help="Plans thin-tile vaults: from the measured room to the struck centring.",
    epilog="A vault can fall and kill: an engineer signs the design, local rules come first.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")]


def _version(asked: bool) -> None:
    if asked:
        from timbrel import __version__

        typer.echo(f"timbrel {__version__}")
        raise typer.Exit


@app.callback()
def common(
    context: typer.Context,
    language: Annotated[
        str | None,
        typer.Option(help="Language of the messages: en, es, ca or fr. The job's, if left out."),
    ] = None,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """What all commands share."""
    desk: Desk = context.obj
    if language is not None:
        if language not in LANGUAGES:
            raise TimbrelError(
                say(
                    "--language is {given}; accepted: one of {languages}.",
                    given=language,
                    languages=", ".join(LANGUAGES),
                ),
                key="language",
            )
        desk.language = language
        desk.voice = Voice(spoken(language))


@app.command()
def new(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A new folder for the job.")],
) -> None:
    """Write a commented job of an invented scenario, to be changed into your own."""
    from timbrel.job.new import write_new

    desk: Desk = context.obj
    file = write_new(folder)
    desk.tell(
        say("Written: {file}. Put in your own measures, tiles, binders and prices.", file=file)
    )


@app.command()
def plan(
    context: typer.Context,
    job: JobPath,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="Folder for the pack; left out: pack, beside the job."),
    ] = None,
    since: Annotated[
        Path | None,
        typer.Option(metavar="JOB", help="The job of the last revision: tells what changed."),
    ] = None,
    samples: Annotated[
        int | None,
        typer.Option(min=20, max=20000, help="Draw so many samples of the uncertain vault too."),
    ] = None,
) -> None:
    """Plan a job and write the pack: sheets, template, order, drawings, model, plan.json."""
    _without_collector()
    from timbrel.job import load_job
    from timbrel.plan import changed_since, draw_samples
    from timbrel.sheets.pack import write_pack

    desk: Desk = context.obj
    loaded = desk.read(job)
    earlier = load_job(since).job if since is not None else None
    folder = out if out is not None else _beside(loaded)
    with desk.progress() as told:
        made = _planned(loaded, told, 0.6)
        if earlier is not None:
            made = changed_since(made, earlier)
        if samples is not None:
            made = draw_samples(made, samples=samples)
        write_pack(made, folder, _part(told, 0.6), forking=True)
    _tell_verdicts(desk, made, all_of_them=False)
    desk.tell(say("The pack lies in {folder}.", folder=folder))


@app.command()
def check(
    context: typer.Context,
    job: JobPath,
    as_json: Annotated[bool, typer.Option("--json", help="Write the verdicts as JSON.")] = False,
) -> None:
    """Say only what holds, fails or cannot be judged. Status 0: all hold; 1: not all; 2: no job."""
    _without_collector()
    from timbrel.verdict import Verdict

    desk: Desk = context.obj
    loaded = desk.read(job)
    with desk.progress() as told:
        made = _planned(loaded, told, 1.0, studied=False)
    if as_json:
        typer.echo(_verdicts_json(desk, made))
    else:
        _tell_verdicts(desk, made, all_of_them=True)
    if made.verdict is not Verdict.HOLDS:
        raise typer.Exit(Exit.DOES_NOT_HOLD)


def _without_collector() -> None:
    """No search for rings of objects: what a command makes lives until it ends, soon.

    The search takes a tenth of the time of a pack, and frees a fifteenth of its memory.
    """
    import gc

    gc.disable()


def _beside(loaded: Loaded) -> Path:
    return loaded.path.parent / "pack" if loaded.path is not None else Path("pack")


def _planned(loaded: Loaded, told: Progress, until: float, *, studied: bool = True) -> Plan:
    """The plan with every stage of its building, told as the first share of the work. studied: with
    what would help too, which bears on no verdict."""
    from timbrel.plan import follow_all, follow_verdicts, make_plan, part
    from timbrel.statics.processes import Aside, spare_processors

    made = make_plan(loaded, part(told, 0.0, until / 2))
    with Aside(spare_processors()) as aside:
        follow = follow_all if studied else follow_verdicts
        return follow(made, part(told, until / 2, until), aside)


def _part(told: Progress, start: float) -> Progress:
    from timbrel.plan import part

    return part(told, start, 1.0)


def _tell_verdicts(desk: Desk, made: Plan, *, all_of_them: bool) -> None:
    """The verdicts, those that govern first; what holds only when all are asked for."""
    from timbrel.verdict import Verdict, governing_first

    words = {
        Verdict.HOLDS: desk.voice(say("holds")),
        Verdict.FAILS: desk.voice(say("fails")),
        Verdict.NOT_JUDGED: desk.voice(say("not judged")),
    }
    width = max(map(len, words.values()))
    for found in governing_first(made.checks):
        if all_of_them or found.verdict is not Verdict.HOLDS:
            typer.echo(f"{words[found.verdict]:{width}}  {desk.voice(_line(desk, found))}")
    counts = {verdict: sum(c.verdict is verdict for c in made.checks) for verdict in Verdict}
    desk.tell(
        say(
            "{holds:count} hold, {fails:count} fail, {not_judged:count} are not judged.",
            holds=counts[Verdict.HOLDS],
            fails=counts[Verdict.FAILS],
            not_judged=counts[Verdict.NOT_JUDGED],
        )
    )
    desk.tell(
        say(
            "These verdicts rest on what the job states. A competent engineer signs the design; "
            "local rules come first; nobody stands under fresh work."
        )
    )


def _line(desk: Desk, found: Check) -> Message:
    """One verdict: what was checked, what came out against what was wanted, and why."""
    value, limit = _spoken(desk, found.value, found.kind), _spoken(desk, found.limit, found.kind)
    values = {"title": found.title, "value": value, "limit": limit, "reason": found.reason}
    if found.value is None or found.limit is None:
        return say("{title}. {reason}", **values)
    if found.at_least:
        return say("{title}: {value}, at least {limit} wanted. {reason}", **values)
    return say("{title}: {value}, at most {limit} accepted. {reason}", **values)


def _spoken(desk: Desk, value: float | None, kind: str) -> str:
    return desk.voice.quantity(value, kind) if kind else str(value)


def _verdicts_json(desk: Desk, made: Plan) -> str:
    """The verdicts for another program: values in SI, texts in the reader's language."""
    import json

    from timbrel.verdict import governing_first

    checks = [
        {
            "name": found.name,
            "verdict": found.verdict,
            "title": desk.voice(found.title),
            "value": found.value,
            "limit": found.limit,
            "kind": found.kind,
            "at_least": found.at_least,
            "reason": desk.voice(found.reason),
            "source": found.source,
        }
        for found in governing_first(made.checks)
    ]
    return json.dumps({"verdict": made.verdict, "checks": checks}, ensure_ascii=False, indent=1)


def _add_rooms() -> None:
    """Commands that live in their own rooms."""
    from timbrel.records.commands import app as record
    from timbrel.sheets.commands import add_to as add_figures
    from timbrel.web.commands import add_to

    app.add_typer(record, name="record")
    add_figures(app)
    add_to(app)


def main() -> None:
    """Start the command line."""
    _add_rooms()
    try:
        app(prog_name="timbrel", obj=Desk(voice=Voice(_environment_language())))
    except Exception:
        import traceback

        traceback.print_exc()
        sys.exit(Exit.BROKEN)
