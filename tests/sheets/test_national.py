"""Figures that a nation decides: all in one table, each as it held, whose it is, with its clause."""

from __future__ import annotations

import re
from types import SimpleNamespace
from typing import Any

from timbrel.job.model import Job
from timbrel.plan import Plan
from timbrel.sheets.national import national_rows
from timbrel.words import Voice


def rows(job: Job) -> dict[str, tuple[str, str, str, str]]:
    plan: Any = SimpleNamespace(job=job)
    return {row[0]: row for row in national_rows(plan, Voice())}


def test_every_figure_has_its_clause(plan: Plan) -> None:
    found = rows(plan.job)
    national = type(plan.job.loads.national).model_fields
    assert {f"loads.national.{name}" for name in national} <= set(found)
    for key, _, _, what in found.values():
        if key.startswith("loads.national") or key.endswith(
            ("permanent", "favourable", "variable")
        ):
            assert re.search(r"EN 199\d|A1\.2", what), key


def test_the_job_may_override(plan: Plan) -> None:
    before = rows(plan.job)
    assert before["loads.national.masonry"][1:3] == ("2.5", "default")
    assert before["loads.factors.permanent"][1:3] == ("1.35", "the job's")
    assert before["loads.national.psi0_imposed"][1:3] == ("0.7", "default")
    national = type(plan.job.loads.national).model_validate({"masonry": 2.2, "psi0_imposed": 0.6})
    loads = plan.job.loads.model_copy(update={"national": national, "use": "stores"})
    after = rows(plan.job.model_copy(update={"loads": loads}))
    assert after["loads.national.masonry"][1:3] == ("2.2", "the job's")
    assert after["loads.national.psi0_imposed"][1:3] == ("0.6", "the job's")
    assert after["loads.national.psi2_imposed"][1:3] == ("0.8", "default")


def test_the_choice_of_expressions_is_told(plan: Plan) -> None:
    before = rows(plan.job)
    assert before["loads.national.expressions"][1:3] == ("6.10", "default")
    assert before["loads.national.xi"][1:3] == ("0.85", "default")
    pair = type(plan.job.loads.national).model_validate({"expressions": "6.10a and 6.10b"})
    loads = plan.job.loads.model_copy(update={"national": pair})
    after = rows(plan.job.model_copy(update={"loads": loads}))
    assert after["loads.national.expressions"][1:3] == ("6.10a and 6.10b", "the job's")


def test_the_imposed_load_is_the_job_s_or_by_its_use(plan: Plan) -> None:
    assert rows(plan.job)["loads.imposed"][1:3] == ("1.50 kN/m²", "the job's")
    loads = plan.job.loads.model_copy(update={"imposed": None, "use": "shops"})
    found = rows(plan.job.model_copy(update={"loads": loads}))["loads.imposed"]
    assert found[1:3] == ("4.00 kN/m²", "default")
    assert "category D1" in found[3]
