"""Combinations of EN 1990 on a strip, and the envelope over them."""

import numpy as np
import pytest
from pydantic import ValidationError

from timbrel.job.supports import NationalChoices
from timbrel.statics.actions import actions
from timbrel.statics.combinations import combinations, variable_loads
from timbrel.statics.envelope import Interaction, envelope
from timbrel.statics.expressions import design_pairs
from timbrel.statics.imposed import imposed_load
from timbrel.statics.thrust_program import ThrustProgram


@pytest.fixture
def snowy(trial_job, trial_vault):
    job = trial_job(
        loads={"snow": 1.0, "horizontal": 0.05, "fill": {"kind": "light", "saturated": 12}}
    )
    return job, actions(job, trial_vault(job), 0.5)


def test_factors_of_every_situation(snowy):
    job, acts = snowy
    every = {c.key: c for c in combinations(acts, job.loads)}
    patterns = [p.load.key for p in acts.patterns]
    others = [o.load.key for o in acts.others]
    half, full = patterns.index("half.left"), patterns.index("full")
    snow = len(patterns) + others.index("snow")
    leading = every["STR.sup.half.left"]
    assert leading.dead == 1.35
    assert leading.factors[half] == 1.5
    assert leading.factors[snow] == pytest.approx(1.5 * 0.5)
    assert leading.factors.sum() == pytest.approx(2.25)
    snowed = every["STR.inf.snow+full"]
    assert snowed.dead == 1.0
    assert snowed.factors[snow] == 1.5
    assert snowed.factors[full] == pytest.approx(1.5 * 0.7)
    assert every["EQU.inf.dead"].dead == 0.9
    assert every["characteristic.full"].factors[full] == 1.0
    wet = every["accidental.water+full"]
    assert wet.factors[len(patterns) + others.index("water")] == 1.0
    assert wet.factors[full] == 0.5
    assert every["accidental.level.right+full"].factors[full] == 0.3
    assert len(every) >= 40
    assert len(every) == len(combinations(acts, job.loads))


def test_national_choices_override(trial_job, trial_vault):
    job = trial_job(loads={"snow": 1.0, "national": {"psi0_snow": 0.7, "equ_favourable": 0.95}})
    acts = actions(job, trial_vault(job), 0.5)
    every = {c.key: c for c in combinations(acts, job.loads)}
    assert every["EQU.inf.dead"].dead == 0.95
    assert every["STR.sup.full"].factors[-1] == pytest.approx(1.5 * 0.7)


PAIR = {"expressions": "6.10a and 6.10b"}


def test_two_expressions_by_hand(trial_job, trial_vault):
    """EN 1990 table A1.2(B), note 1 (values from memory): 1.35 G + 1.5 psi0 Q, and 0.85 x 1.35 G +
    1.5 Q; what is favourable counts whole in both; EQU and accidents keep their own expressions."""
    stated = {"snow": 1.0, "horizontal": 0.05, "fill": {"kind": "light", "saturated": 12}}
    alone = trial_job(loads=stated)
    acts = actions(alone, trial_vault(alone), 0.5)
    single = {c.key: c for c in combinations(acts, alone.loads)}
    job = trial_job(loads={**stated, "national": PAIR})
    every = {c.key: c for c in combinations(acts, job.loads)}
    full = [p.load.key for p in acts.patterns].index("full")
    snow = len(acts.patterns) + [o.load.key for o in acts.others].index("snow")

    a, b = every["STR.a.sup.full"], every["STR.b.sup.full"]
    assert (a.dead, a.factors[full], a.factors[snow]) == pytest.approx((1.35, 1.05, 0.75))
    assert (b.dead, b.factors[full], b.factors[snow]) == pytest.approx((1.1475, 1.5, 0.75))
    assert a.source.endswith("expression 6.10a, table A1.2(B)")
    assert b.source.endswith("expression 6.10b, table A1.2(B)")
    led = every["STR.b.inf.snow+full"]
    assert (led.dead, led.factors[snow], led.factors[full]) == pytest.approx((1.0, 1.5, 1.05))
    # Nothing leads in 6.10a: snow that leads comes to what the full load has told already.
    assert "STR.a.sup.snow+full" not in every
    assert every["STR.a.sup.snow"].factors[snow] == pytest.approx(0.75)
    assert not any(key.startswith(("STR.sup", "STR.inf")) for key in every)
    for key, one in single.items():
        if not key.startswith("STR"):
            assert every[key].dead == one.dead
            assert np.array_equal(every[key].factors, one.factors)


def test_two_expressions_never_ask_more_than_the_one(trial_job, trial_vault):
    """Every combination of the pair is at most one of 6.10, load for load."""
    job = trial_job(loads={"snow": 1.0, "national": PAIR})
    acts = actions(job, trial_vault(job), 0.5)
    alone = job.model_copy(
        update={"loads": job.loads.model_copy(update={"national": NationalChoices()})}
    )
    single = [c for c in combinations(acts, alone.loads) if c.situation == "STR"]
    for c in combinations(acts, job.loads):
        if c.situation == "STR":
            assert any(
                c.dead <= one.dead and (c.factors <= one.factors + 1e-9).all() for one in single
            ), c.key


