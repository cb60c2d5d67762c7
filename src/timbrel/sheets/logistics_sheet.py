"""Logistics on paper: what comes when, where it may stand, water, power, what is left over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.takeoff.logistics import Delivered, Standing


def logistics_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The whole of it, stage by stage."""
    found = plan.takeoff.logistics
    checks = found.checks
    power = voice.number(found.power / 1e3, 1)
    shelf = [
        blocks.heading(voice, say("Limits: standing room and shelf life")),
        blocks.checks_table(voice, checks),
    ]
    return [
        blocks.heading(voice, say("What must be on site when a stage begins")),
        blocks.table(
            voice,
            [say("Stage"), say("Day"), say("What"), say("Mass"), say("Pallets"), say("Bags"),
             say("Floor taken"), say("Hoist loads")],
            [_row(plan, one, voice) for one in found.deliveries],
            align="lrlrrrrr",
            widths=[-1, -1, FILL, -1, -1, -1, -1, -1],
        ),
        blocks.words(
            voice,
            say(
                "A hoist load is {most:mass} at most; a pallet takes 1.2 m by 0.8 m of floor. Bags "
                "and tiles of a pallet go up by hand loads.",
                most=plan.job.ordering.hoist_most,
            ),
        ),
        blocks.heading(voice, say("Where it may stand")),
        blocks.table(
            voice,
            [say("Place"), say("One pallet or stack presses"), say("The place carries"),
             say("In kg a square metre"), say("Tiles stacked on a square metre")],
            [_standing(place, voice) for place in (found.floor, found.scaffold)],
            align="lrrrr",
            widths=[FILL, 27, 33, 24, 27],
        ),
        blocks.bullets(voice, [
            say("Stacks stand over walls or on spread boards, never on the shell."),
            say("Fast binder dry, off the floor, oldest bags first; an open bag is used that day."),
        ]),
        *(shelf if checks else []),
        blocks.heading(voice, say("Water, power, waste")),
        blocks.table(
            voice,
            [say("What"), say("How much")],
            [
                *((say("Water: {use}", use=use), voice.quantity(amount, "litres"))
                  for use, amount in found.water),
                (say("Water in all"), voice.quantity(sum(a for _, a in found.water), "litres")),
                (say("Power, mixer and saw at once"), f"{power} kW"),
                *((say("Waste: {kind}", kind=kind), voice.quantity(mass, "mass"))
                  for kind, mass in found.waste),
            ],
            align="lr",
            widths=[FILL, 40],
        ),
    ]  # fmt: skip


def _row(plan: AnyPlan, one: Delivered, voice: Voice) -> tuple[Message | str, ...]:
    names = ", ".join(voice(plan.takeoff.line(key).title) for key in one.keys)
    return (
        one.title,
        f"{one.day}",
        names,
        voice.quantity(one.mass, "mass"),
        f"{one.pallets}",
        f"{one.bags}",
        voice.quantity(one.floor_area, "area"),
        f"{one.lifts}",
    )


def _standing(place: Standing, voice: Voice) -> tuple[Message | str, ...]:
    if place.limit is None:
        return (
            place.title,
            voice.quantity(place.pressure, "pressure"),
            say("not stated (ordering.floor_most)"),
            "–",
            "–",
        )
    return (
        place.title,
        voice.quantity(place.pressure, "pressure"),
        voice.quantity(place.limit, "pressure"),
        f"{voice.number(place.limit_mass, 0)}",
        f"{place.tiles_a_m2}",
    )
