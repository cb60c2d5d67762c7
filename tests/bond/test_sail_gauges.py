"""Where no number of courses closes over a sail a sentence says so; as a remedy it is passed over."""

from __future__ import annotations

from typing import Any

import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.bond.remedy import with_remedies
from timbrel.job.model import Job
from timbrel.words import TimbrelError

SIDE = {"AB": 2340, "BC": 2340, "CD": 2340, "DA": 2340, "AC": 3309.3, "BD": 3309.3}


def job_of(**layer: Any) -> Job:
    """A sail whose upper layers close along the axis and not along the arc."""
    sail = {"family": "sail", "stands": "corners", "rise": 280}
    job = changed_job("market-groin", curve=sail, room=SIDE)
    upper = job.layers[2].model_copy(update=layer)
    return job.model_copy(update={"layers": (*job.layers[:2], upper)})


def test_courses_that_do_not_close_are_refused_in_one_sentence() -> None:
    """Eight tiles of 280 mm with joints of 4 to 17 mm reach 2393 mm at most, nine 2560 mm at least; an
    arc of span 2.34 m and rise 0.28 m is 2.43 m long (arithmetic; c + 8 f^2/3 c)."""
    job = job_of(direction="along arc")
    with pytest.raises(TimbrelError, match="courses of layer 3 cannot close") as error:
        lay_bond(job, vault_of(job))
    assert "\n" not in str(error.value)


def test_a_remedy_that_cannot_be_laid_is_passed_over() -> None:
    job = job_of()
    vault = vault_of(job)
    assert with_remedies(lay_bond(job, vault), job, lambda other: lay_bond(other, vault)).checks
