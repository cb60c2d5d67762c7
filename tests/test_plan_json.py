"""plan.json: strict, complete, with numbers only."""

from __future__ import annotations

import copy
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

import timbrel.job
from timbrel.job.load import load_job
from timbrel.plan import Plan, follow_building, make_plan, plan_json
from timbrel.schema.describe import Describer
from timbrel.schema.file import json_schema
from timbrel.schema.plain import number, plain
from timbrel.words import Voice, say

EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(load_job(EXAMPLE))


@pytest.fixture(scope="module")
def written(plan: Plan) -> dict[str, Any]:
    return json.loads(json.dumps(plan_json(plan), allow_nan=False))


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    schema = json_schema()
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def test_the_plan_keeps_to_its_schema(
    written: dict[str, Any], validator: Draft202012Validator
) -> None:
    validator.validate(written)


@pytest.mark.slow
def test_the_plan_with_its_stages_keeps_to_it_too(
    plan: Plan, validator: Draft202012Validator
) -> None:
    validator.validate(json.loads(json.dumps(plan_json(follow_building(plan)), allow_nan=False)))


def test_the_schema_lets_nothing_else_in(
    written: dict[str, Any], validator: Draft202012Validator
) -> None:
    def spoiled(change: str) -> dict[str, Any]:
        plan = copy.deepcopy(written)
        if change == "extra":
            plan["room"]["colour"] = "red"
        elif change == "missing":
            del plan["bond"]["layers"][0]["names"]
        elif change == "word":
            plan["vault"]["thickness"] = "thick"
        else:
            plan["checks"][0]["verdict"] = "perhaps"
        return plan

    for change in ("extra", "missing", "word", "verdict"):
        with pytest.raises(ValidationError):
            validator.validate(spoiled(change))


def test_every_object_of_ours_is_closed() -> None:
    schema = json_schema()
    for name, part in schema["$defs"].items():
        if part.get("type") == "object" and "properties" in part:
            assert part["additionalProperties"] is False, name
            assert part.get("description"), name


def test_figures_are_those_of_the_plan(plan: Plan, written: dict[str, Any]) -> None:
    assert len(written["checks"]) == len(plan.checks)
    assert written["verdict"] == plan.verdict.value
    assert written["vault"]["thickness"] == pytest.approx(plan.vault.thickness)
    assert {d["key"] for d in written["defaults"]} == {d.key for d in plan.defaults}
    layer = written["bond"]["layers"][0]
    assert layer["names"] == list(plan.bond.layers[0].names)
    assert np.allclose(layer["points"], plan.bond.layers[0].points, atol=1e-8)
    left = written["statics"]["thrusts"][0]
    assert left["least"] == pytest.approx(plan.statics.thrusts[0].least)


def test_what_is_no_number_is_null() -> None:
    assert number(float("inf")) is None and number(float("nan")) is None
    assert number(1.23456789012) == 1.23456789
    mixed = np.array([[1.0, np.nan], [np.inf, 2.0]])
    assert plain(mixed, Voice()) == [[1.0, None], [None, 2.0]]


def test_messages_are_spoken_in_the_readers_unit() -> None:
    message = say("The rise is {rise:length}.", rise=0.54)
    assert plain(message, Voice()) == "The rise is 540 mm."
    assert plain(message, Voice(length_unit="ft")) == "The rise is 1 ft 9 1/4 in."


def test_two_things_of_one_name_are_not_mixed_up() -> None:
    @dataclass(frozen=True)
    class Thing:
        """One."""

        size: float

    first = Thing

    @dataclass(frozen=True)
    class Thing:  # type: ignore[no-redef]
        """Another."""

        weight: float

    describer = Describer(frozenset())
    describer.of(first)
    with pytest.raises(TypeError, match="two dataclasses"):
        describer.of(Thing)


def test_what_has_no_plain_form_is_a_mistake_of_ours() -> None:
    with pytest.raises(TypeError, match="no plain form"):
        plain(object(), Voice())
