"""Figures that a nation decides, in one table: the value that held, whose it is, and its clause."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from timbrel.job.defaults import kind_of
from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.statics.imposed import imposed_load, psi_imposed
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

SHARES = ("psi0_imposed", "psi1_imposed", "psi2_imposed")


def national_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The table with its heading."""
    return [
        blocks.heading(voice, say("Figures that a nation decides")),
        blocks.table(
            voice,
            [say("Key"), say("Value"), say("Whose"), say("What it is")],
            list(national_rows(plan, voice)),
            align="lrll",
            widths=[-1, -1, -1, FILL],
            dense=True,
        ),
    ]


def national_rows(plan: AnyPlan, voice: Voice) -> Iterator[tuple[str, str, str, str]]:
    """Key, value as it held, the job's or the default's, what it is with its clause."""
    loads = plan.job.loads
    pressure, source = imposed_load(loads)
    yield (
        "loads.imposed",
        voice.quantity(pressure, "pressure"),
        _whose(loads.imposed is not None, voice),
        voice(say("Imposed load: {source}", source=voice.text(source))),
    )
    by_use = dict(zip(SHARES, psi_imposed(loads), strict=True))
    for own, table in (("factors", loads.factors), ("national", loads.national)):
        for name, info in type(table).model_fields.items():
            value = by_use.get(name, getattr(table, name))
            stated = name in table.model_fields_set and getattr(table, name) is not None
            kind = kind_of(info)
            yield (
                f"loads.{own}.{name}",
                _spoken(value, kind, voice),
                _whose(stated, voice),
                voice.text(info.description or name),
            )


def _spoken(value: float | str | None, kind: str, voice: Voice) -> str:
    if value is None:
        return voice(say("by the table"))
    if isinstance(value, str):
        return voice.text(value)
    return voice.quantity(value, kind) if kind and kind != "percent" else f"{value:g}"


def _whose(stated: bool, voice: Voice) -> str:
    whose: Message = say("the job's") if stated else say("default")
    return voice(whose)
