"""Calculation notes: numbered, figures put in, the clause or author beside each; all defaults used."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.national import national_blocks
from timbrel.statics.floor import GRAVITY
from timbrel.words import Message, Voice, cite, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan, Plan

GEOMETRY = cite("geometry")
SAFE = "Heyman 1966, safe theorem"


def calculation_notes(plan: Plan, voice: Voice) -> list[Block]:
    """Geometry, loads, strips, walls, then every check with its source, then the defaults."""
    number = _Counter()
    return [
        blocks.words(
            voice,
            say(
                "Lower bounds by the safe theorem: they hold provided the layers act as one and the "
                "springings do not give way. A mechanism found by separate code bounds each from "
                "above; the gap is stated. Check and sign under local codes."
            ),
        ),
        blocks.heading(voice, say("Geometry")),
        _notes(voice, number, _geometry(plan, voice)),
        blocks.heading(voice, say("Loads, per metre of strip at the worst station")),
        _notes(voice, number, _loads(plan, voice)),
        blocks.heading(voice, say("Strips")),
        _strips(plan, voice),
        blocks.heading(voice, say("Walls")),
        _walls(plan, voice),
        blocks.heading(voice, say("Every check and its source")),
        sources_table(plan, voice),
        *national_blocks(plan, voice),
        blocks.heading(voice, say("Defaults that the job leaned on")),
        defaults_table(plan, voice),
    ]


class _Counter:
    def __init__(self) -> None:
        self.last = 0

    def next(self) -> str:
        self.last += 1
        return f"{self.last}"


Note = tuple[Message | str, str, str]


def _notes(voice: Voice, number: _Counter, rows: list[Note]) -> Block:
    return blocks.table(
        voice,
        [say("No."), say("What"), say("Figures"), say("Source")],
        [(number.next(), what, figures, voice.text(source)) for what, figures, source in rows],
        align="rlll",
        widths=[-1, 42, FILL, 40],
    )


def _geometry(plan: Plan, voice: Voice) -> list[Note]:
    rows: list[Note] = [
        (
            say("Corners of the room"),
            voice(
                say(
                    "six measures, five unknowns, least squares; misclosure {misclosure}",
                    misclosure=voice.length(plan.room.misclosure, 1),
                )
            ),
            cite("least squares (Gauss)"),
        )
    ]
    for name, curve in ((say("near"), plan.vault.near), (say("far"), plan.vault.far)):
        if curve.kind == "segment":
            s, f = curve.span, curve.rise
            figures = (
                f"R = s²/8f + f/2 = {voice.number(s, 3)}²/(8·{voice.number(f, 3)}) + "
                f"{voice.number(f, 3)}/2 = {voice.number(s * s / (8 * f) + f / 2, 3)} m"
            )
            rows.append((say("Radius of the intrados, {end} end", end=name), figures, GEOMETRY))
        rows.append(
            (
                say("Length of the intrados, {end} end", end=name),
                voice.length(curve.length),
                GEOMETRY,
            )
        )
    parts = " + ".join(
        voice.length(v)
        for layer in plan.vault.layers
        for v in ((layer.bed, layer.thickness) if layer.bed else (layer.thickness,))
    )
    rows.append(
        (say("Thickness of the shell"), f"{parts} = {voice.length(plan.vault.thickness)}", GEOMETRY)
    )
    return rows


def _loads(plan: Plan, voice: Voice) -> list[Note]:
    acts = plan.statics.worst.actions
    rows: list[Note] = [
        (
            load.title,
            voice.quantity(load.total, "line_load"),
            cite("true section x density x g")
            if load.key == "layers"
            else cite("columns over the extrados"),
        )
        for load in acts.permanent
    ]
    rows.append(("g", f"{voice.number(GRAVITY, 2)} m/s²", cite("standard gravity, rounded")))
    rows.append(
        (say("Imposed load"), voice.quantity(acts.imposed, "pressure"), acts.imposed_source)
    )
    if plan.job.loads.line > 0:
        rows.append(
            (
                say("Line load, walked over the span"),
                voice.quantity(plan.job.loads.line, "line_load"),
                cite("stated or default, loads.line"),
            )
        )
    return rows


def bounded(value: Any, voice: Voice, kind: str) -> str:
    """Static value, kinematic value and the gap between them."""
    if value is None:
        return voice(say("not judged: no thrust line"))
    static = voice.quantity(value.static, kind)
    if value.kinematic is None:
        return voice(say("{static}, no upper bound", static=static))
    gap = "–" if value.gap is None else voice.number(value.gap * 100, 2) + " %"
    return f"{static}, {voice.quantity(value.kinematic, kind)}, {gap}"


def _strips(plan: Plan, voice: Voice) -> Block:
    rows: list[tuple[Message | str, ...]] = []
    for station in plan.statics.stations:
        answer = station.answer
        where = station.title
        if station.name == "worst":
            where = say("{station}, {share:percent} from near", station=where, share=station.v)
        rows += [
            (where, say("least thrust"), bounded(answer.least_thrust, voice, "line_load")),
            ("", say("greatest thrust"), bounded(answer.greatest_thrust, voice, "line_load")),
        ]
        if answer.geometric is None:
            rows.append(("", say("geometric factor"), voice(say("no thickness would do"))))
        else:
            rows.append(
                ("", say("geometric factor"), bounded(answer.geometric.answer, voice, "ratio"))
            )
        for kind in ("full", "half", "line"):
            worst = answer.worst(kind)
            if worst is not None:
                rows.append(
                    ("", say("load factor: {load}", load=worst.title),
                     bounded(worst.answer, voice, "ratio"))
                )  # fmt: skip
    return blocks.table(
        voice,
        [say("Station"), say("Answer"), say("Static, kinematic, gap")],
        rows,
        align="llr",
        widths=[-1, FILL, -1],
    )


def _walls(plan: Plan, voice: Voice) -> Block:
    rows: list[tuple[Message | str, ...]] = []
    for side in ("left", "right"):
        states = [w for s in plan.statics.stations for w in s.walls if w.side == side]
        title = say("Left wall") if side == "left" else say("Right wall")
        if not states:
            rows.append((title, voice(say("not judged: data missing")), "–", "–", "–", "–"))
        for bound in ("least", "greatest"):
            found = [w for w in states if w.case.bound == bound]
            if not found:
                continue
            worst = min(found, key=lambda w: w.overturning)
            rows.append(
                (
                    title,
                    worst.case.title,
                    voice.quantity(worst.force.level, "line_load"),
                    voice.quantity(float(max(abs(worst.eccentricity))), "length"),
                    voice.quantity(worst.overturning, "ratio"),
                    voice.quantity(worst.sliding, "ratio"),
                )
            )
    return blocks.table(
        voice,
        [say("Wall"), say("Loads"), say("Thrust"), say("Eccentricity, most"),
         say("Overturning, cracked"), say("Sliding")],
        rows,
        align="llrrrr",
        widths=[-1, FILL, -1, -1, -1, -1],
    )  # fmt: skip


def sources_table(plan: AnyPlan, voice: Voice) -> Block:
    return blocks.table(
        voice,
        [say("Check"), say("Value"), say("Limit"), say("Verdict"), say("Source")],
        [
            (
                check.title,
                blocks.value_of(voice, check),
                blocks.limit_of(voice, check),
                blocks.verdict_word(voice, check.verdict),
                voice.text(check.source),
            )
            for check in plan.checks
        ],
        align="lrrll",
        widths=[FILL, -1, -1, -1, 52],
        dense=True,
    )


def spoken_default(value: Any, kind: str, voice: Voice) -> str:
    """A default as the reader would write it."""
    if value is None:
        return voice(say("not stated"))
    if isinstance(value, bool):
        return voice(say("yes")) if value else voice(say("no"))
    if isinstance(value, tuple | list):
        return ", ".join(str(part) for part in value)
    if kind and isinstance(value, int | float):
        return voice.quantity(value, kind)
    return str(value)


def defaults_table(plan: AnyPlan, voice: Voice) -> Block:
    """Every key that was left out, with the value that held."""
    return blocks.table(
        voice,
        [say("Key"), say("Value"), say("What it is")],
        [
            (d.key, spoken_default(d.value, d.kind, voice), voice.text(d.description))
            for d in plan.defaults
        ],
        align="lrl",
        widths=[-1, -1, FILL],
        dense=True,
    )
