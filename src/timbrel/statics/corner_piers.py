"""Piers at the two ends of a springing wall, where the job states them (`walls.left.pier`).

A barrel presses evenly all along its wall, so a pier takes what comes on its own length, and half of
an opening that stands against it; the wall between is judged by itself and no load of it is given
to the piers (that would need an arch or a beam along the wall).
"""

from __future__ import annotations

import numpy as np

from timbrel.job.model import Wall
from timbrel.statics.floor import GRAVITY
from timbrel.statics.supports import BEDS, Profile, acting_thickness
from timbrel.statics.sway import swaying_head
from timbrel.words import TimbrelError, say


def pier_profile(wall: Wall, side: str, length: float) -> Profile:
    """The worse loaded of the two piers, from its inner face, which is that of the wall.

    length: of the wall, m. Raises TimbrelError when a pier is thinner than its wall, when the two
    meet, or when an opening stands in one.
    """
    assert wall.pier is not None and wall.height is not None
    _refuse(wall, wall.pier, side, length)
    T, density = acting_thickness(wall, side)
    pier = wall.pier
    carries = pier + max(_beside(wall, pier, end, length) for end in (False, True))
    depth = np.linspace(0.0, wall.height, BEDS + 1)
    every, nothing = np.full(len(depth), pier), np.zeros(len(depth))
    # Over the springing the pier goes up with its wall; the load from above stands off the
    # middle of the wall, not of the pier.
    over = density * GRAVITY * pier * pier * wall.above
    load = wall.load_above * carries
    head = over + load
    moment = over * pier / 2 + load * (T / 2 + wall.load_offset)
    weight = density * GRAVITY
    sways, sways_over = swaying_head(wall, over, load)
    return Profile(
        depth,
        every,
        nothing,
        every,
        nothing,
        weight,
        weight,
        carries,
        head,
        moment / head if head > 0 else pier / 2,
        wall.friction,
        sways,
        sways_over,
    )


def pier_wall(wall: Wall) -> Wall:
    """The wall's data as they hold for a pier: no buttress, the footing as much wider as it is."""
    ground = wall.ground
    if ground.footing is not None and wall.pier is not None and wall.thickness is not None:
        thickness = wall.thickness + max((s.out for s in wall.setoffs), default=0.0)
        ground = ground.model_copy(update={"footing": ground.footing + wall.pier - thickness})
    return wall.model_copy(update={"buttress": None, "ground": ground})


def _beside(wall: Wall, pier: float, far: bool, length: float) -> float:
    """Half of the opening that stands against a pier: nearer to it than the pier is wide."""
    gaps = [(length - o.start - o.width if far else o.start, o.width) for o in wall.openings]
    return max((width / 2 for start, width in gaps if start < 2 * pier), default=0.0)


def _refuse(wall: Wall, pier: float, side: str, length: float) -> None:
    key = f"walls.{side}.pier"
    if wall.thickness is not None and pier < wall.thickness - 1e-9:
        raise TimbrelError(
            say(
                "walls.{side}.pier is {pier:length} and its wall {thickness:length} thick; "
                "accepted: piers at least as thick as their wall, or none.",
                side=side,
                pier=pier,
                thickness=wall.thickness,
            ),
            key=key,
        )
    if 2 * pier > length:
        raise TimbrelError(
            say(
                "walls.{side}.pier is {pier:length} at both ends of a wall of {length:length}; "
                "accepted: piers that leave room between them.",
                side=side,
                pier=pier,
                length=length,
            ),
            key=key,
        )
    for i, opening in enumerate(wall.openings):
        if opening.start < pier - 1e-9 or opening.start + opening.width > length - pier + 1e-9:
            raise TimbrelError(
                say(
                    "walls.{side}.openings.{number} stands in a corner pier of {pier:length}; "
                    "accepted: openings between the piers.",
                    side=side,
                    number=i + 1,
                    pier=pier,
                ),
                key=f"walls.{side}.openings.{i}.start",
            )
