"""What the job asks of a corner's seat, and the sentence where a corner cannot have it."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.shape.seating import STEEP
from timbrel.site.corner_shape import CornerShape
from timbrel.statics.net_crushing import SEAT
from timbrel.statics.net_supports import wall_at
from timbrel.statics.piers import outer_face
from timbrel.words import TimbrelError, say


def kind_of(job: Job, shape: CornerShape) -> str:
    """Kind of the seat at a corner. Raises TimbrelError for one that a corner cannot have."""
    stated = job.seat.kind
    if stated == "ledger":
        raise TimbrelError(
            say(
                "seat.kind is 'ledger' and the vault stands on its corners, where no ledger runs; "
                "accepted: 'chase', 'corbel', or leave it out."
            ),
            key="seat.kind",
        )
    if shape.slope > STEEP:
        if stated is not None:
            raise TimbrelError(
                say(
                    "seat.kind is '{kind}' and the vault springs at {slope:angle} over its diagonal, "
                    "too steeply for it; accepted: leave seat.kind out for a level bed in the pier, "
                    "or a lower rise.",
                    kind=stated,
                    slope=shape.slope,
                ),
                key="seat.kind",
            )
        return "bed"
    return stated or "chase"


def reach_of(job: Job, thickness: float) -> float:
    """How far the corner is solid along both walls: at least as far as the proof and the stages of
    the work take it to be."""
    tile = job.tiles[job.layers[0].tile].length
    least, stated = max(SEAT * thickness, tile), job.seat.springer
    if stated is None:
        return least
    if stated < least - 1e-9:
        raise TimbrelError(
            say(
                "seat.springer is {given:length} and the proof takes a corner as solid within twice "
                "the shell and a tile's length, {least:length}; accepted: at least that, or leave "
                "it out.",
                given=stated,
                least=least,
            ),
            key="seat.springer",
        )
    return stated


def pier_side(job: Job, corner: str) -> tuple[float | None, str]:
    """Depth of the pier behind a corner of the room, its side where it stands outside; or the
    thickness of its wall where no pier is stated (m), and the key that would tell it."""
    wall, side = wall_at(job, corner)
    return outer_face(wall) if wall.pier is not None else wall.thickness, f"walls.{side}.pier"


def refuse_depth_at(job: Job, corner: str, depth: float) -> None:
    """Refuse a pocket as deep as its pier is wide."""
    side, key = pier_side(job, corner)
    if side is not None and depth >= side:
        raise TimbrelError(
            say(
                "seat.depth is {given:length}, which cuts {depth:length} into the pier at {corner}, "
                "{side:length} wide ({key}); accepted: a pocket that leaves pier behind it, or "
                "seat.kind corbel.",
                given=job.seat.depth,
                depth=depth,
                corner=corner,
                side=side,
                key=key,
            ),
            key="seat.depth",
        )
