"""Which jobs are tried for a room: rises that fit its levels, families that its plan admits, layers.

The job as stated is always one of them. What the room cannot take is not tried: a cloister or a
sail springs from four walls, so no end may be free; a dome stands in a circle and leaves the
corners of a room, so it is tried over a nearly square plan only, and says what it leaves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal, get_args

import numpy as np

from timbrel.job.model import Curve, Job, Layer
from timbrel.job.sense import faults_between
from timbrel.shape.curves import rise_range
from timbrel.shape.levels import level_budget
from timbrel.shape.opened_plan import hooks_of, openings_of
from timbrel.shape.room import Room, solve_room
from timbrel.shape.vault import shape_vault
from timbrel.words import Message, TimbrelError, say

Vary = Literal["all", "rise", "family", "layers"]
VARIES: tuple[Vary, ...] = get_args(Vary)
Edit = str | float | None

MOST_OPTIONS = 5
LEAST_LAYERS, MOST_LAYERS = 2, 6
SHALLOW, HIGH = 1 / 8, 1 / 4
"""Rises over span that are tried where the levels allow them: a floor, and a roof (common
practice, no source)."""
FAMILY_RISE: dict[str, float] = {
    "barrel": 1 / 6, "groin": 1 / 4, "cloister": 1 / 4, "sail": 1 / 8, "dome": 1 / 4,
}  # fmt: skip
"""Rise over the span at AB (over the diameter of a dome) that each family is tried with first
(common practice, no source); a sail rises further over its diagonals."""
BACKING = "loads.fill.backing"
SAME_RISE = 0.010
"""Rises nearer than this are one option, m."""
SQUARE = 1.05
NEARLY_SQUARE = 1.3
"""Long side over short side up to which a dome is tried; up to which a sail goes before a cloister
(common practice, no source)."""


@dataclass(frozen=True)
class Candidate:
    """A job to be planned. edits: dotted keys of the job file and what to write there (lengths in
    m, None takes the key out), so that a click can make it the job. layers: for each layer the
    number (from 1) of the layer of the stated job that it repeats. note: what this option leaves to
    others, None when nothing."""

    key: str
    title: Message
    job: Job
    edits: dict[str, Edit]
    layers: tuple[int, ...]
    note: Message | None = None


@dataclass
class _Wanted:
    """Gathers candidates, leaving out what is already there."""

    stated: Job
    most: int = MOST_OPTIONS
    found: list[Candidate] = field(default_factory=list)

    def add(
        self, key: str, title: Message, curve: Curve, layers: tuple[int, ...],
        note: Message | None = None, *, bare: bool = False,
    ) -> None:  # fmt: skip
        """bare: without what only a barrel can have of the stated job (see `unbacked`)."""
        if len(self.found) >= self.most or any(self._same(c, curve, layers) for c in self.found):
            return
        rows: tuple[Layer, ...] = tuple(self.stated.layers[n - 1] for n in layers)
        stated, edits = self.stated, self._edits(curve)
        if bare:
            edits |= dict.fromkeys(_barrel_keys(stated))
            stated = unbacked(stated)
        job = stated.model_copy(update={"curve": curve, "layers": rows})
        self.found.append(Candidate(key, title, job, edits, layers, note))

    def _edits(self, curve: Curve) -> dict[str, Edit]:
        edits: dict[str, Edit] = {}
        for name in Curve.model_fields:
            before, after = getattr(self.stated.curve, name), getattr(curve, name)
            if after != before:
                edits[f"curve.{name}"] = after
        return edits

    @staticmethod
    def _same(one: Candidate, curve: Curve, layers: tuple[int, ...]) -> bool:
        here = one.job.curve
        apart = abs((here.rise or 0.0) - (curve.rise or 0.0))
        alike = here.family == curve.family and here.directrix == curve.directrix
        return alike and apart < SAME_RISE and one.layers == layers


NO_OTHER_FITS = say(
    "No other family fits: the ends of the room, its openings, hooks or levels leave none."
)


def candidates(job: Job, vary: Vary = "all") -> tuple[Candidate, ...]:
    """Up to five jobs for the room, levels and use of a stated one, the stated one first.

    vary: "rise" keeps the family, "family" keeps the layers, "layers" the curve; "all" mixes them.
    Raises TimbrelError when the room itself cannot be solved.
    """
    room = solve_room(job.room, job.job.length_unit)
    layers = tuple(range(1, len(job.layers) + 1))
    wanted = _Wanted(job)
    kept = family_kept(job) if vary in ("all", "family") else None
    wanted.add("stated", say("As stated"), job.curve, layers, kept)
    if vary in ("all", "family"):
        # A room is first asked for another rise and two other families; one place is kept for a
        # layer more.
        if vary == "all":
            wanted.most = 2
            _add_rises(wanted, room)
        wanted.most = 4 if vary == "all" else MOST_OPTIONS
        for other in other_families(unbacked(job), room):
            wanted.add(*other[:3], layers, _unbacked_note(job, other[3]), bare=True)
        wanted.most = MOST_OPTIONS
        if kept is None and all(c.job.curve.family == job.curve.family for c in wanted.found):
            wanted.found[0] = replace(wanted.found[0], note=NO_OTHER_FITS)
    if vary in ("all", "layers"):
        _add_layers(wanted)
    if vary == "layers":
        _add_layers_at_rises(wanted, room)
    if vary in ("all", "rise"):
        _add_rises(wanted, room)
    return tuple(wanted.found)


def _barrel_keys(job: Job) -> list[str]:
    """Keys that the job states and only a barrel can heed."""
    kept = [
        f"openings.{number}.trimmer.until_cured"
        for number, opening in enumerate(job.openings, start=1)
        if opening.trimmer.until_cured != "box"
    ]
    return kept if job.loads.fill.backing is None else [BACKING, *kept]


def unbacked(job: Job) -> Job:
    """The job without masonry that backs its haunches, nor centring that stays under arches which
    openings cut: only a barrel can have those."""
    fill = job.loads.fill.model_copy(update={"backing": None})
    openings = tuple(
        o.model_copy(update={"trimmer": o.trimmer.model_copy(update={"until_cured": "box"})})
        for o in job.openings
    )
    loads = job.loads.model_copy(update={"fill": fill})
    return job.model_copy(update={"loads": loads, "openings": openings})


def _unbacked_note(job: Job, note: Message | None) -> Message | None:
    """What an option leaves out of what is stated, beside what it leaves to others."""
    if job.loads.fill.backing is None:
        return note
    without = say("Without the masonry that backs the haunches: only a barrel has it.")
    return without if note is None else say("{first} {second}", first=without, second=note)


def family_kept(job: Job) -> Message | None:
    """Why no other family is tried; None where others are."""
    if job.curve.family == "flight":
        return say(
            "A stair runs from one landing to another: only a flight does, so no other family is tried."
        )
    if job.curve.family == "dome":
        return say("A dome stands on a round springing: no other family does, so none is tried.")
    return None


def _add_layers_at_rises(wanted: _Wanted, room: Room) -> None:
    """Two layers more, and one more and one less at other rises: what is gained by layers may be
    given up in rise, and the other way round."""
    job = wanted.stated
    layers = tuple(range(1, len(job.layers) + 1))
    more = (*layers, layers[-1])
    if len(layers) + 2 <= MOST_LAYERS:
        title = say("Two layers more: {layers:count}", layers=len(layers) + 2)
        wanted.add("two-more-layers", title, job.curve, (*more, layers[-1]))
    if job.curve.family == "flight":
        return
    tried = [("more-shallow", SHALLOW, more), ("more-high", HIGH, more)]
    if len(layers) > LEAST_LAYERS:
        tried.insert(1, ("fewer-high", HIGH, layers[:-1]))
    tried += [("shallow", SHALLOW, layers), ("high", HIGH, layers)]
    for key, share, laid in tried:
        rows = tuple(job.layers[n - 1] for n in laid)
        # A thicker shell leaves less rise between headroom and floor.
        other = job.model_copy(update={"layers": rows})
        span, least, greatest = rises(other, room)
        rise = marked(span * share, least, greatest)
        curve = _curve(job.curve, "segment", rise)
        if len(laid) <= MOST_LAYERS and shapes(other, curve, room):
            title = say(
                "Layers: {layers:count}, segment, {rise:length}", layers=len(laid), rise=rise
            )
            wanted.add(key, title, curve, laid)


def _add_layers(wanted: _Wanted) -> None:
    """One layer more, and (where three or more are stated) one less."""
    job = wanted.stated
    layers = tuple(range(1, len(job.layers) + 1))
    if len(layers) < MOST_LAYERS:
        title = say("One layer more: {layers:count}", layers=len(layers) + 1)
        wanted.add("more-layers", title, job.curve, (*layers, layers[-1]))
    if len(layers) > LEAST_LAYERS:
        title = say("One layer less: {layers:count}", layers=len(layers) - 1)
        wanted.add("fewer-layers", title, job.curve, layers[:-1])


def _add_rises(wanted: _Wanted, room: Room) -> None:
    """Shallow and high segments, the one further from the stated rise first; another curve; the
    lowest that fits."""
    job = wanted.stated
    layers = tuple(range(1, len(job.layers) + 1))
    span, least, greatest = rises(job, room)
    shallow, high = (marked(span * share, least, greatest) for share in (SHALLOW, HIGH))
    lowest = marked(0.0, least, greatest)
    segments = [
        ("shallow", say("Shallow segment, {rise:length}", rise=shallow), shallow),
        ("high", say("High segment, {rise:length}", rise=high), high),
    ]
    stated = job.curve.rise
    if stated is not None:
        segments.sort(key=lambda one: -abs(one[2] - stated))
    for key, title, rise in segments:
        _add_curve(wanted, room, key, title, _curve(job.curve, "segment", rise), layers)
    other = "catenary" if job.curve.directrix == "parabola" else "parabola"
    name = say("Catenary") if other == "catenary" else say("Parabola")
    title = say("{curve}, {rise:length}", curve=name, rise=high)
    _add_curve(wanted, room, "other-curve", title, _curve(job.curve, other, high), layers)
    title = say("Lowest segment that fits, {rise:length}", rise=lowest)
    _add_curve(wanted, room, "lowest", title, _curve(job.curve, "segment", lowest), layers)


def _add_curve(
    wanted: _Wanted, room: Room, key: str, title: Message, curve: Curve, layers: tuple[int, ...]
) -> None:
    """Add a curve that this family takes over this plan."""
    if shapes(wanted.stated, curve, room):
        wanted.add(key, title, curve, layers)


def _curve(curve: Curve, directrix: str, rise: float) -> Curve:
    return curve.model_copy(update={"directrix": directrix, "haunch_radius": None, "rise": rise})


def shapes(job: Job, curve: Curve, room: Room) -> bool:
    """Does the room admit a vault of this curve at all, and the vault what the job states of it:
    openings, hooks, backing of the haunches."""
    other = job.model_copy(update={"curve": curve})
    if any(True for _ in faults_between(other)):
        return False
    try:
        vault = shape_vault(other, room)
        openings_of(other, vault)
        hooks_of(other, vault)
    except TimbrelError:
        return False
    return True


def rises(job: Job, room: Room) -> tuple[float, float, float]:
    """Span, and the least and the greatest rise of a segment that the levels allow.

    Where no rise fits at all, the range of the curve itself: the options then show by how much.
    """
    span = _span(job, room)
    low, high = rise_range("segment", span)
    share = SHALLOW
    # A family may not take the rise that the levels are asked with (a sail over a long room).
    while share > 1 / 40:
        curve = _curve(job.curve, "segment", span * share)
        probe = job.model_copy(update={"curve": curve})
        try:
            budget = level_budget(probe, shape_vault(probe, room))
        except TimbrelError:
            share *= 0.7
            continue
        least, greatest = budget.least_rise, budget.greatest_rise
        if least is None or greatest is None or least > greatest:
            break
        return span, max(low, least), min(high, greatest)
    return span, low, high


def _span(job: Job, room: Room) -> float:
    """Span at AB; the diameter of a dome."""
    sides = _sides(room)
    if job.curve.family == "dome":
        return job.curve.diameter or float(sides.min())
    return float(sides[0])


def _sides(room: Room) -> np.ndarray:
    """Lengths in plan of AB, BC, CD, DA."""
    corners = np.asarray(room.corners)[:, :2]
    return np.asarray(np.hypot(*(np.roll(corners, -1, axis=0) - corners).T))


def marked(rise: float, least: float, greatest: float) -> float:
    """A rise that fits and that a mason can mark: to 5 mm where the range holds one, rounded down
    first, then up."""
    inside = min(max(rise, least), greatest)
    for step in (0.005, 0.001):
        for rounded in (
            math.floor(inside / step + 1e-9) * step,
            math.ceil(inside / step - 1e-9) * step,
        ):
            if least - 1e-9 <= rounded <= greatest + 1e-9:
                return round(rounded, 3)
    return inside


def other_families(job: Job, room: Room) -> Iterator[tuple[str, Message, Curve, Message | None]]:
    """Families other than the stated one that the plan admits, the fittest first."""
    stated = job.curve.family
    if stated in ("flight", "dome"):  # a stair has landings, a drum is round: nothing else fits
        return
    sides = _sides(room)
    ratio = float(sides.max() / sides.min())
    walled = job.room.near_end == "wall" and job.room.far_end == "wall"
    # A sail on its corners has open edges, whatever the ends of the room are left at.
    walled = walled and job.curve.stands != "corners"
    order = ["barrel"]
    if walled:
        order += ["sail", "cloister"] if ratio <= NEARLY_SQUARE else ["cloister", "sail"]
    order.append("groin")
    if walled and ratio <= SQUARE:
        order.append("dome")
    for family in order:
        if family == stated:
            continue
        curve = _family_curve(job, room, family)
        if curve is not None:
            yield family, _family_title(family, curve), curve, _family_note(family, room)


def _family_curve(job: Job, room: Room, family: str) -> Curve | None:
    """A segment of a rise that fits the family and the levels; None where no rise makes one."""
    keep = job.curve.keep if family == "barrel" else "rise"
    bare = {"family": family, "sail": "spherical", "cross_rise": None, "diameter": None,
            "oculus": 0.0, "keep": keep, "stands": None}  # fmt: skip
    curve = job.curve.model_copy(update=bare)
    probe = job.model_copy(update={"curve": curve})
    span, least, greatest = rises(probe, room)
    rise = marked(span * FAMILY_RISE[family], least, greatest)
    found = _curve(curve, "segment", rise)
    return found if shapes(job, found, room) else None


def _family_title(family: str, curve: Curve) -> Message:
    rise = curve.rise
    return {
        "barrel": say("Barrel, rise {rise:length}", rise=rise),
        "groin": say("Groin vault, rise {rise:length}", rise=rise),
        "cloister": say("Cloister vault, rise {rise:length}", rise=rise),
        "sail": say("Sail vault, rise {rise:length} over AB", rise=rise),
        "dome": say("Dome, rise {rise:length}", rise=rise),
    }[family]


def _family_note(family: str, room: Room) -> Message | None:
    if family == "groin":
        return say("It stands on its four corners: each needs a pier, or a wall both ways.")
    if family != "dome":
        return None
    x, y = np.asarray(room.corners)[:, :2].T
    whole = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
    left = whole - math.pi * float(_sides(room).min()) ** 2 / 4
    return say(
        "It leaves the four corners, {area:area} in all, to squinches or lintels that this plan "
        "does not hold.",
        area=left,
    )
