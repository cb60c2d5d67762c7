"""The order of work, with the stops at which nobody goes on before somebody has looked."""

from __future__ import annotations

from dataclasses import dataclass, replace

from timbrel.job.model import Job
from timbrel.site.backing import BackingPlan
from timbrel.site.batches import Batch, NoBatch
from timbrel.site.centring import Centring
from timbrel.words import Message, say


@dataclass(frozen=True)
class Step:
    """One step. number: from 1. key: what it is (``survey``, ``props``, ``springings``, ``ribs``,
    ``pat``, ``lay.1``, ``move``, ``closed``, ``lay.2``, ``backing``, ``fill``, ``load``), so that a
    page can lay the tiles by it. what: in a sentence. hold: a stop, to be looked at and signed
    before the next. wait: what must pass after it, s."""

    number: int
    key: str
    what: Message
    hold: bool
    wait: float


Row = tuple[str, Message, bool, float]


def order_of_work(
    job: Job,
    batches: tuple[Batch | NoBatch, ...],
    centring: Centring | None,
    last_lift: bool,
    backing: BackingPlan | None = None,
) -> tuple[Step, ...]:
    """Steps from the first measure to the first load.

    centring: of a barrel; None where guides stand instead. last_lift: is there fill to place.
    backing: what backs the haunches, laid before it.
    """
    above = _above(job, last_lift, backing)
    rows = [*_before(job, centring), *_first_layer(job, batches, centring), *above]
    return tuple(Step(n, *row) for n, row in enumerate(rows, 1))


def with_first_layer(order: tuple[Step, ...], way: Message) -> tuple[Step, ...]:
    """The same steps with the first layer laid in another way, which the stages of building propose
    before the common one."""
    lay = say(
        "Layer 1: {way}, as the stages of building propose; close what is begun before leaving it. "
        "What stands under the layer stays until it is closed and has the strength that its stages "
        "ask for.",
        way=way,
    )
    return tuple(replace(step, what=lay) if step.key == "lay.1" else step for step in order)


def _before(job: Job, centring: Centring | None) -> list[Row]:
    survey = say("Tape sides, diagonals and levels against the setting-out sheet.")
    props = say(
        "Prop or tie the walls that take thrust until the vault is loaded as planned; keep people "
        "out from under the work."
    )
    springings = say(
        "Cut the springings into sound wall, square to the curve; never set a tile on plaster. "
        "Clean and wet them."
    )
    if job.curve.on_corners:
        props = say(
            "Prop or tie the piers until the vault is loaded as planned; keep people out from under "
            "the work."
        )
        springings = say(
            "Cut the seats of the corners one at a time, A, C, B, D, each corner propped first; "
            "build its springer solid and let it harden before the next is opened."
        )
    if job.curve.on_corners:
        ribs = say(
            "Strike the lines from pier to pier, stand the guides on folding wedges, stretch strings "
            "between them and check all against the templates."
        )
    elif centring is None:
        ribs = say(
            "Draw the lines on the walls, stand the guides on folding wedges, stretch strings "
            "between them and check all against the templates."
        )
    else:
        ribs = say(
            "Draw the line on the end wall, make the ribs, set them on folding wedges with "
            "{camber:length} of camber and check both against the template.",
            camber=centring.camber,
        )
    pat = say(
        "Prove the set of the binder with a pat at today's temperature, then lay a trial of three "
        "tiles and pull at them."
    )
    return [
        ("survey", survey, True, 0.0),
        ("props", props, True, 0.0),
        ("springings", springings, True, 0.0),
        ("ribs", ribs, True, 0.0),
        ("pat", pat, True, 0.0),
    ]


