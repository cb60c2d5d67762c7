"""Everything that is written down for a plan, put in place at once or not at all."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from timbrel.words import Message, Progress, TimbrelError, Voice, say, silent

if TYPE_CHECKING:
    from timbrel.plan import Plan

MARK = ".timbrel-pack"
"""Stands in every folder that we wrote; a folder without it is never replaced."""


def voice_of(plan: Plan) -> Voice:
    """The language and the unit that the job asks for."""
    return Voice(plan.job.job.language, plan.job.job.length_unit)


def write_pack(plan: Plan, folder: Path, progress: Progress = silent) -> None:
    """Write plan.json, pack.pdf, template.pdf, drawings, tables and models into a folder.

    All is written into a folder beside it, which then takes its place: what is found there is
    always a whole pack. Raises TimbrelError when the folder cannot be written, or holds something
    that is not a pack.
    """
    folder = folder.absolute()
    _refuse_strangers(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    except OSError as error:
        raise _cannot_write(folder, error) from error
    try:
        made.chmod(0o755)
        for what, share, name, content in pack_files(plan):
            progress(what, share)
            target = made / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
        (made / MARK).write_bytes(b"")
        _put_in_place(made, folder)
    except OSError as error:
        raise _cannot_write(folder, error) from error
    finally:
        shutil.rmtree(made, ignore_errors=True)
    progress(say("Written"), 1.0)


def pack_files(plan: Plan) -> Iterator[tuple[Message, float, str, bytes]]:
    """Each file of the pack: what is being made, share done before it, its name, its content."""
    from timbrel.plan import plan_json
    from timbrel.schema.file import json_schema
    from timbrel.sheets.book import pack_pdf
    from timbrel.sheets.drawings import drawings
    from timbrel.sheets.rows import all_tables
    from timbrel.sheets.svg import to_dxf
    from timbrel.sheets.template import template_pdf
    from timbrel.sheets.workbook import to_csv, to_xlsx

    voice = voice_of(plan)
    text = json.dumps(plan_json(plan), ensure_ascii=False, allow_nan=False)
    yield say("Figures"), 0.0, "plan.json", (text + "\n").encode()
    schema = json.dumps(json_schema(), ensure_ascii=False)
    yield say("Figures"), 0.08, "plan.schema.json", (schema + "\n").encode()
    tables = all_tables(plan, voice)
    yield say("Tables"), 0.1, "tables.xlsx", to_xlsx(tables, voice)
    for table in tables:
        yield say("Tables"), 0.15, f"tables/{table.name}.csv", to_csv(table, voice)
    pictures = drawings(plan, voice)
    yield say("Sheets"), 0.3, "pack.pdf", pack_pdf(plan, voice, pictures)
    yield say("Template"), 0.6, "template.pdf", template_pdf(plan, voice)
    for i, (name, picture) in enumerate(pictures.items()):
        share = 0.65 + 0.2 * i / len(pictures)
        yield say("Drawings"), share, f"drawings/{name}.dxf", to_dxf(picture)
        yield say("Drawings"), share, f"drawings/{name}.svg", picture.svg.encode()
    yield from _certificates(plan)
    yield from _models(plan)


def _certificates(plan: Plan) -> Iterator[tuple[Message, float, str, bytes]]:
    """Every state of equilibrium that is told, with all that is needed to check it again."""
    from timbrel.plan import SurfacePlan

    if not isinstance(plan, SurfacePlan) or plan.net is None:
        return
    from timbrel.statics.certificate import certificate_bytes
    from timbrel.statics.net_proof import bed_certificate

    for factor in plan.net.factors:
        if factor.alike is None:
            name = f"certificates/{factor.pattern}.npz"
            yield say("Certificates"), 0.84, name, certificate_bytes(factor.certificate)
    beds = bed_certificate(plan.net)
    if beds is not None:
        yield say("Certificates"), 0.84, "certificates/beds.npz", certificate_bytes(beds)


def _models(plan: Plan) -> Iterator[tuple[Message, float, str, bytes]]:
    from timbrel.sheets.models import shell_stl, tiles_glb

    yield say("Models"), 0.85, "model/tiles.glb", tiles_glb(plan)
    yield say("Models"), 0.95, "model/shell.stl", shell_stl(plan)


def _refuse_strangers(folder: Path) -> None:
    """Never throw away what we did not write."""
    if folder.is_dir() and not (folder / MARK).exists() and any(folder.iterdir()):
        raise TimbrelError(
            say(
                "The folder {folder} holds files that are not a pack; give a new or empty folder "
                "with --out.",
                folder=folder,
            ),
            key="out",
        )
    if folder.exists() and not folder.is_dir():
        raise TimbrelError(
            say("{folder} is a file; give a folder with --out.", folder=folder), key="out"
        )


def _cannot_write(folder: Path, error: OSError) -> TimbrelError:
    return TimbrelError(
        say(
            "The folder {folder} cannot be written ({reason}); give another with --out.",
            folder=folder,
            reason=error.strerror or str(error),
        ),
        key="out",
    )


def _put_in_place(made: Path, folder: Path) -> None:
    """Move the old pack aside, the new one in, and only then take the old one away."""
    if not folder.exists():
        made.rename(folder)
        return
    aside = Path(tempfile.mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
    old = aside / "pack"
    folder.rename(old)
    try:
        made.rename(folder)
    except OSError:
        old.rename(folder)
        aside.rmdir()
        raise
    shutil.rmtree(aside, ignore_errors=True)
