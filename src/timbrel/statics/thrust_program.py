"""The thrust line of a strip as a linear program, and the questions that are put to it.

Unknowns: force (x, z) and moment at the left springing, the share of the dead load and the factor
of each variable load. Rows: at every joint the moment about either end of the joint keeps the
resultant inside the thickness; friction and crushing where they are given. The parabola of the
stress block is replaced by chords, which lie on the safe side.

Forces are scaled by the mean load of a voussoir, lengths by the span. Many questions are answered
together (:mod:`timbrel.statics.row_exchange`); what that leaves open goes to a general solver.
Neither is believed: every answer is looked at again as a thrust line.

Source: safe theorem, Heyman 1966; the linear program is the plane case of Livesley 1978, "Limit
analysis of structures formed from rigid blocks".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from timbrel.statics.joint_rows import JointRows
from timbrel.statics.row_exchange import State, exchange
from timbrel.statics.strip import Array, Strip, ThrustLine
from timbrel.statics.thrust_rows import StripRows, ThrustRows
from timbrel.statics.thrust_solver import ThrustSolver

UNLIMITED = 1e3  # factor on the dead load's own scale beyond which a load is called unlimited
TOGETHER = 96  # questions answered at once: more gain nothing, and take room
FREE = 1e7  # bound on the scaled unknowns at the springing

Goal = Literal["least thrust", "greatest thrust", "load factor", "share of dead"]


@dataclass(frozen=True)
class Question:
    """What is asked of a program.

    dead: factor on the dead load (the greatest, where its share is asked for). factors: (p,) of the
    variable loads that stand, all nought when left out. pattern: the variable load that grows, where
    its factor is asked for.
    """

    goal: Goal
    dead: float = 1.0
    factors: Array | None = None
    pattern: int = 0


@dataclass(frozen=True)
class Found:
    """An answer of the program: the line, and the factors of dead and variable loads in it."""

    line: ThrustLine
    dead: float
    factors: Array


class ThrustProgram:
    """The linear program of one strip under a dead load and several variable ones.

    dead: (n, 3) wrenches on the voussoirs. variable: (p, n, 3). The answers are `None` when no
    thrust line exists; `share_of_dead` then says how much of the dead load can be carried.
    """

    def __init__(self, strip: Strip, dead: Array, variable: Array) -> None:
        self.joints = JointRows(strip, dead, variable)
        self.rows = StripRows(self.joints)

    def least_thrust(self, dead: float = 1.0, factors: Array | None = None) -> Found | None:
        """The line of least horizontal thrust at the left springing."""
        return self.answers([Question("least thrust", dead, factors)])[0]

    def greatest_thrust(self, dead: float = 1.0, factors: Array | None = None) -> Found | None:
        """The line of greatest horizontal thrust at the left springing."""
        return self.answers([Question("greatest thrust", dead, factors)])[0]

    def load_factor(self, pattern: int, dead: float = 1.0) -> Found | None:
        """The line that carries the greatest multiple of one variable load beside the dead load.

        A factor that is infinite is bounded by nothing short of crushing.
        """
        return self.answers([Question("load factor", dead, pattern=pattern)])[0]

    def share_of_dead(self, dead: float = 1.0, factors: Array | None = None) -> float:
        """The greatest share (0 to 1) of the dead load that has a thrust line.

        Under 1, the strip does not stand. Without other loads this question always has an answer: a
        strip that carries nothing.
        """
        question = Question("share of dead", dead, factors)
        return share_carried(question, self.answers([question])[0])

    def answers(self, asked: Sequence[Question]) -> list[Found | None]:
        """The answers to several questions, found together."""
        return answers([(self, question) for question in asked])

    @cached_property
    def solver(self) -> ThrustSolver:
        """The general solver, holding this program."""
        return ThrustSolver(self.rows)

    def held(self, question: Question) -> Array:
        """(1 + p,) scaled shares of the loads that are given in a question."""
        held = np.zeros(1 + len(self.joints.size))
        if question.goal != "share of dead":
            held[0] = question.dead
        if question.factors is not None and question.goal != "load factor":
            held[1:] = np.asarray(question.factors, dtype=float) * self.joints.size
        return held

    def grown(self, question: Question) -> Array:
        """(1 + p,) one for the load that may grow in a question, else nought."""
        grown = np.zeros(1 + len(self.joints.size))
        if question.goal == "share of dead":
            grown[0] = 1.0
        elif question.goal == "load factor":
            grown[1 + question.pattern] = 1.0
        return grown

    def found(self, springing: Array, loads: Array, question: Question) -> Found:
        """An answer from scaled unknowns: (3,) at the springing, (1 + p,) shares of the loads."""
        factors = loads[1:] / self.joints.size
        line = self.joints.line(springing, float(loads[0]), factors)
        if question.goal == "load factor" and loads[1 + question.pattern] > 0.999 * UNLIMITED:
            factors[question.pattern] = np.inf
        return Found(line, float(loads[0]), factors)


def share_carried(question: Question, found: Found | None) -> float:
    """The share (0 to 1) of the dead load in the answer to a question for it."""
    if found is None:
        if question.factors is None:
            raise RuntimeError("the empty strip was refused by the solver")
        return 0.0
    return float(np.clip(found.dead / question.dead, 0.0, 1.0))


def answers(asked: Sequence[tuple[ThrustProgram, Question]]) -> list[Found | None]:
    """The answers to questions put to several programs, found together where they are alike."""
    found: list[Found | None] = [None] * len(asked)
    alike: dict[tuple[int, int, bool], list[int]] = {}
    for i, (program, _) in enumerate(asked):
        alike.setdefault(program.rows.kind, []).append(i)
    for every in alike.values():
        for start in range(0, len(every), TOGETHER):
            places = every[start : start + TOGETHER]
            for i, answer in zip(places, _together([asked[i] for i in places]), strict=True):
                found[i] = answer
    return found


def _together(asked: Sequence[tuple[ThrustProgram, Question]]) -> list[Found | None]:
    """Answers of programs of one kind."""
    held = [program.held(question) for program, question in asked]
    grown = [program.grown(question) for program, question in asked]
    goal, high = (np.stack(v) for v in zip(*(_bounds(q) for _, q in asked), strict=True))
    low = np.tile([-FREE, -FREE, -FREE, 0.0], (len(asked), 1))
    done = exchange(ThrustRows([p.rows for p, _ in asked], held, grown), goal, low, high)
    found: list[Found | None] = []
    for i, (program, question) in enumerate(asked):
        if done.state[i] == State.SOLVED:
            loads = held[i] + grown[i] * done.x[i, 3]
            found.append(program.found(done.x[i, :3], loads, question))
        elif done.state[i] == State.REFUSED:
            found.append(None)
        else:
            found.append(solved_alone(program, question))
    return found


def _bounds(question: Question) -> tuple[Array, Array]:
    """Goal (4,) and upper bounds (4,) of the unknowns at the springing and of what grows."""
    goal, most = {
        "least thrust": ([1.0, 0.0, 0.0, 0.0], 0.0),
        "greatest thrust": ([-1.0, 0.0, 0.0, 0.0], 0.0),
        "load factor": ([0.0, 0.0, 0.0, -1.0], UNLIMITED),
        "share of dead": ([0.0, 0.0, 0.0, -1.0], question.dead),
    }[question.goal]
    return np.array(goal), np.array([FREE, FREE, FREE, most])


def solved_alone(program: ThrustProgram, question: Question) -> Found | None:
    """The answer of the general solver to one question."""
    held, grown = program.held(question), program.grown(question)
    goal, high = _bounds(question)
    low = np.concatenate([np.full(3, -FREE), held])
    upper = np.concatenate([high[:3], held + grown * high[3]])
    x = program.solver.solve(np.concatenate([goal[:3], grown * goal[3]]), low, upper)
    return None if x is None else program.found(x[:3], x[3:].copy(), question)
