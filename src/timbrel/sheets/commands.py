"""Commands that print what the load path sheet shows: `support` and `uncertain`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from timbrel.words import TimbrelError, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")]
AsJson = Annotated[bool, typer.Option("--json", help="Write the figures as JSON.")]


def add_to(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command()(support)
    app.command()(uncertain)


def support(context: typer.Context, job: JobPath, as_json: AsJson = False) -> None:
    """Say what carries the vault, what would help its walls, and what a tenth does."""
    from timbrel.plan import follow_loads, make_plan, part
    from timbrel.sheets.loads import load_path_blocks

    desk = context.obj
    loaded = desk.read(job)
    with desk.progress() as told:
        plan = make_plan(loaded, part(told, 0.0, 0.5))
        _refuse_on_a_plan(plan)
        plan = follow_loads(plan, part(told, 0.5, 1.0))
    if as_json:
        _print_json(plan, desk.voice, ("carrying", "studies"))
        return
    _print(load_path_blocks(plan, desk.voice, None))


def uncertain(
    context: typer.Context,
    job: JobPath,
    samples: Annotated[
        int | None, typer.Option(min=20, max=20000, help="Samples; the job's, if left out.")
    ] = None,
    seed: Annotated[
        int | None, typer.Option(min=0, help="Random seed; the job's, if left out.")
    ] = None,
    workers: Annotated[
        int | None, typer.Option(min=1, max=64, help="Processes; all cores, if left out.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say how often the vault would fail if it is not quite what was stated. Ctrl-C stops it."""
    from timbrel.plan import draw_samples, make_plan, part
    from timbrel.sheets.studies import sureness

    desk = context.obj
    loaded = desk.read(job)
    with desk.progress() as told:
        plan = make_plan(loaded, part(told, 0.0, 0.1))
        plan = draw_samples(plan, part(told, 0.1, 1.0), samples=samples, seed=seed, workers=workers)
    if as_json:
        _print_json(plan, desk.voice, ("studies",))
        return
    assert plan.studies is not None
    _print(sureness(plan.studies, desk.voice))


def _refuse_on_a_plan(plan: Plan) -> None:
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        raise TimbrelError(
            say(
                "A vault of kind {family} is followed into its supports by its net: see the net's "
                "sheet of the pack. Accepted here: barrel and flight.",
                family=plan.vault.family,
            ),
            key="curve.family",
        )


def _print_json(plan: Plan, voice: Voice, names: tuple[str, ...]) -> None:
    import json

    from timbrel.schema.file import LEFT_OUT
    from timbrel.schema.plain import plain

    found = {name: plain(getattr(plan, name), voice, LEFT_OUT) for name in names}
    typer.echo(json.dumps(found, ensure_ascii=False, indent=1))


def _print(found: list[dict[str, Any]]) -> None:
    """Blocks as plain text: headings, words, and tables in columns."""
    for block in found:
        if block["kind"] == "heading":
            typer.echo(f"\n{block['words']}")
        elif block["kind"] == "words":
            typer.echo(block["words"])
        elif block["kind"] == "table":
            _print_table(block)


def _print_table(block: dict[str, Any]) -> None:
    rows = [block["head"], *block["rows"]]
    widths = [max(len(str(row[i])) for row in rows) for i in range(len(block["head"]))]
    for row in rows:
        cells = [
            str(cell).rjust(width) if align == "r" else str(cell).ljust(width)
            for cell, width, align in zip(row, widths, block["align"], strict=True)
        ]
        typer.echo("  " + "  ".join(cells).rstrip())