def _first_layer(
    job: Job, batches: tuple[Batch | NoBatch, ...], centring: Centring | None
) -> list[Row]:
    first = next((b for b in batches if b.layer == 1), None)
    if job.curve.family == "dome":
        lay = say(
            "Layer 1: ring upon ring from the springing; close each ring before leaving it, and "
            "begin the next only when it holds."
        )
    elif job.curve.family == "sail" and job.curve.on_corners:
        lay = say(
            "Layer 1: course by course from two facing edge arches to the middle; close each course "
            "before leaving it. The guides under the edge arches and the diagonals stay until the "
            "layer is closed and has the strength that its stages ask for: nothing holds an open edge "
            "from outside."
        )
    elif job.curve.family == "sail":
        lay = say(
            "Layer 1: course by course from two facing walls to the middle; close each course "
            "before leaving it. The guides stay until the layer is closed."
        )
    elif job.curve.family in ("groin", "cloister"):
        lay = say(
            "Layer 1: course by course from the springings, all webs alike, between the guides; "
            "close each course before leaving it. The guides stay until the layer is closed."
        )
    elif job.curve.family == "flight":
        lay = say(
            "Layer 1: course by course from the lower landing up, one arch at a time; close each arch "
            "in the seat of the upper landing before leaving it."
        )
    elif isinstance(first, Batch):
        lay = say(
            "Layer 1: from both springings to the crown, one arch at a time, {tiles:count} tiles "
            "a batch; close each arch before leaving it.",
            tiles=first.tiles,
        )
    else:
        lay = say(
            "Layer 1: from both springings to the crown, one arch at a time; close each arch "
            "before leaving it."
        )
    rows: list[Row] = [("lay.1", lay, False, 0.0)]
    if centring is not None:
        move = say(
            "After each arch ease the centring evenly by {drop:length}, look at the joints from "
            "below, move on {step:length}: {moves:count} moves.",
            drop=centring.wedges.drop,
            step=centring.step,
            moves=centring.moves,
        )
        rows.append(("move", move, False, 0.0))
    closed = say("Layer 1 closed: read the crown, sound every tile, look for cracks.")
    return [*rows, ("closed", closed, True, job.site.wait_later_layer)]


def _above(job: Job, last_lift: bool, backing: BackingPlan | None) -> list[Row]:
    site = job.site
    rows: list[Row] = []
    for layer in range(2, len(job.layers) + 1):
        last = layer == len(job.layers)
        lay = say(
            "Layer {layer}: wet the layer below, full bed, joints broken both ways, brought up "
            "evenly from both springings and closed near the middle.",
            layer=layer,
        )
        wait = site.wait_fill if last else site.wait_later_layer
        rows.append((f"lay.{layer}", lay, last, wait))
    if backing is not None:
        *how, when = backing.how
        rows += [("backing", what, False, 0.0) for what in how]
        rows.append(("backing", when, True, site.wait_fill))
    if last_lift:
        fill = say(
            "Haunches in lifts of {lift:length}, the two sides never more than one lift apart.",
            lift=job.building.lift,
        )
        rows.append(("fill", fill, False, 0.0))
    load = say(
        "No load before {days:count} days from the last tile; then the engineer looks, and the "
        "props go.",
        days=site.wait_load / 86400,
    )
    return [*rows, ("load", load, True, 0.0)]


def cautions() -> tuple[Message, ...]:
    """What stands on every site paper."""
    return (
        say("Never stand or work under fresh work or under a frame that is coming down."),
        say("Falls: guard every open edge, tie ladders, tie and check the scaffold each day."),
        say(
            "Cement, quick cement and lime burn skin and eyes: gloves, goggles, sleeves; rinse "
            "with much water at once and see a doctor for the eyes."
        ),
        say("Dry powder: mask on, pour low, out of the wind. Cutting tiles: wet, with a mask."),
        say("Props and ties stay until the engineer who signed says that they go."),
        say(
            "Stop and call the engineer on a crack, a crown that drops more than 3 mm, a slack tie "
            "or a wall that moves."
        ),
        say(
            "Local codes and the licensed engineer go before this paper; it plans, it does not "
            "approve."
        ),
    )