def test_design_pairs_and_what_the_job_overrides(trial_job):
    one = trial_job().loads
    assert [(p.permanent, p.imposed) for p in design_pairs(one)] == [(1.35, 1.5)]
    stores = trial_job(loads={"use": "stores", "national": {**PAIR, "xi": 0.925}}).loads
    assert [(p.permanent, p.imposed) for p in design_pairs(stores)] == [
        (1.35, 1.5),  # psi0 of a store is 1
        (pytest.approx(1.24875), 1.5),
    ]


def test_an_expression_that_is_not_known_is_refused(trial_job):
    with pytest.raises(ValidationError, match=r"6\.10a and 6\.10b"):
        trial_job(loads={"national": {"expressions": "6.10c"}})
    with pytest.raises(ValidationError, match="xi"):
        trial_job(loads={"national": {"xi": 0.5}})


@pytest.mark.parametrize(
    ("use", "load", "shares"),
    # EN 1991-1-1 tables 6.2, 6.4 and EN 1990 table A1.1, from memory of the standards
    [
        ("floor", 2.0, (0.7, 0.5, 0.3)),
        ("assembly", 5.0, (0.7, 0.7, 0.6)),
        ("shops", 4.0, (0.7, 0.7, 0.6)),
        ("stores", 7.5, (1.0, 0.9, 0.8)),
    ],
)
def test_the_use_gives_the_load_and_its_shares(trial_job, trial_vault, use, load, shares):
    loads = {"use": use, "snow": 1.0, "horizontal": 0.05}
    fill = {"kind": "light", "saturated": 12}
    job = trial_job(loads={**loads, "fill": fill})
    job = job.model_copy(update={"loads": job.loads.model_copy(update={"imposed": None})})
    assert imposed_load(job.loads)[0] == pytest.approx(load * 1e3)
    acts = actions(job, trial_vault(job), 0.5)
    every = {c.key: c for c in combinations(acts, job.loads)}
    full = [p.load.key for p in acts.patterns].index("full")
    assert every["STR.sup.snow+full"].factors[full] == pytest.approx(1.5 * shares[0])
    assert every["accidental.water+full"].factors[full] == pytest.approx(shares[1])
    assert every["accidental.level.right+full"].factors[full] == pytest.approx(shares[2])
    own = job.loads.national.model_copy(update={"psi0_imposed": 0.4})
    stated = combinations(acts, job.loads.model_copy(update={"national": own}))
    found = next(c for c in stated if c.key == "STR.sup.snow+full")
    assert found.factors[full] == pytest.approx(1.5 * 0.4)


def test_envelope_answers_as_each_alone(snowy):
    job, acts = snowy
    found = envelope(acts, job.loads)
    assert len(found.rows) >= 40
    for row in found.rows[::17]:
        c = row.combination
        program = ThrustProgram(acts.strip, acts.dead, variable_loads(acts))
        least = program.least_thrust(c.dead, c.factors)
        assert row.least == pytest.approx(least.line.thrust, rel=1e-6)
        assert row.greatest >= row.least


def test_what_governs_needs_most_thickness(snowy):
    job, acts = snowy
    found = envelope(acts, job.loads)
    governing = found.governing
    thin = acts.strip.thinned(governing.share * 1.001)
    too_thin = acts.strip.thinned(governing.share * 0.99)
    variable = variable_loads(acts)
    for row in found.rows:
        c = row.combination
        if c.situation in ("STR", "accidental"):
            line = ThrustProgram(thin, acts.dead, variable).least_thrust(c.dead, c.factors)
            assert line is not None, c.key
    c = next(r.combination for r in found.rows if r.combination.key == governing.key)
    assert ThrustProgram(too_thin, acts.dead, variable).least_thrust(c.dead, c.factors) is None


def test_fallen_combinations_are_named(trial_job, trial_vault):
    job = trial_job(layers=[{"tile": "thin", "binder": "quick"}], loads={"imposed": 5})
    found = envelope(actions(job, trial_vault(job), 0.5), job.loads)
    assert found.fallen
    assert found.governing.share > 1
    assert found.governing.key in {r.combination.key for r in found.fallen}


def test_interaction_limit():
    picture = Interaction(np.array([40e3]), np.array([1e3]), np.array([0.1]), 2e6)
    # 40e3 x 0.05 - 40e3^2/(2 x 2e6) = 2000 - 400
    assert picture.limits == pytest.approx([1600.0])
    assert picture.use == pytest.approx(1000 / 1600)
    free = Interaction(np.array([40e3]), np.array([1e3]), np.array([0.1]), None)
    assert free.use == pytest.approx(0.5)
