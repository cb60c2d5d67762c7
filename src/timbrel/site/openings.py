"""Openings, hooks and ends on site: where they are struck on the centring, and when they are made.

The arches that an opening cuts do not stand before the ring has cured: a box of the opening's size
stands on the centring from the first tile, braced across, and props under both trimmers stay until
then; or the centring stays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from timbrel.bond.layout import Bond, Floats, TrimmedOpening
from timbrel.job.model import Job
from timbrel.shape.opened import WALL, PlacedHook, PlacedOpening
from timbrel.shape.opened_plan import BARRELS, hooks_of, openings_of
from timbrel.site.order import Row, Step
from timbrel.site.programme import Operation, Programme, crew_rate, timed
from timbrel.site.workdays import DAY, Workdays
from timbrel.statics.end_edges import gap_wanted
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel
    from timbrel.site.plan import SitePlan, SurfaceSite

    AnySite = TypeVar("AnySite", SitePlan, SurfaceSite)

EDGE_COVER = 0.015
"""Mortar between a bar and the edge (m): EN 1996-1-1:2005, 4.3.3, dry (from memory)."""
HOOK_HOURS = 0.5
KERB_HOURS = 1.0
"""Crew hours for a hook, and for a metre of kerb (from memory)."""


@dataclass(frozen=True)
class StruckPoint:
    """One point struck on the centring. label: its letter or number on the sheet. along: from the
    stated corner along its springing wall, across: square off that wall, level; level: of the
    intrados there, above the datum; arc: from the left springing along the lagging, of a dome from
    the springing up the meridian, of a web along its arch from where that begins (m).
    """

    label: str
    along: float
    across: float
    level: float
    arc: float


@dataclass(frozen=True)
class SetOutOpening:
    """An opening or a hook on the centring. key: in the job. corner: from which it is taped.
    marks: of its four corners, or of the four ends of its two diameters, or of the hook.
    diagonals: of the four marks, on the curve's chord (m), to prove them; none for a hook.
    """

    key: str
    name: str
    corner: str
    marks: tuple[StruckPoint, ...]
    diagonals: tuple[float, ...]


@dataclass(frozen=True)
class EdgeSite:
    """Set-out of openings and hooks, and what is to be done at them and at the ends."""

    openings: tuple[SetOutOpening, ...]
    hooks: tuple[SetOutOpening, ...]
    notes: tuple[Message, ...]


def edge_site(job: Job, vault: Any, bond: Bond) -> EdgeSite:
    """What the crew needs at openings, hooks and ends."""
    placed = openings_of(job, vault)
    ends = _end_notes(job, vault) if vault.family in BARRELS else []
    return EdgeSite(
        tuple(_opening(job, vault, one) for one in placed),
        tuple(_hook(job, vault, one) for one in hooks_of(job, vault)),
        (*_opening_notes(job, bond), *ends),
    )


def taped_from(vault: Any, corner: str, point: Floats) -> tuple[float, float]:
    """Distance along the springing wall from a corner, and square off it, of a plan point (2,)."""
    corners = np.asarray(vault.room.corners, float)[:, :2]
    here, there = WALL[corner]
    way = corners[there] - corners[here]
    way /= np.linalg.norm(way)
    to = point - corners[here]
    return float(to @ way), float(abs(to[0] * way[1] - to[1] * way[0]))


def _mark(
    vault: Any, web: Any, corner: str, label: str, point: Floats, uv: tuple[float, float]
) -> StruckPoint:
    along, across = taped_from(vault, corner, point[:2])
    u, v = uv
    line = web.point(np.linspace(0.0, u, 65), np.full(65, v))
    arc = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    return StruckPoint(label, along, across, float(point[2]), arc)


def _opening(job: Job, vault: Any, placed: PlacedOpening) -> SetOutOpening:
    corner = job.openings[placed.number - 1].corner
    count = len(placed.points)
    # A round opening is marked at the ends of its two diameters.
    which = range(4) if count == 4 else [round(k * count / 4) % count for k in range(4)]
    points = [placed.points[k] for k in which]
    web = vault if vault.family in BARRELS else vault.webs[placed.web]
    marks = tuple(
        _mark(vault, web, corner, f"{placed.number}{letter}", placed.points[k], placed.uv[k])
        for letter, k in zip("abcd", which, strict=True)
    )
    diagonals = tuple(float(np.linalg.norm(points[a] - points[b])) for a, b in ((0, 2), (1, 3)))
    return SetOutOpening(placed.key, placed.name, corner, marks, diagonals)


def _hook(job: Job, vault: Any, placed: PlacedHook) -> SetOutOpening:
    corner = job.hooks[placed.number - 1].corner
    web = vault if vault.family in BARRELS else vault.webs[placed.web]
    mark = _mark(vault, web, corner, f"H{placed.number}", placed.point, (placed.u, placed.v))
    return SetOutOpening(placed.key, placed.name, corner, (mark,), ())


def _box_note(job: Job, opening: TrimmedOpening) -> Message:
    trimmer = job.openings[opening.number - 1].trimmer
    days = trimmer.cure / DAY
    if job.curve.family in BARRELS and trimmer.until_cured == "centring":
        return say(
            "{name}: strike its corners on the lagging, fix a box of its clear size there, and "
            "cut the tiles to the box. The centring stays, wedged tight, under all arches that it cuts "
            "and under its ring until {days:count} days after the ring is laid: they do not stand "
            "before. Go on with other centring; a second length of it is not in the order.",
            name=opening.name,
            days=days,
        )
    if job.curve.family in BARRELS:
        return say(
            "{name}: strike its corners on the lagging, fix a box of its clear size there, and "
            "cut the tiles to the box. Brace it across, tight between both cut edges, for it hands the "
            "push of one cut arch to the other; lay both sides alike and set nothing down on them. Box "
            "and two props under each trimmer stay until {days:count} days after the ring is laid: "
            "the arches that it cuts do not stand before.",
            name=opening.name,
            days=days,
        )
    return say(
        "{name}: tape and plumb its corners, stand a box of its clear size there on its own props, its "
        "sides square to the shell, and cut the tiles to the box. Box and props, one under each side, "
        "stay until {days:count} days after the ring is laid: the courses that it cuts do not stand "
        "before.",
        name=opening.name,
        days=days,
    )


def _opening_notes(job: Job, bond: Bond) -> list[Message]:
    notes = []
    for opening in bond.openings:
        notes.append(_box_note(job, opening))
        notes.append(
            say(
                "{name}: guard it or fix a marked cover over it from the moment that its box is "
                "out; nobody stands under it while others work above.",
                name=opening.name,
            )
        )
        if opening.bar is not None:
            notes.append(
                say(
                    "{name}: one bar of {bar:length} along each side, {length:length} long, in the "
                    "ring's bed, {cover:length} or more from the edge, mortar all round it.",
                    name=opening.name,
                    bar=opening.bar,
                    length=opening.bar_length,
                    cover=EDGE_COVER,
                )
            )
    if job.hooks:
        notes.append(
            say(
                "Hooks: drill from below through all layers when the last one has set, bed each "
                "plate full in mortar on the back of the shell, and hang nothing before the "
                "waiting time of the load has passed."
            )
        )
    return notes


def _end_notes(job: Job, vault: Barrel) -> list[Message]:
    notes = []
    ends = (
        (job.room.near_end, say("near end"), vault.near.span),
        (job.room.far_end, say("far end"), vault.far.span),
    )
    for kind, where, span in ends:
        if kind == "free":
            notes.append(
                say(
                    "Free {end}: tiles end flush, whole and half by turns, struck to a line on the "
                    "centring; guard the edge against falls and keep loads off its last arch until "
                    "the waiting time has passed.",
                    end=where,
                )
            )
        elif kind == "closing wall":
            notes.append(
                say(
                    "The wall at the {end} only closes: leave {gap:length} between it and the "
                    "vault, fill it with a soft strip, never wedge or point it hard.",
                    end=where,
                    gap=gap_wanted(span),
                )
            )
        elif kind == "carrying wall":
            notes.append(
                say(
                    "The wall at the {end} may carry: bed the last arch on it full, and only once "
                    "the wall has its strength.",
                    end=where,
                )
            )
    return notes


def round_openings(site: AnySite, job: Job, bond: Bond) -> AnySite:
    """The site plan with openings and hooks in its order of work and in its programme."""
    return replace(
        site,
        order=with_openings(site.order, job),
        programme=with_rings(site.programme, job, bond),
    )


def with_openings(order: tuple[Step, ...], job: Job) -> tuple[Step, ...]:
    """The order of work with the steps of openings and hooks put in their places."""
    if not job.openings and not job.hooks:
        return order
    rows: list[Row] = []
    last = f"lay.{len(job.layers)}"
    for step in order:
        row: Row = (step.key, step.what, step.hold, step.wait)
        if step.key == "pat" and job.openings:
            rows.append(_box_step(job))
        rows.append(row)
        closing = "closed" if last == "lay.1" else last
        if step.key == closing:
            if job.openings:
                rows.append(_ring_step(job))
            if job.hooks:
                rows.append(_hook_step())
    return tuple(Step(n, *row) for n, row in enumerate(rows, 1))


def _box_step(job: Job) -> Row:
    if job.curve.family not in BARRELS:
        what = say(
            "Tape and plumb the openings, stand their boxes on props of their own between the guides, "
            "and measure both diagonals before the first tile is laid."
        )
        return ("boxes", what, True, 0.0)
    if all(opening.trimmer.until_cured == "centring" for opening in job.openings):
        what = say(
            "Strike the openings on the lagging and fix their boxes before the first tile is laid; the "
            "centring will stay under all that they cut."
        )
        return ("boxes", what, True, 0.0)
    what = say(
        "Strike the openings on the lagging, fix their boxes, and set two props under each trimmer "
        "before the first tile is laid."
    )
    return ("boxes", what, True, 0.0)


def _ring_step(job: Job) -> Row:
    cure = max(opening.trimmer.cure for opening in job.openings)
    what = say(
        "Lay the rings of the openings on the last layer, their bars in the bed, then the kerbs; "
        "what holds them from below stays for {days:count} days.",
        days=cure / DAY,
    )
    return ("rings", what, True, cure)


def _hook_step() -> Row:
    what = say("Drill for the hooks and bed their plates; hang nothing yet.")
    return ("hooks", what, False, 0.0)


def with_rings(programme: Programme, job: Job, bond: Bond) -> Programme:
    """The programme with the rings, kerbs and hooks between the last layer and what follows."""
    if not bond.openings and not job.hooks:
        return programme
    tiles = sum(opening.tiles for opening in bond.openings)
    later = max(2, len(job.layers))
    hours = tiles / crew_rate(later, None, job) * 3600
    hours += 3600 * KERB_HOURS * sum(opening.kerb_length for opening in bond.openings)
    hours += 3600 * HOOK_HOURS * len(job.hooks)
    cure = max((opening.trimmer.cure for opening in job.openings), default=0.0)
    title = say("Rings, kerbs and hooks")
    pieces = float(tiles + len(job.hooks))
    done: list[Operation] = []
    for operation in programme.operations:
        if operation.key != f"layer-{len(job.layers)}":
            done.append(operation)
            continue
        wait = max(operation.wait, cure)
        done.append(replace(operation, wait=job.site.wait_later_layer))
        done.append(Operation("rings", title, pieces, "count", hours, wait, 0.0, 0.0))
    return timed(done, Workdays.of(job.site))
