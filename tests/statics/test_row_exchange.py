"""Many small linear programs at once, held against general solvers one by one."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from tests.statics.given_strips import askew, strips

from timbrel.statics import row_exchange
from timbrel.statics.row_exchange import Broken, State, exchange, gives_goal
from timbrel.statics.thrust_program import Question, answers, solved_alone

SOME = settings(max_examples=25, deadline=None)


class Written:
    """Rows that are written out: (P, m, k) and (P, m)."""

    def __init__(self, row: np.ndarray, level: np.ndarray) -> None:
        self.row, self.level = row, level

    def keep(self, which: np.ndarray) -> None:
        self.row, self.level = self.row[which], self.level[which]

    def worst(self, x: np.ndarray) -> Broken:
        values = np.einsum("pmk,pk->pm", self.row, x) + self.level
        i, every = values.argmin(axis=1), np.arange(len(x))
        return Broken(values[every, i], self.row[every, i], self.level[every, i], i)


@SOME
@given(st.integers(0, 2**32 - 1), st.integers(1, 12), st.integers(2, 5), st.integers(1, 60))
def test_same_least_as_a_general_solver(seed, programs, k, rows):
    """Reference library: scipy.optimize.linprog."""
    rng = np.random.default_rng(seed)
    row = rng.normal(size=(programs, rows, k))
    level = rng.uniform(-0.3, 1.0, size=(programs, rows))
    goal = rng.normal(size=(programs, k)) * (rng.random((programs, k)) < 0.7)
    low, high = np.full((programs, k), -50.0), np.full((programs, k), 80.0)
    found = exchange(Written(row.copy(), level.copy()), goal.copy(), low, high)
    for i in range(programs):
        box = list(zip(low[i], high[i], strict=True))
        other = linprog(goal[i], A_ub=-row[i], b_ub=level[i], bounds=box, method="highs")
        if other.status == 2:
            assert found.state[i] == State.REFUSED
        else:
            assert found.state[i] == State.SOLVED
            assert goal[i] @ found.x[i] == pytest.approx(other.fun, rel=1e-7, abs=1e-7)


def questions(seed: int) -> list[Question]:
    some = np.random.default_rng(seed).uniform(0, 2, 2)
    return [
        Question("share of dead"),
        Question("share of dead", 1.35, some),
        Question("least thrust"),
        Question("greatest thrust"),
        Question("least thrust", 1.35, some),
        Question("greatest thrust", 0.9, some),
        Question("load factor", pattern=0),
        Question("load factor", 0.9, pattern=1),
    ]


def value(question: Question, found) -> float:
    if found is None:
        return -1.0
    if question.goal == "load factor":
        return min(float(found.factors[question.pattern]), 1e9)
    return found.dead if question.goal == "share of dead" else found.line.thrust


@SOME
@given(st.lists(strips(), min_size=1, max_size=3))
def test_thrust_lines_are_those_of_the_general_solver(several):
    """Reference library: HiGHS, one program after the other. It breaks rows by up to 1e-7."""
    asked = [(askew(*s), q) for s in several for q in questions(s[0])]
    for (program, question), ours in zip(asked, answers(asked), strict=True):
        other = solved_alone(program, question)
        wanted = pytest.approx(value(question, other), rel=2e-5, abs=2e-5)
        assert value(question, ours) == wanted, question


@SOME
@given(strips())
def test_every_line_keeps_its_limits(described):
    program = askew(*described)
    strip = program.joints.strip
    for found in program.answers(questions(described[0])):
        if found is None:
            continue
        line = found.line
        size = program.joints.force * 1e-7
        assert np.all(line.normal >= -size)
        turned = line.normal * line.position, line.normal * (line.thickness - line.position)
        crushed = 0.0 if strip.crushing is None else line.normal**2 / (2 * strip.crushing)
        assert np.all(np.minimum(*turned) >= crushed - size * strip.span)
        if strip.friction is not None:
            assert np.all(np.abs(line.shear) <= strip.friction * line.normal + size)


def test_answers_come_in_the_order_of_the_questions(monkeypatch):
    programs = [askew(k, n, 0.9, 0.3, 0.6, None) for k, n in enumerate((24, 6, 24))]
    asked = [(program, q) for q in questions(7) for program in programs]
    alone = [value(q, program.answers([q])[0]) for program, q in asked]
    monkeypatch.setattr("timbrel.statics.thrust_program.TOGETHER", 3)
    together = [value(q, a) for (_, q), a in zip(asked, answers(asked), strict=True)]
    assert together == pytest.approx(alone, rel=1e-9)


def test_what_stays_open_goes_to_the_general_solver(monkeypatch):
    program = askew(7, 24, 0.9, 0.3, 0.6, 2e6)
    asked = questions(7)
    ours = program.answers(asked)
    monkeypatch.setattr(row_exchange, "ROUNDS", 2)
    put = []
    monkeypatch.setattr(
        "timbrel.statics.thrust_program.solved_alone",
        lambda p, q: put.append(q) or solved_alone(p, q),
    )
    again = program.answers(asked)
    assert put == asked
    for question, a, b in zip(asked, ours, again, strict=True):
        assert value(question, a) == pytest.approx(value(question, b), rel=1e-6)


def test_multipliers_that_miss_the_goal_prove_nothing():
    basis = np.array([[[1.0, 0.0], [1.0, 2.0]]])
    good = np.array([[0.25, 0.5]])
    goal = np.einsum("pj,pjk->pk", good, basis)
    assert gives_goal(basis, good, goal)[0]
    assert not gives_goal(basis, good + np.array([[0.0, 1e-4]]), goal)[0]
    backward = np.array([[0.25, -0.5]])
    assert not gives_goal(basis, backward, np.einsum("pj,pjk->pk", backward, basis))[0]


def test_nearly_enough_is_no_proof_that_nothing_does():
    """Two rows that miss each other by a hair: neither an answer nor a refusal."""
    row = np.array([[[1.0, 0.0], [-1.0, 0.0]]])
    box, goal = np.full((1, 2), 10.0), np.array([[0.0, 1.0]])
    for apart, state in ((1e-7, State.OPEN), (1e-3, State.REFUSED), (-1e-3, State.SOLVED)):
        level = np.array([[0.0, -apart]])
        assert exchange(Written(row.copy(), level), goal, -box, box).state[0] == state
