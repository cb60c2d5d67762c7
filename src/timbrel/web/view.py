"""What the page of one job shows, gathered from the plan; the last good plan when one fails."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.verdict import Check, Verdict, governing_first, overall
from timbrel.web.desk import Desk
from timbrel.web.drawn import drawn_for
from timbrel.web.facts import Fact, facts
from timbrel.web.form import Group, every, form_of, section_title
from timbrel.web.history import History
from timbrel.web.jobs import Held, title_of
from timbrel.web.planning import Planned
from timbrel.words import Message, Progress, TimbrelError, Voice, say, silent


@dataclass(frozen=True)
class Shown:
    """One verdict with the name of the drawing that shows it, if one does."""

    check: Check
    drawing: str


@dataclass(frozen=True)
class JobView:
    """Everything that the templates of a job read.

    pending: the stages of building have not been followed yet; stages: why they could not be.
    planned: the plan in view, None when there is none; refusal: why the job as it stands cannot be
    planned, when it was changed outside the page; old: the plan in view is of an earlier state.
    """

    held: Held
    title: str
    groups: tuple[Group, ...]
    history: History
    planned: Planned | None
    refusal: TimbrelError | None
    old: bool
    checks: tuple[Shown, ...]
    pending: bool
    stages: TimbrelError | None
    overall: Verdict
    facts: tuple[Fact, ...]

    @property
    def name(self) -> str:
        """Name of the job's folder."""
        return self.held.name

    @staticmethod
    def section(*path: str | int) -> Message:
        """Title of a table."""
        return section_title(*path)

    @property
    def all_groups(self) -> tuple[Group, ...]:
        """Every table of the form, the inner ones too."""
        return every(self.groups)

    def count(self, word: str) -> int:
        """How many checks came to a verdict."""
        return sum(shown.check.verdict == word for shown in self.checks)


def look(desk: Desk, held: Held, voice: Voice, *, following: Progress | None = None) -> JobView:
    """Gather what is shown of a job as it stands.

    following: given, the loads and the stages of building are followed too, and it is told how far;
    else they are shown when they are known already.
    """
    history = desk.store.history(held.name)
    planned, refusal = good_plan(desk, held)
    checks, stages = _checks(planned, following) if planned else ((), None)
    return JobView(
        held=held,
        title=title_of(held.text) or held.name,
        groups=_groups(held.text, voice),
        history=history,
        planned=planned,
        refusal=refusal,
        old=refusal is not None and planned is not None,
        checks=tuple(
            Shown(check, drawn_for(check.name, on_a_plan=_on_a_plan(planned))) for check in checks
        ),
        pending=bool(planned) and not (planned and planned.is_judged),
        stages=stages,
        overall=overall(checks),
        facts=facts(planned.known) if planned else (),
    )


def _on_a_plan(planned: Planned | None) -> bool:
    return planned is not None and planned.plan.vault.family not in ("barrel", "flight")


def _checks(
    planned: Planned, following: Progress | None
) -> tuple[tuple[Check, ...], TimbrelError | None]:
    """The checks that are known, the governing first, and why the stages have none."""
    if following is None and not planned.is_judged:
        return governing_first(planned.plan.checks), None
    try:
        return governing_first(planned.judged(following or silent).checks), None
    except TimbrelError as error:
        return governing_first(planned.plan.checks), error


def good_plan(desk: Desk, held: Held) -> tuple[Planned | None, TimbrelError | None]:
    """The plan of a job as it stands, or the last good one with why this one is not."""
    try:
        return desk.planner.plan(held.text), None
    except TimbrelError as error:
        refusal = error
    history = desk.store.history(held.name)
    for state in reversed(history.states[: history.at]):
        try:
            return desk.planner.plan(history.text_of(state)), refusal
        except TimbrelError:
            continue
    return None, refusal


def _groups(text: str, voice: Voice) -> tuple[Group, ...]:
    try:
        return form_of(text, voice.length_unit)
    except ValueError:
        return ()


def plan_or_refuse(desk: Desk, name: str) -> Planned:
    """The plan in view of a job, for what is drawn or written from it."""
    planned, refusal = good_plan(desk, desk.store.read(name))
    if planned is None:
        raise refusal or TimbrelError(say("This job has no plan yet."))
    return planned
