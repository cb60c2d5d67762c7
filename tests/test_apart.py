"""Parts of the plan hang on no more of the job than they say, so that the page may keep them."""

import json
import re
from pathlib import Path

import pytest

from timbrel import plan as planning
from timbrel.job.apart import NOT_OF_THE_SHELL, NOT_OF_THE_STATICS, of_shell, of_statics
from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.job.new import example_text
from timbrel.plan import make_plan, make_shell, plan_json
from timbrel.shape.vault import Barrel
from timbrel.statics.net_statics import prove_quickly
from timbrel.statics.proof import prove
from timbrel.web.planning import Planner

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*/job.toml"))


class Sealed:
    """A table that must not be opened."""

    def __getattribute__(self, name: str) -> object:
        if name.startswith("__"):
            return object.__getattribute__(self, name)
        raise AssertionError(f"{name} was read")


def sealed(job: Job, tables: tuple[str, ...]) -> Job:
    return job.model_copy(update={name: Sealed() for name in tables})


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda f: f.parent.name)
def test_neither_shell_nor_statics_open_other_tables(file):
    job = read_job(file.read_text(encoding="utf-8")).job
    shell = make_shell(sealed(of_shell(job), NOT_OF_THE_SHELL))
    proved = sealed(of_statics(job), NOT_OF_THE_STATICS)
    if isinstance(shell.vault, Barrel):
        prove(proved, shell.vault)
    else:
        prove_quickly(proved, shell.vault)


def edited(text: str, key: str, value: str) -> str:
    found, count = re.subn(rf"(?m)^{key} = [^#\n]*", f"{key} = {value} ", text, count=1)
    assert count == 1, key
    return found


@pytest.fixture
def worked(monkeypatch):
    """What has been laid and proved, in order."""
    told: list[str] = []

    def watch(name):
        made = getattr(planning, name)
        monkeypatch.setattr(planning, name, lambda *a: told.append(name) or made(*a))

    watch("lay_bond")
    watch("prove")
    return told


@pytest.mark.parametrize(
    ("key", "value", "again"),
    [
        ("title", '"Another name"', []),
        ("setting_out_hours", "6", []),
        ("imposed", "1.63", ["prove"]),
        ("crushing", "3.5", ["prove"]),
        ("rise", "533", ["lay_bond", "prove"]),
    ],
)
def test_an_edit_works_again_what_hangs_on_it(worked, key, value, again):
    text = example_text()
    planner = Planner()
    planner.plan(text)
    worked.clear()
    new = edited(text, key, value)
    found = planner.plan(new).plan
    assert worked == again
    fresh = make_plan(read_job(new))
    assert json.dumps(plan_json(found)) == json.dumps(plan_json(fresh))


def test_another_seat_moves_the_walls_of_a_vault_that_is_kept() -> None:
    """The shell is shaped before its walls are looked at, and knows how far behind it they stand."""
    text = example_text()
    new, count = re.subn(r'(?m)^# kind = "chase"', 'kind = "corbel"', text)
    assert count == 1
    planner = Planner()
    assert planner.plan(text).plan.vault.behind == (0.0, 0.0)
    found = planner.plan(new).plan
    assert min(found.vault.behind) > 0
    assert json.dumps(plan_json(found)) == json.dumps(plan_json(make_plan(read_job(new))))


def test_only_the_last_few_are_kept(worked):
    planner = Planner()
    text = example_text()
    for rise in range(500, 506):
        planner.plan(edited(text, "rise", str(rise)))
    worked.clear()
    planner.plan(edited(edited(text, "rise", "505"), "title", '"Last"'))
    assert worked == []
    planner.plan(edited(edited(text, "rise", "500"), "title", '"First"'))
    assert worked == ["lay_bond", "prove"]
