"""The delivery that stands in the yard: what twenty measured tiles say, and what to do about it.

A tile and its joint make one module, the gauge of a course. Each tile that is larger or smaller
than the mean takes its difference out of its joint. Where the joint range cannot swallow that,
tiles are sorted into bins and each bin laid in courses of its own gauge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from timbrel.job.model import Job, JointRange, Layer, Tile
from timbrel.verdict import Check, judge
from timbrel.words import Message, TimbrelError, say

Floats = NDArray[np.float64]

LEAST_TILES = 10
WANTED_TILES = 20
"""Measured tiles under which nothing is said, and that are asked for (common practice)."""
BOWED_MOST = 0.10
"""Share of bowed tiles over which the delivery goes back (from memory)."""
LEAST_SHARE, MOST_SHARE = 0.6, 1.6
"""Measures beyond these shares of the stated one are a slip of the unit, or another tile (derived:
well over what a kiln does, well under the step from one unit to the next)."""
SAME = 0.001
"""A mean within a millimetre of the stated measure needs no new plan (from memory)."""


@dataclass(frozen=True)
class Measure:
    """One measure of the delivery, m. stated: in the job. mean, least, most, deviation (of the
    sample) of what was measured."""

    key: str
    title: Message
    stated: float
    mean: float
    least: float
    most: float
    deviation: float

    @property
    def range(self) -> float:
        """Greatest less least."""
        return self.most - self.least


@dataclass(frozen=True)
class Bin:
    """Tiles that are laid together in courses of their own. from_, to: widths, m. tiles: numbers
    (from 1) in the order in which they were measured. joint: working joint at the middle width."""

    from_: float
    to: float
    tiles: tuple[int, ...]
    joint: float

    @property
    def module(self) -> float:
        """Gauge of a course of this bin: middle width and working joint."""
        return (self.from_ + self.to) / 2 + self.joint


@dataclass(frozen=True)
class Delivery:
    """What the measured tiles say.

    length, width, thickness: measures. bowed: numbers (from 1) of tiles that bow more than is
    accepted, and that are left out of everything else. module: width and working joint together,
    kept from the plan where the range allows it. joint: working joint at the mean width. tightest,
    widest: joints beside the widest and the narrowest tile if nothing is sorted. bins: one when
    the joints swallow the range. replan: does the mean differ so much that the job should be
    planned anew.
    """

    tile: str
    count: int
    length: Measure
    width: Measure
    thickness: Measure
    bowed: tuple[int, ...]
    module: float
    joint: float
    tightest: float
    widest: float
    bins: tuple[Bin, ...]
    replan: bool
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class Begun:
    """A delivery of which too few tiles were measured to say anything. tile: its name. count:
    measured so far. checks: that it is not judged."""

    tile: str
    count: int
    checks: tuple[Check, ...]


AnyDelivery = Delivery | Begun


def _measure(key: str, title: Message, stated: float, values: Floats) -> Measure:
    return Measure(
        key,
        title,
        stated,
        float(values.mean()),
        float(values.min()),
        float(values.max()),
        float(values.std(ddof=1)),
    )


def working_joint(mean: float, stated: float, joint: JointRange) -> float:
    """The joint that keeps the planned module (stated width and best joint) with tiles of this
    mean width; the nearest end of the joint range where it would leave it."""
    return min(max(stated + joint.best - mean, joint.least), joint.most)


def sort_into_bins(
    widths: Floats, numbers: Sequence[int], module: float, joint: JointRange
) -> tuple[Bin, ...]:
    """As few equal bins as let every tile of a course keep its joints in the range.

    A course is gauged by the middle width of its bin; a tile wider or narrower by half the bin
    takes that out of its joint. So a bin may be as wide as the joint range is, and its joint stands
    as near to the planned module as that leaves.
    """
    least, most = float(widths.min()), float(widths.max())
    count = max(1, math.ceil((most - least) / (joint.most - joint.least) - 1e-9))
    edges = np.linspace(least, most, count + 1)
    which = np.clip(np.searchsorted(edges, widths, side="right") - 1, 0, count - 1)
    bins = []
    for k, (low, high) in enumerate(pairwise(map(float, edges))):
        chosen = tuple(n for n, w in zip(numbers, which, strict=True) if w == k)
        middle, half = (low + high) / 2, (high - low) / 2
        work = min(max(module - middle, joint.least + half), joint.most - half)
        if chosen:
            bins.append(Bin(low, high, chosen, work))
    return tuple(bins)


def measure_delivery(
    name: str, tile: Tile, joint: JointRange, measured: ArrayLike, bows: ArrayLike
) -> Delivery:
    """What measured tiles say of a delivery.

    measured: (n, 3) length, width and thickness of each, m. bows: (n,) greatest gap under a
    straight edge, m. Raises TimbrelError when there are too few, when the lists do not pair up, or
    when a measure is nowhere near the stated tile (a slip of the unit).
    """
    sizes, bow = np.asarray(measured, float), np.asarray(bows, float)
    _refuse(name, tile, sizes, bow)
    good = bow <= tile.bow_most
    numbers = [i + 1 for i in range(len(sizes)) if good[i]]
    bowed = tuple(i + 1 for i in range(len(sizes)) if not good[i])
    if len(numbers) < 2:  # all but all are bowed: refused below, but their measures are still told
        good, numbers = np.ones(len(sizes), bool), list(range(1, len(sizes) + 1))
    kept = sizes[good]
    length = _measure("length", say("Length"), tile.length, kept[:, 0])
    width = _measure("width", say("Width"), tile.width, kept[:, 1])
    thickness = _measure("thickness", say("Thickness"), tile.thickness, kept[:, 2])
    work = working_joint(width.mean, tile.width, joint)
    module = width.mean + work
    bins = sort_into_bins(kept[:, 1], numbers, module, joint)
    far = max(abs(m.mean - m.stated) for m in (length, width, thickness))
    return Delivery(
        tile=name,
        count=len(sizes),
        length=length,
        width=width,
        thickness=thickness,
        bowed=bowed,
        module=module,
        joint=work,
        tightest=module - width.most,
        widest=module - width.least,
        bins=bins,
        replan=far > SAME,
        checks=_checks(name, len(sizes), bowed, tile),
    )


def _refuse(name: str, tile: Tile, sizes: Floats, bow: Floats) -> None:
    key = f"tiles.{name}"
    if sizes.ndim != 2 or sizes.shape[1] != 3 or len(sizes) != len(bow):
        raise TimbrelError(
            say(
                "Measured tiles of {name}: give length, width, thickness and bow of each tile; "
                "{sizes:count} tiles and {bows:count} bows were given.",
                name=name,
                sizes=len(sizes),
                bows=len(bow),
            ),
            key=key,
        )
    if len(sizes) < LEAST_TILES:
        raise TimbrelError(
            say(
                "Measured tiles of {name}: {given:count} were given; measure {wanted:count} taken "
                "from several pallets.",
                name=name,
                given=len(sizes),
                wanted=WANTED_TILES,
            ),
            key=key,
        )
    stated = np.array([tile.length, tile.width, tile.thickness])
    wrong = np.argwhere((sizes < LEAST_SHARE * stated) | (sizes > MOST_SHARE * stated))
    if len(wrong):
        row, column = (int(i) for i in wrong[0])
        raise TimbrelError(
            say(
                "Measured tile {number:count} of {name} in deliveries: {given:length}, where the job "
                "states {stated:length}; accepted: {least:length} to {most:length} (is the unit right, "
                "or is it another tile?).",
                number=row + 1,
                name=name,
                given=float(sizes[row, column]),
                stated=float(stated[column]),
                least=LEAST_SHARE * float(stated[column]),
                most=MOST_SHARE * float(stated[column]),
            ),
            key=key,
        )


def _checks(name: str, count: int, bowed: tuple[int, ...], tile: Tile) -> tuple[Check, ...]:
    return (
        judge(
            f"site.delivery.{name}.bow",
            say("Tiles {name}: share that bow too much", name=name),
            len(bowed) / count,
            BOWED_MOST,
            kind="percent",
            at_least=False,
            reason=say(
                "A bow over {most:length} is refused: tiles {which}.",
                most=tile.bow_most,
                which=", ".join(map(str, bowed)),
            )
            if bowed
            else say("None bows more than {most:length}.", most=tile.bow_most),
            source="tiles.bow_most; share from memory",
        ),
        judge(
            f"site.delivery.{name}.count",
            say("Tiles {name}: how many were measured", name=name),
            float(count),
            float(WANTED_TILES),
            kind="count",
            reason=say("Taken from several pallets, not from the top of one."),
            source="common practice, no source",
        ),
    )


def with_real_tiles(job: Job, delivery: Delivery) -> Job:
    """The job with the tile as it came and the joint that keeps the planned module with it, so that
    layers that were gauged alike stay so; to be planned anew. Measures to a tenth of a millimetre."""
    stated = job.tiles[delivery.tile]
    real = stated.model_copy(
        update={
            "length": round(delivery.length.mean, 4),
            "width": round(delivery.width.mean, 4),
            "thickness": round(delivery.thickness.mean, 4),
        }
    )
    layers = tuple(
        _regauged(row, delivery.width.mean, stated.width) if row.tile == delivery.tile else row
        for row in job.layers
    )
    return job.model_copy(update={"tiles": {**job.tiles, delivery.tile: real}, "layers": layers})


def _regauged(row: Layer, mean: float, stated: float) -> Layer:
    """The layer with its joint aimed at what keeps the module, to a tenth of a millimetre."""
    best = round(working_joint(mean, stated, row.joint), 4)
    joint = row.joint.model_copy(update={"best": min(max(best, row.joint.least), row.joint.most)})
    return row.model_copy(update={"joint": joint})


def _begun(name: str, count: int) -> Begun:
    """Too few: the list can be filled one tile after the other, and nothing rests on it yet."""
    return Begun(
        name,
        count,
        (
            judge(
                f"site.delivery.{name}.count",
                say("Tiles {name}: how many were measured", name=name),
                None,
                float(WANTED_TILES),
                kind="count",
                reason=say(
                    "{count:count} measured so far; under {least:count} nothing is said of a "
                    "delivery, and the vault is planned with the tiles as stated.",
                    count=count,
                    least=LEAST_TILES,
                ),
                source="common practice, no source",
            ),
        ),
    )


def as_delivered(job: Job) -> tuple[Job, tuple[AnyDelivery, ...]]:
    """The job with the tiles that came, where they differ and are to be used; and what was found.

    Raises TimbrelError when a delivery names no tile of the job, a tile that no layer uses, or
    measures that cannot be that tile.
    """
    real = job
    found: list[AnyDelivery] = []
    for i, stated in enumerate(job.deliveries):
        key = f"deliveries.{i}.tile"
        if stated.tile not in job.tiles:
            raise TimbrelError(
                say(
                    "deliveries.{number}.tile is {given}, which the job does not describe; accepted: "
                    "one of {known}.",
                    number=i + 1,
                    given=repr(stated.tile),
                    known=", ".join(job.tiles),
                ),
                key=key,
            )
        joint = next((row.joint for row in job.layers if row.tile == stated.tile), None)
        if joint is None:
            raise TimbrelError(
                say(
                    "deliveries.{number}.tile is {given}, which no layer uses; accepted: one of "
                    "{used}.",
                    number=i + 1,
                    given=repr(stated.tile),
                    used=", ".join(dict.fromkeys(row.tile for row in job.layers)),
                ),
                key=key,
            )
        if len(stated.measured) < LEAST_TILES:
            found.append(_begun(stated.tile, len(stated.measured)))
            continue
        measured = np.asarray(stated.measured, float)
        delivery = measure_delivery(
            stated.tile, job.tiles[stated.tile], joint, measured[:, :3], measured[:, 3]
        )
        found.append(delivery)
        if delivery.replan and stated.use:
            real = with_real_tiles(real, delivery)
    return real, tuple(found)
