"""The last revision of a job, found in its history: the newest state under another letter."""

from __future__ import annotations

import tomllib

from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.plan import Plan, changed_since
from timbrel.web.history import History
from timbrel.words import TimbrelError


def letter_of(text: str) -> str:
    """The revision that a job's text states; the usual one when it states none."""
    try:
        table = tomllib.loads(text).get("job", {})
    except ValueError:
        return ""
    return str(table.get("revision", "A")) if isinstance(table, dict) else ""


def last_revision(history: History) -> Job | None:
    """The job as it stood last under another letter; None when there was none, or it cannot be
    read any more."""
    if history.at < 0:
        return None
    now = letter_of(history.text_of(history.states[history.at]))
    for state in reversed(history.states[: history.at]):
        try:
            text = history.text_of(state)
            if letter_of(text) not in ("", now):
                return read_job(text).job
        except TimbrelError:
            continue
    return None


def with_changes(plan: Plan, history: History) -> Plan:
    """The plan with what changed since the last revision, where the history knows one."""
    earlier = last_revision(history)
    if earlier is None:
        return plan
    try:
        return changed_since(plan, earlier)
    except TimbrelError:
        return plan
