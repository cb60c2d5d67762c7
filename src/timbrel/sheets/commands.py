"""Commands that print what sheets show, or more: `support`, `uncertain`, `bounds` and `house`."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from timbrel.verdict import Verdict
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.statics.close_bounds import CloseBounds

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")]
AsJson = Annotated[bool, typer.Option("--json", help="Write the figures as JSON.")]


def add_to(app: typer.Typer) -> None:
    """Add the commands to the command line."""
    app.command()(support)
    app.command()(uncertain)
    app.command()(bounds)
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


def bounds(context: typer.Context, job: JobPath, as_json: AsJson = False) -> None:
    """Say how closely it is known what the vault bears. Looks longer than a plan. Ctrl-C stops it."""
    from timbrel.plan import SurfacePlan, follow_net, make_plan, part
    from timbrel.statics.close_bounds import bounds_of_strip, closer_bounds

    desk = context.obj
    loaded = desk.read(job)
    with desk.progress() as told:
        plan = make_plan(loaded, part(told, 0.0, 0.1))
        if isinstance(plan, SurfacePlan):
            proof = follow_net(plan, part(told, 0.1, 0.3)).net
            governs = None if proof is None else proof.governing
            found = None
            if governs is not None:
                found = closer_bounds(plan.job, plan.vault, governs, part(told, 0.3, 1.0))
        else:
            found = bounds_of_strip(plan.statics.worst)
    if as_json:
        _print_json({"bounds": found}, desk.voice)
        return
    for line in bounds_lines(found):
        desk.tell(line)


def bounds_lines(found: CloseBounds | None) -> list[Message]:
    """What is known of the load that governs, sentence by sentence."""
    if found is None:
        return [
            say(
                "No imposed load is stated, or the vault does not stand: there is nothing to bound."
            )
        ]
    if not math.isfinite(found.least):
        borne = say("Nothing that was tried bounds how often it is borne.")
    elif found.more:
        borne = say(
            "It is borne {least:ratio} times at least, and was followed no further.",
            least=found.least,
        )
    else:
        borne = say("It is borne {least:ratio} times at least.", least=found.least)
    lines = [say("The load that governs: {load}.", load=found.load), borne, found.least_by]
    if found.most is None:
        lines.append(say("No upper bound: {why}", why=found.most_by))
    else:
        lines += [say("At {most:ratio} times the vault falls.", most=found.most), found.most_by]
    if found.gap is not None:
        lines.append(say("The two are {gap:percent} apart.", gap=found.gap))
    lines.append(
        say(
            "Both rest on what the job states. A competent engineer signs the design; local rules come "
            "first; nobody stands under fresh work."
        )
    )
    return lines


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
