"""Everything that is written down for a plan, put in place at once or not at all."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from timbrel.sheets.beside import Beside
from timbrel.words import Message, Progress, TimbrelError, Voice, say, silent

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.sheets.board import Picture

Files = Iterator[tuple[Message, float, str, bytes]]
"""What is being made, share of the pack done before it, name of the file, its content."""

MARK = ".timbrel-pack"
"""Stands in every folder that we wrote; a folder without it is never replaced."""


def voice_of(plan: Plan) -> Voice:
    """The language and the unit that the job asks for."""
    return Voice(plan.job.job.language, plan.job.job.length_unit)


@dataclass(frozen=True)
class Group:
    """Files of the pack that are made together. beside: they can be made by another process while
    the groups after them are made; without one they are made last."""

    files: Callable[[], Files]
    beside: bool


def write_pack(
    plan: Plan, folder: Path, progress: Progress = silent, *, forking: bool = False
) -> None:
    """Write plan.json, pack.pdf, template.pdf, drawings, tables and models into a folder.

    All is written into a folder beside it, which then takes its place: what is found there is
    always a whole pack. forking: use the other cores of the machine, where this process may fork
    (see :mod:`timbrel.sheets.beside`); the files are the same. Raises TimbrelError when the folder
    cannot be written, or holds something that is not a pack.
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
        with Beside(forking=forking) as others:
            for group in pack_groups(plan, progress):
                work = partial(_write_group, group, made, of_this_process(progress))
                if group.beside:
                    others.begin(work)
                else:
                    work()
        (made / MARK).write_bytes(b"")
        _put_in_place(made, folder)
    except OSError as error:
        raise _cannot_write(folder, error) from error
    finally:
        shutil.rmtree(made, ignore_errors=True)
    progress(say("Written"), 1.0)


def of_this_process(progress: Progress) -> Progress:
    """Progress that is told by this process and by none that is forked from it: one hand draws."""
    teller = os.getpid()

    def told(what: Message, share: float) -> None:
        if os.getpid() == teller:
            progress(what, share)

    return told


def _write_group(group: Group, made: Path, progress: Progress) -> None:
    for what, share, name, content in group.files():
        progress(what, share)
        target = made / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)


def pack_files(plan: Plan) -> Files:
    """Each file of the pack, one after the other, as one process makes them."""
    for group in sorted(pack_groups(plan), key=lambda group: group.beside):
        yield from group.files()


def pack_groups(plan: Plan, progress: Progress = silent) -> Iterator[Group]:
    """The files in groups. What a group shows is made before it is given out."""
    from timbrel.sheets.drawings import drawings

    voice = voice_of(plan)
    yield Group(lambda: _figure_files(plan, voice), beside=True)
    pictures = drawings(plan, voice)
    yield Group(lambda: _dxf_files(pictures), beside=True)
    for i, picture in enumerate(pictures.values()):
        progress(say("Drawings"), 0.2 + 0.15 * i / len(pictures))
        picture.svg  # noqa: B018 - rendered here, and then known to every process
    yield Group(lambda: _svg_files(pictures), beside=True)
    yield Group(lambda: _paper_files(plan, voice, pictures), beside=False)


def _figure_files(plan: Plan, voice: Voice) -> Files:
    """What stands in figures: plan.json, tables, certificates, models."""
    from timbrel.plan import plan_json
    from timbrel.schema.file import json_schema
    from timbrel.sheets.rows import all_tables
    from timbrel.sheets.workbook import to_csv, to_xlsx

    text = json.dumps(plan_json(plan), ensure_ascii=False, allow_nan=False)
    yield say("Figures"), 0.55, "plan.json", (text + "\n").encode()
    schema = json.dumps(json_schema(), ensure_ascii=False)
    yield say("Figures"), 0.62, "plan.schema.json", (schema + "\n").encode()
    tables = all_tables(plan, voice)
    yield say("Tables"), 0.64, "tables.xlsx", to_xlsx(tables, voice)
    for table in tables:
        yield say("Tables"), 0.72, f"tables/{table.name}.csv", to_csv(table, voice)
    yield from _certificates(plan)
    yield from _models(plan)


def _dxf_files(pictures: dict[str, Picture]) -> Files:
    from timbrel.sheets.svg import to_dxf

    for i, (name, picture) in enumerate(pictures.items()):
        share = 0.85 + 0.1 * i / len(pictures)
        yield say("Drawings"), share, f"drawings/{name}.dxf", to_dxf(picture)


def _svg_files(pictures: dict[str, Picture]) -> Files:
    """The drawings as SVG, with their letters."""
    from timbrel.sheets.face import face, lettered, letters_of

    rules = face(letters_of(picture.svg for picture in pictures.values()))
    for name, picture in pictures.items():
        yield say("Drawings"), 0.96, f"drawings/{name}.svg", lettered(picture.svg, rules).encode()


def _paper_files(plan: Plan, voice: Voice, pictures: dict[str, Picture]) -> Files:
    """What is typeset. Never by another process: like the solver, the typesetter has threads."""
    from timbrel.sheets.book import pack_pdf
    from timbrel.sheets.template import template_pdf

    yield say("Sheets"), 0.35, "pack.pdf", pack_pdf(plan, voice, pictures)
    yield say("Template"), 0.52, "template.pdf", template_pdf(plan, voice)


def _certificates(plan: Plan) -> Files:
    """Every state of equilibrium that is told, with all that is needed to check it again."""
    from timbrel.plan import SurfacePlan

    if not isinstance(plan, SurfacePlan) or plan.net is None:
        return
    from timbrel.statics.certificate import certificate_bytes
    from timbrel.statics.net_proof import bed_certificate

    for factor in plan.net.factors:
        if factor.alike is None:
            name = f"certificates/{factor.pattern}.npz"
            yield say("Certificates"), 0.73, name, certificate_bytes(factor.certificate)
    beds = bed_certificate(plan.net)
    if beds is not None:
        yield say("Certificates"), 0.73, "certificates/beds.npz", certificate_bytes(beds)


def _models(plan: Plan) -> Files:
    from timbrel.sheets.models import shell_stl, tiles_glb

    yield say("Models"), 0.74, "model/tiles.glb", tiles_glb(plan)
    yield say("Models"), 0.84, "model/shell.stl", shell_stl(plan)


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
