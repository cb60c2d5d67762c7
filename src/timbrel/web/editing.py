"""What an edit comes to: taken, or refused at its box with the sentence that the job's reader gives.

Some measures only stand together (the six of a room). A box that is refused keeps what was typed,
and goes along with every later edit: as soon as all of them stand together, all are taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from timbrel.web import edits
from timbrel.web.desk import Desk
from timbrel.web.form import form_of
from timbrel.web.history import added, put, removed
from timbrel.web.jobs import StaleEditError
from timbrel.words import LengthUnit, Message, TimbrelError


@dataclass(frozen=True)
class Edit:
    """What was sent: the boxes typed into, the one typed into last, and the state it was seen in."""

    typed: dict[str, str]
    last: str
    revision: str


@dataclass(frozen=True)
class Outcome:
    """What became of it. waiting: boxes whose text was not taken; refusal: why not, and
    at: the box to say it at."""

    taken: tuple[str, ...] = ()
    waiting: dict[str, str] = field(default_factory=dict)
    refusal: TimbrelError | None = None
    at: str = ""
    whole_form: bool = False
    changed: bool = True

    @property
    def shown(self) -> tuple[str, ...]:
        """Keys of the boxes that must be drawn again."""
        return (*self.taken, *self.waiting)


def edit_fields(desk: Desk, name: str, wanted: Edit, unit: LengthUnit) -> Outcome:
    """Try all boxes together, then the last one alone."""
    now = desk.store.read(name)
    if now.revision != wanted.revision:
        raise StaleEditError
    groups = form_of(now.text, unit)
    new = {
        key: text
        for key, text in wanted.typed.items()
        if edits.find_entry(groups, key).text != text.strip()
    }
    same = tuple(key for key in wanted.typed if key not in new)
    if not new:
        return Outcome(taken=same, changed=False)
    tries = [new]
    if len(new) > 1 and wanted.last in new:
        tries.append({wanted.last: new[wanted.last]})
    refusal: TimbrelError | None = None
    for some in tries:
        try:
            text = edits.put_values(now.text, some, unit)
            desk.planner.plan(text)
        except TimbrelError as error:
            refusal = error
            continue
        desk.store.save(name, text, wanted.revision, _told(some))
        waiting = {key: typed for key, typed in new.items() if key not in some}
        told = refusal if waiting else None
        return Outcome((*same, *some), waiting, told, _place(told, waiting, wanted.last))
    return Outcome(same, new, refusal, _place(refusal, new, wanted.last), changed=False)


def _place(refusal: TimbrelError | None, waiting: dict[str, str], last: str) -> str:
    """The box at which a refusal is said: the one it names, else the last one typed into."""
    if refusal is None or not waiting:
        return ""
    for key in (refusal.key, last):
        if key in waiting:
            return key
    return next(iter(waiting))


def _told(some: dict[str, str]) -> Message:
    """How the history names an edit: the boxes and what went into them."""
    if len(some) == 1:
        key, value = next(iter(some.items()))
        return put(key, value)
    return put(", ".join(some), "; ".join(some.values()))


def change_rows(
    desk: Desk,
    name: str,
    key: str,
    act: Callable[[str], str],
    act_name: str,
    revision: str,
) -> Outcome:
    """Add, take out or move a row; refused when the job cannot stand after it."""
    now = desk.store.read(name)
    if now.revision != revision:
        raise StaleEditError
    try:
        text = act(now.text)
        desk.planner.plan(text)
    except TimbrelError as error:
        return Outcome(refusal=error, whole_form=True, changed=False)
    what = {"add": added(key), "remove": removed(key)}.get(act_name) or put(key, act_name)
    desk.store.save(name, text, revision, what)
    return Outcome(whole_form=True)
