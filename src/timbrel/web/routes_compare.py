"""Two variants side by side: what each comes to, and where they differ."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from timbrel.verdict import Check
from timbrel.web.desk import Desk, desk_of
from timbrel.web.jobs import Held
from timbrel.web.pages import page
from timbrel.web.reader import voice_of
from timbrel.web.view import JobView, look
from timbrel.words import Message, Voice

router = APIRouter(tags=["compare"])


@dataclass(frozen=True)
class Pair:
    """One check in both variants; None where a variant has no such check."""

    title: Message
    left: Check | None
    right: Check | None

    @property
    def differ(self) -> bool:
        """Do the verdicts differ."""
        found = {check.verdict for check in (self.left, self.right) if check}
        return len(found) > 1 or self.left is None or self.right is None


@dataclass(frozen=True)
class FieldPair:
    """One box that the two jobs fill differently."""

    key: str
    label: str
    left: str
    right: str


@router.get("/compare", response_class=HTMLResponse)
def compare(request: Request, left: str = "", right: str = "") -> HTMLResponse:
    """Two jobs side by side, once both are chosen."""
    desk, voice = desk_of(request), voice_of(request)
    views = tuple(_look(desk, name, voice) for name in (left, right)) if left and right else ()
    return page(
        request,
        "compare.html",
        jobs=desk.store.listed(),
        left=left,
        right=right,
        views=views,
        pairs=_pairs(*views) if views else (),
        fields=_fields(*views) if views else (),
    )


def _look(desk: Desk, name: str, voice: Voice) -> JobView:
    held: Held = desk.store.read(name)
    return look(desk, held, voice)


def _pairs(left: JobView, right: JobView) -> tuple[Pair, ...]:
    """Checks of both, those of the left in their order first."""
    ours = {shown.check.name: shown.check for shown in left.checks}
    theirs = {shown.check.name: shown.check for shown in right.checks}
    names = [*ours, *(name for name in theirs if name not in ours)]
    return tuple(
        Pair((ours.get(name) or theirs[name]).title, ours.get(name), theirs.get(name))
        for name in names
    )


def _fields(left: JobView, right: JobView) -> tuple[FieldPair, ...]:
    """What the two jobs state differently; a box left empty shows the usual."""
    ours, theirs = _boxes(left), _boxes(right)
    labels = {e.key: e.label for view in (right, left) for g in view.all_groups for e in g.entries}
    return tuple(
        FieldPair(key, labels[key], ours.get(key, "–"), theirs.get(key, "–"))
        for key in labels
        if ours.get(key) != theirs.get(key) and key != "job.title"
    )


def _boxes(view: JobView) -> dict[str, str]:
    return {
        entry.key: entry.text or entry.usual or "–"
        for group in view.all_groups
        for entry in group.entries
    }
