"""The file that binds the jobs of one house: what was seen at the first visit, what was chosen, and
in which order the vaults are built. The jobs themselves stay whole in their own folders."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError

from timbrel.job.load import JOB_FILE, Loaded, load_job, text_of
from timbrel.job.model import Title
from timbrel.job.refusals import given_text, nearest
from timbrel.job.table import Table
from timbrel.words import TimbrelError, say

HOUSE_FILE = "house.toml"


class Visit(Table):
    """One visit before the work: who went, what was seen."""

    day: date = Field(description="Date of the visit (2026-10-02)")
    who: str = Field("", max_length=120, description="Who went")
    notes: tuple[str, ...] = Field(min_length=1, description="What was seen, a line each")


class Chosen(Table):
    """One vault of the house."""

    job: str = Field(
        min_length=1, max_length=120, description="Folder of its job, beside this file"
    )
    chosen: str = Field("", max_length=200, description="What was chosen")
    instead_of: tuple[str, ...] = Field((), description="What it was chosen over, a line each")
    why: str = Field("", max_length=400, description="Why")
    after: tuple[str, ...] = Field(
        (), description="Vaults that must have passed their last wait before this one begins"
    )


class HouseFile(Table):
    """A whole house file. vaults: in the order in which the crew prefers to build them."""

    format: Literal[1] = Field(description="Version of this file's format")
    house: Title = Field(description="Title of the house, on every sheet")
    start: date | None = Field(None, description="First morning of the work (2026-11-30)")
    visits: tuple[Visit, ...] = Field((), description="Visits before the work")
    vaults: tuple[Chosen, ...] = Field(min_length=1, max_length=20, description="Its vaults")


@dataclass(frozen=True)
class LoadedHouse:
    """A house and its jobs, in the order of the file. folder: where it was read."""

    file: HouseFile
    jobs: tuple[Loaded, ...]
    folder: Path

    @property
    def names(self) -> tuple[str, ...]:
        """Folders of the jobs."""
        return tuple(vault.job for vault in self.file.vaults)


def load_house(path: Path) -> LoadedHouse:
    """Read a house file, or the ``house.toml`` in a folder, and all its jobs. Raises TimbrelError."""
    file = path / HOUSE_FILE if path.is_dir() else path
    if not file.is_file():
        raise TimbrelError(
            say(
                "There is no house file {name}; it names the jobs of one house, a [[vaults]] with "
                "the folder of each.",
                name=file,
            )
        )
    stated = read_house(text_of(file), str(file))
    folder = file.parent
    return LoadedHouse(stated, tuple(_job(folder, v.job) for v in stated.vaults), folder)


def read_house(text: str, name: str = HOUSE_FILE) -> HouseFile:
    """Read a house from its text. Raises TimbrelError with the key, what was given, what is
    accepted."""
    try:
        stated = tomllib.loads(text.removeprefix("\ufeff"))
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise TimbrelError(
            say("{name} is no TOML: {reason}.", name=name, reason=str(error))
        ) from error
    try:
        house = HouseFile.model_validate(stated)
    except ValidationError as error:
        raise _refused(error, name) from error
    _refuse_order(house)
    return house


def _refused(error: ValidationError, name: str) -> TimbrelError:
    first = error.errors(include_url=False)[0]
    key = ".".join(str(part + 1) if isinstance(part, int) else part for part in first["loc"])
    values: dict[str, Any] = {"name": name, "key": key}
    if first["type"] == "missing":
        return TimbrelError(say("{name} does not state {key}.", **values), key=key)
    if first["type"] == "extra_forbidden":
        known = (
            "format",
            "house",
            "start",
            "visits",
            "vaults",
            *Visit.model_fields,
            *Chosen.model_fields,
        )
        near = nearest(str(first["loc"][-1]), known) or "format, house, start, visits, vaults"
        return TimbrelError(
            say("{name} has no key {key}; accepted here: {near}.", near=near, **values), key=key
        )
    return TimbrelError(
        say(
            "{name}: {key} is {given}; accepted: {accepted}.",
            given=given_text(first.get("input")),
            accepted=first["msg"],
            **values,
        ),
        key=key,
    )


def _refuse_order(house: HouseFile) -> None:
    """Vaults are named once; a vault comes after others of the house, and never after itself."""
    names = [vault.job for vault in house.vaults]
    for number, vault in enumerate(house.vaults, 1):
        key = f"vaults.{number}"
        if names.count(vault.job) > 1:
            raise TimbrelError(
                say("{key}.job is {given}, which stands there twice.", key=key, given=vault.job),
                key=f"{key}.job",
            )
        for other in vault.after:
            if other not in names[: number - 1]:
                raise TimbrelError(
                    say(
                        "{key}.after names {given}; accepted: vaults that stand before it in the "
                        "file.",
                        key=key,
                        given=other,
                    ),
                    key=f"{key}.after",
                )


def _job(folder: Path, name: str) -> Loaded:
    plain = name == Path(name).name and not name.startswith(".") and "\\" not in name
    if not plain or not (folder / name / JOB_FILE).is_file():
        raise TimbrelError(
            say(
                "The house names the job {given}; accepted: a folder beside the house file that "
                "holds a job.toml.",
                given=name,
            ),
            key="vaults",
        )
    return load_job(folder / name)
