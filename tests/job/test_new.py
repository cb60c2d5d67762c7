"""The commented job: it loads, it names no key that is not there, it is never written over."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from pydantic import BaseModel

from timbrel.job import load_job, read_job
from timbrel.job.fields import Place, every_key, field_place, place_at
from timbrel.job.model import Job
from timbrel.job.new import example_text, write_new
from timbrel.words import TimbrelError

EXAMPLES = sorted(Path(__file__).parents[2].glob("examples/*/job.toml"))
COMMENTED = re.compile(r"^# ([A-Za-z_]+) = (.+?)(?:\s+#.*)?$", re.MULTILINE)


def test_the_example_of_the_house_is_what_new_writes(tmp_path: Path) -> None:
    file = write_new(tmp_path / "mine" / "first")
    assert file == tmp_path / "mine" / "first" / "job.toml"
    granary = next(path for path in EXAMPLES if path.parent.name == "granary")
    assert file.read_text() == granary.read_text()
    assert load_job(file.parent).path == file


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.parent.name)
def test_every_example_loads(path: Path) -> None:
    assert load_job(path).job.job.title


def test_every_key_that_must_be_stated_is_stated() -> None:
    stated = tomllib.loads(example_text())

    def walk(table: type[BaseModel], values: dict[str, object]) -> None:
        for name, info in table.model_fields.items():
            assert not info.is_required() or name in values, f"{table.__name__}.{name}"
            here = values.get(name)
            if here is not None:
                walk_place(field_place(info), here)

    def walk_place(place: Place, here: object) -> None:
        if place.table is not None:
            assert isinstance(here, dict)
            walk(place.table, here)
        elif place.item is not None and place.item.table is not None:
            rows = here.values() if isinstance(here, dict) else here
            for row in rows:  # type: ignore[attr-defined]
                walk(place.item.table, row)

    walk(Job, stated)


def test_keys_that_are_left_out_in_comments_may_be_stated() -> None:
    """Each commented-out key is put in by itself: the job must know it and take its value.

    What two keys say together (a haunch radius with a segment) is refused for another reason.
    """
    text = example_text()
    found = list(COMMENTED.finditer(text))
    assert len(found) > 5
    for match in found:
        stated = text[: match.start()] + match[0][2:] + text[match.end() :]
        try:
            read_job(stated)
        except TimbrelError as error:
            assert "no key of a job" not in str(error), match[0]
            assert error.key == "curve.haunch_radius", f"{match[0]}: {error}"


def test_words_offered_in_comments_are_words_of_the_model() -> None:
    """A comment that lists choices beside a choice must list the words that the key takes."""
    text = example_text()
    table: tuple[str | int, ...] = ()
    checked = 0
    for line in text.splitlines():
        head = re.match(r"\[\[?([\w.-]+)\]?\]", line)
        if head:
            table = tuple(head[1].split("."))
            table = (*table, 0) if line.startswith("[[") else table
        setting = re.match(r'(\w+) = "[^"]*"\s*# (.*)$', line)
        place = place_at((*table, setting[1])) if setting else None
        if setting and place and place.words:
            said = re.split(r", | or ", re.sub(r"\(.*?\)|, which.*|, the .*", "", setting[2]))
            said = [word.strip() for word in said if word.strip() in place.words]
            offered = setting[2].split(":")[-1]
            missing = [word for word in place.words if word not in offered]
            assert not said or not missing, f"{line}: {missing}"
            checked += bool(said)
    assert checked >= 6


def test_all_keys_are_known_to_the_walk() -> None:
    keys = {".".join(map(str, path)) for path in every_key()}
    assert {"room.AB", "room.levels.A", "layers.0.joint.least", "tiles.*.length"} <= keys


def test_a_job_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("mine")
    with pytest.raises(TimbrelError, match="is there already"):
        write_new(tmp_path)
    assert (tmp_path / "job.toml").read_text() == "mine"


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("x")
    with pytest.raises(TimbrelError, match="is a file"):
        write_new(tmp_path / "mine")


def test_a_folder_that_cannot_be_made_is_told() -> None:
    with pytest.raises(TimbrelError, match="cannot be written"):
        write_new(Path("/proc/mine"))
