"""Commands that print what the load path sheet shows: `support` and `uncertain`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from timbrel.verdict import Verdict
from timbrel.words import Voice, say

if TYPE_CHECKING:
    pass

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")]
AsJson = Annotated[bool, typer.Option("--json", help="Write the figures as JSON.")]


def add_to(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command()(support)
    app.command()(uncertain)
    app.command()(house)


def support(context: typer.Context, job: JobPath, as_json: AsJson = False) -> None:
    """Say what carries the vault, what would help its walls, and what a tenth does."""
    from timbrel.plan import SurfacePlan, follow_loads, follow_net, follow_studies, make_plan, part
    from timbrel.sheets.loads import load_path_blocks
    from timbrel.sheets.studies import study_blocks
    from timbrel.sheets.surface_carried import carried_blocks

    desk = context.obj
    loaded = desk.read(job)
    with desk.progress() as told:
        plan = make_plan(loaded, part(told, 0.0, 0.4))
        carried = None
        if isinstance(plan, SurfacePlan):
            proved = follow_net(plan, part(told, 0.4, 0.8))
            carried = proved.statics.carried
            plan = follow_studies(proved, part(told, 0.8, 1.0))
        else:
            plan = follow_loads(plan, part(told, 0.4, 1.0))
    if as_json:
        path = plan.carrying if carried is None else carried
        key = "carrying" if carried is None else "carried"
        _print_json({key: path, "studies": plan.studies}, desk.voice)
    elif carried is None:
        _print(load_path_blocks(plan, desk.voice, None))
    else:
        _print([*carried_blocks(carried, desk.voice), *study_blocks(plan, desk.voice)])


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
        _print_json({"studies": plan.studies}, desk.voice)
        return
    assert plan.studies is not None
    _print(sureness(plan.studies, desk.voice))


def house(
    context: typer.Context,
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="The folder of a house, with its house.toml.")
    ],
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="Where the papers go; left out: nothing is written."),
    ] = None,
    whole: Annotated[
        bool,
        typer.Option("--whole", help="Follow every proof, stage and load path; takes longer."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Add up the vaults of one house: one order, one crew's programme, one quote."""
    from timbrel.house import plan_house
    from timbrel.job.house import load_house
    from timbrel.sheets.house_sheet import house_blocks, house_json, write_house

    desk = context.obj
    loaded = load_house(folder)
    title = loaded.file.house
    desk.voice = Voice(desk.language or title.language, title.length_unit)
    with desk.progress() as told:
        jobs = dict(zip(loaded.names, loaded.jobs, strict=True))
        made = plan_house(loaded.file, jobs, told, whole=whole)
    if out is not None:
        write_house(made, out, desk.voice)
        desk.tell(say("The papers of the house lie in {folder}.", folder=out))
    elif as_json:
        typer.echo(house_json(made, desk.voice))
    else:
        _print(house_blocks(made, desk.voice))
    if made.verdict is not Verdict.HOLDS:
        raise typer.Exit(1)


def _print_json(parts: dict[str, object], voice: Voice) -> None:
    import json

    from timbrel.schema.file import LEFT_OUT
    from timbrel.schema.plain import plain

    found = {name: plain(part, voice, LEFT_OUT) for name, part in parts.items()}
    typer.echo(json.dumps(found, ensure_ascii=False, indent=1))


def _print(found: list[dict[str, Any]]) -> None:
    """Blocks as plain text: headings, words, and tables in columns."""
    for block in found:
        if block["kind"] == "heading":
            typer.echo(f"\n{block['words']}")
        elif block["kind"] in ("words", "large"):
            typer.echo(block["words"])
        elif block["kind"] in ("list", "caution"):
            for line in block["lines"]:
                typer.echo(f"  - {line}")
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
