"""The centring: two light ribs and a few boards on folding wedges, moved on arch by arch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Crew, Site
from timbrel.site.curves import distance_to_line
from timbrel.site.ends import End, ends_of
from timbrel.site.rib import Rib, make_rib
from timbrel.site.wedges import WedgePair, wedge_pair
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.bond.layout import LayerBond
    from timbrel.shape.vault import Barrel

CROWN_TOLERANCE = 0.003
SPRINGING_TOLERANCE = 0.005
"""How true the centring is set (common practice, no source)."""
CAMBER_LEAST = 0.005
CAMBER_SHARE = 1 / 500
"""Camber: the greater of 5 mm and span/500 (common practice, no source)."""
CHANGE_MOST = 0.010
"""Greatest change a move that a rib lapped at the crown follows (from memory)."""
LAGGING_WIDTH = 0.10
LAGGING_OVERHANG = 0.05
"""Lagging boards: their width, and how far they pass the ribs (from memory)."""
PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Taper:
    """How the template must change from the near end to the far one, in m.

    span, rise: far less near. worst: greatest distance between the two templates laid with their
    middles together. a_move: that, shared over the moves. advice: what to do about it.
    """

    span: float
    rise: float
    worst: float
    a_move: float
    advice: Message


@dataclass(frozen=True)
class Centring:
    """The centring of a barrel. Lengths m, masses kg, volumes m3.

    near, far: the ribs that fit the two ends. step: advance, one tile along the axis and its
    joint. settings: places where it stands; moves: settings less one. camber: raised at the crown.
    wedges: one pair under each foot. pairs: of wedges in all. lagging_boards: how many; each is
    lagging_length long. frame_mass: two ribs and their lagging; people: to carry it.
    seat_levels: level of the top of the seat (under the closed wedges), at left and right of the
    near end and left and right of the far end. taper: see there. timber: bought, allowance left
    out. notes: how it is set, eased and taken out.
    """

    near: Rib
    far: Rib
    step: float
    settings: int
    moves: int
    camber: float
    wedges: WedgePair
    pairs: int
    lagging_boards: int
    lagging_length: float
    frame_mass: float
    people: int
    seat_levels: tuple[float, float, float, float]
    taper: Taper
    timber: float
    notes: tuple[Message, ...]


def _seats(end: End, rib: Rib, depth: float, wedges: WedgePair) -> tuple[float, float]:
    """Levels of the two seats: the rib's foot stands its own depth under the template's end."""
    feet = end.plumb(rib.top[[0, -1]])[:, 1] - depth - wedges.set_height
    return float(feet[0]), float(feet[1])


def _taper(near: Rib, far: Rib, moves: int) -> Taper:
    middle_near, middle_far = near.top - [near.span / 2, 0.0], far.top - [far.span / 2, 0.0]
    worst = max(
        float(distance_to_line(middle_near, middle_far).max()),
        float(distance_to_line(middle_far, middle_near).max()),
    )
    a_move = worst / moves if moves else worst
    if worst <= CROWN_TOLERANCE:
        advice = say("One template serves from end to end.")
    elif a_move <= CHANGE_MOST:
        every = max(1, math.floor(CROWN_TOLERANCE / a_move))
        advice = say(
            "Make the rib in two halves, lapped and screwed at the crown, and change it by "
            "{change:length} every {moves:count} moves, by the template.",
            change=a_move * every,
            moves=every,
        )
    else:
        advice = say(
            "The curve changes by {change:length} a move: cut a rib for each end and one between, "
            "and draw the ones in between on the board.",
            change=a_move,
        )
    return Taper(far.span - near.span, far.rise - near.rise, worst, a_move, advice)


def advance(layer: LayerBond, tile_length: float, tile_width: float) -> float:
    """How far the centring moves on: one tile along the axis and the joint beside it."""
    if layer.direction == "along axis":
        return tile_length + layer.perpend_joint
    if layer.direction == "along arc":
        return tile_width + layer.bed_joint
    return (tile_length + tile_width) / math.sqrt(2.0) + layer.perpend_joint


def plan_centring(
    vault: Barrel, first: LayerBond, tile: tuple[float, float], site: Site
) -> Centring:
    """The centring for the first layer of a barrel; `tile` is its length and width.

    Raises TimbrelError when the curve, the boards and the rib do not go together.
    """
    near_end, far_end = ends_of(vault)
    near = make_rib(near_end.curve, 0.0, near_end.tilt, site)
    far = make_rib(far_end.curve, 1.0, far_end.tilt, site)
    step = advance(first, *tile)
    settings = int(first.arch.max()) + 1
    moves = settings - 1
    wedges = wedge_pair(site.wedge_taper, site.wedge_length, site.easing)
    larger = max(near, far, key=lambda rib: rib.band_length)
    across = measure_along_arc(first, tile)
    boards = math.ceil(larger.band_length / across) + 1 if site.lagging > 0 else 0
    board_length = site.rib_spacing + 2 * LAGGING_OVERHANG
    lagging = boards * board_length * LAGGING_WIDTH * site.lagging
    mass = 2 * larger.mass + lagging * site.timber_density
    span = max(near.span, far.span)
    camber = site.camber
    if camber is None:
        camber = max(CAMBER_LEAST, span * CAMBER_SHARE)
    return Centring(
        near=near,
        far=far,
        step=step,
        settings=settings,
        moves=moves,
        camber=camber,
        wedges=wedges,
        pairs=4,
        lagging_boards=boards,
        lagging_length=board_length,
        frame_mass=mass,
        people=math.ceil(mass / site.carry_most),
        seat_levels=(
            *_seats(near_end, near, site.rib_depth, wedges),
            *_seats(far_end, far, site.rib_depth, wedges),
        ),
        taper=_taper(near, far, moves),
        timber=2 * larger.timber + lagging,
        notes=_notes(near, far, wedges, site),
    )


def measure_along_arc(layer: LayerBond, tile: tuple[float, float]) -> float:
    """One board under each row of tiles: its measure along the arc with the joint."""
    if layer.direction == "along axis":
        return tile[1] + layer.bed_joint
    if layer.direction == "along arc":
        return tile[0] + layer.perpend_joint
    return (tile[0] + tile[1]) / math.sqrt(2.0) + layer.bed_joint


def _notes(near: Rib, far: Rib, wedges: WedgePair, site: Site) -> tuple[Message, ...]:
    notes = [
        say(
            "Set a little low, raise with both wedges of each pair until the tiles follow both "
            "ribs; level across and along; fix. Crown within {crown:length}, springings within "
            "{springing:length}.",
            crown=CROWN_TOLERANCE,
            springing=SPRINGING_TOLERANCE,
        ),
        say(
            "Once the arch has closed, ease both sides alike, {step:length} at a time, wait and "
            "read: drive one wedge of each pair out by {slide:length} in all for a drop of "
            "{drop:length}.",
            step=min(wedges.drop, wedges.drop / wedges.steps),
            slide=wedges.slide,
            drop=wedges.drop,
        ),
        say("Keep from under the arch that was closed last while the frame comes down."),
    ]
    stop = max(near.stop_left, near.stop_right, far.stop_left, far.stop_right)
    if stop > 0:
        notes.append(
            say(
                "The curve is so steep at its feet that the drop frees less than {gap:length} "
                "there: stop the rib {stop:length} short of the springing, measured along it, and "
                "guide the first courses by the line on the wall, or split the frame at the "
                "crown.",
                gap=site.clear_least,
                stop=stop,
            )
        )
    return tuple(notes)


def centring_checks(centring: Centring, site: Site, crew: Crew) -> tuple[Check, ...]:
    """Does it come free, can it be carried, do the wedges travel, does it pass the way in?"""
    stop = max(
        centring.near.stop_left, centring.near.stop_right,
        centring.far.stop_left, centring.far.stop_right,
    )  # fmt: skip
    crown = float(np.min([centring.near.gap.max(), centring.far.gap.max()]))
    hands = crew.masons + crew.helpers + crew.apprentices
    heaviest = max(centring.near.mass, centring.far.mass)
    wedges = centring.wedges
    height = max(float(np.ptp(rib.top[:, 1])) for rib in (centring.near, centring.far))
    checks = [
        judge(
            "site.centring.free",
            say("Gap at the crown when the centring is eased"),
            crown,
            site.clear_least,
            kind="length",
            reason=say(
                "A drop of {drop:length} frees {gap:length} at the crown; the ribs stop "
                "{stop:length} short of the springings, where it would free too little.",
                drop=wedges.drop,
                gap=crown,
                stop=stop,
            ),
            source="geometry: a lowering d clears d cos(a)",
        ),
        judge(
            "site.centring.wedges",
            say("Slide of the folding wedges"),
            wedges.slide,
            wedges.travel,
            kind="length",
            at_least=False,
            reason=say(
                "A taper of 1 in {taper:ratio} drops {drop:length} over a slide of {slide:length}; "
                "the pair must stay overlapped by half.",
                taper=wedges.taper,
                drop=wedges.drop,
                slide=wedges.slide,
            ),
            source="geometry; overlap from memory",
        ),
        judge(
            "site.centring.carry",
            say("Weight of a rib for each who carries"),
            heaviest / min(2, hands),
            site.carry_most,
            kind="mass",
            at_least=False,
            reason=say(
                "A rib of {rib:mass} is carried by {hands:count}; the whole frame with its lagging "
                "is {frame:mass} and takes {people:count}.",
                rib=heaviest,
                hands=min(2, hands),
                frame=centring.frame_mass,
                people=centring.people,
            ),
            source=PRACTICE,
        ),
    ]
    if site.way_in is not None:
        checks.append(
            judge(
                "site.centring.way-in",
                say("Height of a rib against the way in"),
                height + site.rib_depth,
                site.way_in,
                kind="length",
                at_least=False,
                reason=say("Carried on edge through the narrowest way in, and out again."),
                source="geometry",
            )
        )
    return tuple(checks)
