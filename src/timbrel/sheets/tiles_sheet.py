"""Real tiles on paper: twenty lines to fill in, and what a measured delivery says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import bare_length
from timbrel.site.real_tiles import BOWED_MOST, SAME, WANTED_TILES, Delivery
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan


def real_tile_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """What came, where it was measured; then a measuring sheet for each tile of the work."""
    found: list[Block] = []
    for delivery in plan.site.deliveries:
        if isinstance(delivery, Delivery):
            found += _delivered(plan, delivery, voice)
        else:
            found += [
                blocks.heading(voice, say("Tiles {name} as they came", name=delivery.tile)),
                blocks.checks_table(voice, delivery.checks),
            ]
    came = {d.tile: d for d in plan.site.deliveries if isinstance(d, Delivery)}
    for name in dict.fromkeys(layer.tile for layer in plan.job.layers):
        found.append(blocks.keep(*_measuring(plan, name, came.get(name), voice)))
    return found


def _delivered(plan: AnyPlan, delivery: Delivery, voice: Voice) -> list[Block]:
    measures = (delivery.length, delivery.width, delivery.thickness)
    used = next(
        (stated.use for stated in plan.job.deliveries if stated.tile == delivery.tile), False
    )
    if delivery.replan and used:
        said = say(
            "The mean is more than {same:length} off: the vault is planned with what came.",
            same=SAME,
        )
    elif delivery.replan:
        said = say(
            "The mean is more than {same:length} off, and the job says not to use what came: the "
            "plan does not fit these tiles.",
            same=SAME,
        )
    else:
        said = say("The mean is within {same:length}: the plan stands.", same=SAME)
    checks = [c for c in plan.checks if c.name.startswith(f"site.delivery.{delivery.tile}.")]
    return [
        blocks.heading(
            voice,
            say("Tiles {name} as they came, {count:count} measured", name=delivery.tile,
                count=delivery.count),
        ),
        blocks.words(voice, said),
        blocks.table(
            voice,
            [say("Measure"), say("Stated"), say("Mean"), say("Least"), say("Greatest"),
             say("Range"), say("Standard deviation")],
            [(m.title, *(bare_length(voice, v, 1) for v in (
                m.stated, m.mean, m.least, m.most, m.range, m.deviation))) for m in measures],
            align="lrrrrrr",
        ),
        blocks.table(
            voice,
            [say("Joints and gauge"), say("Value")],
            [
                (say("Working joint at the mean width"), voice.length(delivery.joint, 1)),
                (say("Gauge: mean width and joint"), voice.length(delivery.module, 1)),
                (say("Unsorted: tightest and widest joint"),
                 f"{voice.length(delivery.tightest, 1)}, {voice.length(delivery.widest, 1)}"),
            ],
            align="lr",
            widths=[FILL, 44],
        ),
        _bins(delivery, voice),
        blocks.checks_table(voice, checks),
    ]  # fmt: skip


def _bins(delivery: Delivery, voice: Voice) -> Block:
    return blocks.table(
        voice,
        [say("Bin"), say("Width from"), say("Width to"), say("Working joint"),
         say("Gauge of its courses"),
         say("Tiles of the sample")],
        [
            (chr(ord("A") + k), bare_length(voice, b.from_, 1), bare_length(voice, b.to, 1),
             bare_length(voice, b.joint, 1), bare_length(voice, b.module, 1),
             ", ".join(map(str, b.tiles)) or "–")
            for k, b in enumerate(delivery.bins)
        ],
        align="lrrrrl",
        widths=[-1, -1, -1, -1, -1, FILL],
    )  # fmt: skip


def _measuring(plan: AnyPlan, name: str, came: Delivery | None, voice: Voice) -> list[Block]:
    """The sheet of one tile; came: what was measured of it already, which the plan may rest on."""
    tile = plan.job.tiles[name]
    stated = (
        (tile.length, tile.width, tile.thickness)
        if came is None
        else (came.length.stated, came.width.stated, came.thickness.stated)
    )
    joint = next(layer.joint for layer in plan.job.layers if layer.tile == name)
    head: list[Message | str] = [say("No."), say("Length"), say("Width"), say("Thickness"),
                                 say("Bow")]  # fmt: skip
    half = (WANTED_TILES + 1) // 2
    rows = [(f"{n}", "", "", "", "", f"{n + half}", "", "", "", "") for n in range(1, half + 1)]
    return [
        blocks.heading(voice, say("Measuring sheet, tiles {name}", name=name)),
        blocks.bullets(
            voice,
            [
                say(
                    "{count:count} tiles from several pallets, not from the top of one. Stated: "
                    "{length:length} x {width:length} x {thickness:length}.",
                    count=WANTED_TILES, length=stated[0], width=stated[1],
                    thickness=stated[2],
                ),
                say(
                    "Bow: greatest gap under a straight edge along the tile; over {bow:length} it "
                    "is put aside, and over {share:percent} put aside the delivery goes back.",
                    bow=tile.bow_most, share=BOWED_MOST,
                ),
                say(
                    "Joints from {least:length} to {most:length}: widths that range over more than "
                    "{range:length} are sorted into bins, each laid in courses of its own gauge.",
                    least=joint.least, most=joint.most, range=joint.most - joint.least,
                ),
                say(
                    "Gauge: mean width and a joint that keep {module:length} together. Type the "
                    "figures into the job (deliveries) and the vault is planned with what came.",
                    module=tile.width + joint.best,
                ),
            ],
        ),
        blocks.table(
            voice, [*head, *head], rows, align="rllllrllll",
            widths=[-1, FILL, FILL, FILL, FILL, -1, FILL, FILL, FILL, FILL], to_fill=True,
        ),
        blocks.signatures(voice, [say("Measured by"), say("Delivery, pallets"),
                                  say("Place and date")]),
    ]  # fmt: skip
