"""The printed order of work lays the first layer in the way that the stages of building prove."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests import followed
from timbrel.plan import SurfacePlan, _with_stages
from timbrel.words import Voice


@pytest.fixture(scope="module")
def sail() -> SurfacePlan:
    plan = followed.built("study-sail")
    assert isinstance(plan, SurfacePlan)
    return plan


def lay_1(plan: SurfacePlan) -> str:
    return Voice()(next(step.what for step in plan.site.order if step.key == "lay.1"))


def test_every_order_that_may_be_proposed_is_the_one_that_is_told(sail: SurfacePlan) -> None:
    bare = followed.planned("study-sail")
    assert isinstance(bare, SurfacePlan) and sail.stages is not None
    for laying in sail.stages.layings:
        first = next(order for order in sail.stages.orders if order.laying == laying.key)
        rest = tuple(order for order in sail.stages.orders if order is not first)
        told = _with_stages(bare, replace(sail.stages, orders=(first, *rest)))
        title = Voice()(laying.title)
        assert title in lay_1(told)
        assert [s.key for s in told.site.order] == [s.key for s in bare.site.order]
