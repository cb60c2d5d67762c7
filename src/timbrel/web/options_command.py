"""`timbrel options`: options of a job side by side on the terminal, as JSON, or as a sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from timbrel.words import Message, TimbrelError, Voice, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from timbrel.job.load import Loaded
    from timbrel.job.model import Job
    from timbrel.options import Care, Option


def options(
    context: typer.Context,
    job: Annotated[Path, typer.Argument(metavar="JOB", help="A job file, or the folder it is in.")],
    vary: Annotated[str, typer.Option(help="What to vary: all, rise, family or layers.")] = "all",
    care: Annotated[
        str,
        typer.Option(help="Sort by: safety, thrust, walls, headroom, tiles, cuts, days or price."),
    ] = "safety",
    as_json: Annotated[bool, typer.Option("--json", help="Write the options as JSON.")] = False,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the comparison as a PDF sheet.")
    ] = None,
    take: Annotated[
        str | None,
        typer.Option(metavar="KEY", help="Make this option the job; the old one stays beside it."),
    ] = None,
) -> None:
    """Plan three to five options for the room and set them side by side."""
    from timbrel.options import CARES, VARIES, compare

    desk = context.obj
    loaded = desk.read(job)
    for key, given, known in (("vary", vary, VARIES), ("care", care, CARES)):
        if given not in known:
            raise TimbrelError(
                say("--{key} is {given}; accepted: one of {known}.", key=key, given=given,
                    known=", ".join(known)),
                key=key,
            )  # fmt: skip
    with desk.progress() as told:
        found = compare(loaded.job, care, told, vary=vary)  # type: ignore[arg-type]
    refused = {option.refused for option in found}
    if len(refused) == 1 and (reason := refused.pop()) is not None:
        raise TimbrelError(reason)  # no option escapes it: it is the job's fault, not the option's
    # What is written is written first: a reader who closes the pipe early loses words alone.
    done: list[Message] = []
    if out is not None:
        _write_sheet(found, loaded.job, care, desk.voice, out)
        done.append(say("The comparison lies in {file}.", file=out))
    if take is not None:
        done.append(_take(found, loaded, take, care))  # type: ignore[arg-type]
    if as_json:
        typer.echo(_as_json(found, desk.voice))
    else:
        for line in _told(found, loaded.job, desk.voice):
            typer.echo(line)
    for message in done:
        desk.tell(message)


def _told(found: Sequence[Option], job: Job, voice: Voice) -> list[str]:
    """Each option with its figures under it: a terminal is narrow."""
    from timbrel.sheets.blocks import verdict_word
    from timbrel.sheets.options_sheet import measured_rows

    lines: list[str] = []
    for option in found:
        one = option.candidate
        lines.append(f"[{one.key}] {voice(one.title)}")
        if option.figures is None:
            assert option.refused is not None
            lines.append(f"    {voice(option.refused)}")
            continue
        lines.append(f"    {verdict_word(voice, option.figures.verdict)}")
        rows = measured_rows([option], job.prices.currency, voice)
        lines += [f"    {voice(r.label)}: {r.cells[0]}" for r in rows if r.cells[0] != "–"]
        if one.note is not None:
            lines.append(f"    {voice(one.note)}")
    return lines


def _as_json(found: Sequence[Option], voice: Voice) -> str:
    """Figures in SI, texts in the reader's language."""
    import json

    from timbrel.schema.plain import plain

    rows = [
        {
            "key": option.candidate.key,
            "title": voice(option.candidate.title),
            "edits": option.candidate.edits,
            "layers": option.candidate.layers,
            "note": voice(option.candidate.note) if option.candidate.note else None,
            "figures": plain(option.figures, voice) if option.figures else None,
            "refused": voice(option.refused) if option.refused else None,
        }
        for option in found
    ]
    return json.dumps(rows, ensure_ascii=False, indent=1, allow_nan=False)


def _write_sheet(found: Sequence[Option], job: Job, care: str, voice: Voice, out: Path) -> None:
    from timbrel.sheets.options_sheet import options_blocks
    from timbrel.sheets.paper import typeset
    from timbrel.sheets.sheet import title_head, words_sheet
    from timbrel.web.files import write_beside

    blocks = options_blocks(found, job.prices.currency, care, voice)  # type: ignore[arg-type]
    sheet = words_sheet(voice, say("Options for this room"), say("Choice"), blocks, columns=1)
    data = {"paper": job.site.sheet, "head": title_head(voice, job.job), "sheets": [sheet]}
    file = out.absolute()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        write_beside(file, typeset("pack.typ", data))
    except OSError as error:
        raise TimbrelError(
            say("{file} cannot be written ({reason}); give another place with --out.",
                file=file, reason=error.strerror or str(error)),
            key="out",
        ) from error  # fmt: skip


def _take(found: Sequence[Option], loaded: Loaded, key: str, care: Care) -> Message:
    """Put an option in the place of the job, with what it was chosen over; what was there is kept
    beside it."""
    from datetime import date

    from timbrel.job.load import read_job
    from timbrel.web.choosing import with_choice, with_option
    from timbrel.web.files import write_beside

    path = loaded.path
    option = next((o for o in found if o.candidate.key == key), None)
    if option is None or option.figures is None or path is None:
        raise TimbrelError(
            say("--take is {given}; accepted: one of {known}.", given=key,
                known=", ".join(o.candidate.key for o in found if o.figures)),
            key="take",
        )  # fmt: skip
    before = path.read_text(encoding="utf-8")
    text = with_option(before, option.candidate)
    text = with_choice(text, found, key, care, date.today(), loaded.job)
    read_job(text)
    kept = path.with_suffix(".before.toml")
    write_beside(kept, before.encode())
    write_beside(path, text.encode())
    return say("{file} is now: {title}. What it was lies in {kept}.", file=path,
               title=option.candidate.title, kept=kept)  # fmt: skip
