"""The close-out file: record, signatures, deviations, readings and photographs in one pack."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.plan import Plan
from timbrel.records.asbuilt import AsBuilt, BuiltStation, compare
from timbrel.records.built_sheets import built_plan_picture, built_surface_blocks
from timbrel.records.chain import Entry
from timbrel.records.kinds import LoadReading, MeasuredPoint
from timbrel.records.loadtest import Gauge, gauges, load_test_checks
from timbrel.records.replan_sheets import replan_blocks
from timbrel.records.roles import ROLE_NAMES, Role
from timbrel.records.store import Record
from timbrel.records.verify import Fault
from timbrel.records.words import KIND_NAMES, spoken_body
from timbrel.sheets import blocks
from timbrel.sheets.board import Board, Picture, fitted
from timbrel.sheets.paper import PAPERS, typeset
from timbrel.sheets.sheet import drawing_sheets, room_for, title_head, words_sheet
from timbrel.verdict import overall
from timbrel.words import Message, Progress, Voice, say, silent

PHOTO_MM = 126.0
"""Width of a photograph on paper: two rows of them on an A3 sheet."""
EXAGGERATED = 20
"""Deviations are drawn this many times larger than the vault, and the sheet says so."""


@dataclass(frozen=True)
class CloseOut:
    """All that the file says. faults: of the chain, empty when it is whole."""

    plan: Plan
    entries: tuple[Entry, ...]
    standing: tuple[Entry, ...]
    head: str
    faults: tuple[Fault, ...]
    built: AsBuilt
    gauges: tuple[Gauge, ...]
    pictures: dict[str, tuple[str, bytes]]


def gather(plan: Plan, record: Record) -> CloseOut:
    """Read the record against the plan. Raises TimbrelError for points not on this vault."""
    every = record.entries()
    replaced = {e.corrects for e in every if e.corrects is not None}
    standing = tuple(e for e in every if e.seq not in replaced and e.kind != "void")
    points = [MeasuredPoint(**e.body) for e in standing if e.kind == "point"]
    readings = [LoadReading(**e.body) for e in standing if e.kind == "load_reading"]
    wanted = {e.body["digest"] for e in standing if e.kind == "photo"}
    kept = {d: found for d in sorted(wanted) if (found := record.picture(d)) is not None}
    return CloseOut(
        plan,
        tuple(every),
        standing,
        record.head()[1],
        tuple(record.verify()),
        compare(plan.job, plan.vault, points),
        gauges(readings),
        kept,
    )


def close_out_pdf(found: CloseOut, voice: Voice, progress: Progress = silent) -> bytes:
    """The close-out file as PDF."""
    job = found.plan.job
    progress(say("Close-out sheets"), 0.1)
    sheets = list(_sheets(found, voice))
    progress(say("Typesetting"), 0.6)
    pdf = typeset(
        "pack.typ",
        {"paper": job.site.sheet, "head": title_head(voice, job.job), "sheets": sheets},
    )
    progress(say("Close-out file ready"), 1.0)
    return pdf


def _sheets(found: CloseOut, voice: Voice) -> Iterator[dict[str, Any]]:
    size = found.plan.job.site.sheet
    columns = 1 if size == "A4" else 2
    kind = say("Record")
    first = [
        *_summary(found, voice),
        *replan_blocks(found.plan, found.standing, found.built, voice),
    ]
    yield words_sheet(voice, say("Close-out"), kind, first, columns=columns)
    for station in found.built.stations:
        picture = deviation_picture(found.plan, station, voice, room_for(size))
        title = say("As built, station {v:percent} from the near end", v=station.v)
        note = say(
            "Deviations are drawn {times:count} times larger than the vault; figures in mm, "
            "outward positive.",
            times=EXAGGERATED,
        )
        yield from drawing_sheets(voice, size, title, [picture], notes=(note,))
    if found.built.surface is not None:
        built = found.built.surface
        picture = built_plan_picture(found.plan, built, voice, room_for(size))
        note = say(
            "At each point its distance from the design along the normal, mm, outward positive; "
            "ringed where it is over the tolerance of {most:length}.",
            most=built.tolerance,
        )
        yield from drawing_sheets(
            voice, size, say("As built, from above"), [picture], notes=(note,)
        )
        made = built_surface_blocks(built, voice)
        yield words_sheet(voice, say("As built"), kind, made, columns=columns)
    if found.gauges:
        yield words_sheet(
            voice, say("Load test"), kind, list(_load_test(found, voice)), columns=columns
        )
    yield words_sheet(voice, say("Entries"), kind, [_entries(found, voice)], columns=1)
    if found.pictures:
        shown = list(_photographs(found, voice))
        yield words_sheet(voice, say("Photographs"), kind, shown, columns=columns)


def _summary(found: CloseOut, voice: Voice) -> Iterator[blocks.Block]:
    checks = (*found.built.checks, *load_test_checks(found.plan.job, found.gauges))
    yield blocks.large(voice, found.plan.job.job.title)
    yield blocks.verdict_line(voice, overall(checks), say("the vault as built and tested"))
    yield blocks.checks_table(voice, checks)
    yield blocks.heading(voice, say("The record"))
    chain = (
        say("The chain of entries is whole.")
        if not found.faults
        else say(
            "The chain is broken in {count:count} places; the first at entry {seq}: {what}.",
            count=len(found.faults),
            seq=found.faults[0].seq,
            what=found.faults[0].what,
        )
    )
    yield blocks.bullets(
        voice,
        [
            chain,
            say(
                "{count:count} entries, {standing:count} of them standing as entered; the last "
                "hash is {head}.",
                count=len(found.entries),
                standing=len(found.standing),
                head=found.head,
            ),
        ],
    )
    yield blocks.heading(voice, say("People"))
    people = [e for e in found.standing if e.kind == "person"]
    yield blocks.table(
        voice,
        [say("Entry"), say("Name"), say("Role")],
        [(str(e.seq), e.body["name"], ROLE_NAMES[Role(e.body["role"])]) for e in people],
        align="rll",
    )
    yield blocks.heading(voice, say("Signatures"))
    signed = [e for e in found.standing if e.kind == "signature"]
    if signed:
        yield blocks.table(
            voice,
            [say("What"), say("Result"), say("Name"), say("When"), say("Words")],
            [
                (
                    e.body["what"],
                    voice(_RESULTS[e.body["result"]]),
                    e.body["name"],
                    e.at[:16].replace("T", " "),
                    e.body["text"],
                )
                for e in signed
            ],
            align="lllll",
        )
    else:
        yield blocks.words(voice, say("Nothing has been signed yet."))
    yield blocks.signatures(
        voice, [say("Master mason"), say("Engineer"), say("Client"), say("Place and date")]
    )
    yield blocks.caution(voice, found.plan.site.cautions)


_RESULTS: dict[str, Message] = {
    "released": say("released"),
    "stopped": say("stopped"),
    "accepted": say("accepted"),
}


def deviation_picture(
    plan: Plan, station: BuiltStation, voice: Voice, room_mm: tuple[float, float]
) -> Picture:
    """The design's intrados at a station, its tolerance, and the measured points off it."""
    chord = plan.vault.profile(station.v, np.linspace(0, 1, 201))
    chord = chord - chord[0]
    lean = np.arctan2(chord[-1, 1], chord[-1, 0])
    turn = np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])
    curve = chord @ turn.T
    way = np.gradient(curve, axis=0)
    out = np.column_stack([-way[:, 1], way[:, 0]]) / np.hypot(way[:, 0], way[:, 1])[:, None]
    band = station.tolerance * EXAGGERATED

    def draw(scale: int) -> tuple[Picture, ...]:
        board = Board(
            f"as-built-{round(station.v * 1000)}",
            say("As built, station {v:percent}", v=station.v),
            voice,
            scale,
        )
        board.line(curve, "INTRADOS")
        for side in (1, -1):
            board.line(curve + side * band * out, "CHORD")
        for point in station.points:
            foot = np.array(point.design)
            normal = np.array(
                [np.interp(point.u, np.linspace(0, 1, 201), out[:, k]) for k in (0, 1)]
            )
            tip = foot + normal * point.off * EXAGGERATED
            board.lines([(foot, tip)], "THRUST")
            board.dot(tip, "HINGE", 2.0)
            up = 1.0 if point.off >= 0 else -1.0
            board.text(
                tip + normal * up * board.paper(4.0),
                voice.number(point.off * 1e3, 1),
                height_mm=2.5,
            )
        return (board.finish(margin_mm=2.0),)

    size = np.ptp(curve, axis=0)
    return fitted(draw, (float(size[0]), float(size[1]) + 2 * band), room_mm)[0]


def _load_test(found: CloseOut, voice: Voice) -> Iterator[blocks.Block]:
    yield blocks.checks_table(voice, load_test_checks(found.plan.job, found.gauges))
    for gauge in found.gauges:
        yield blocks.heading(voice, say("Gauge {name}", name=gauge.name))
        yield blocks.table(
            voice,
            [say("Step"), say("Load"), say("Reading")],
            [
                (str(step), voice.quantity(load, "force"), voice.length(reading, 2))
                for step, load, reading in gauge.readings
            ],
            align="rrr",
        )


def _entries(found: CloseOut, voice: Voice) -> blocks.Block:
    names = {e.seq: e.body["name"] for e in found.entries if e.kind == "person"}
    replaced = {e.corrects: e.seq for e in found.entries if e.corrects is not None}
    rows = []
    for e in found.entries:
        mark = ""
        if e.seq in replaced:
            mark = voice(say("put right by {seq}", seq=replaced[e.seq]))
        elif e.corrects is not None:
            mark = voice(say("puts right {seq}", seq=e.corrects))
        rows.append(
            (
                str(e.seq),
                e.at[:16].replace("T", " "),
                names.get(e.author, str(e.author)),
                voice(KIND_NAMES[e.kind]),
                spoken_body(voice, e),
                mark,
                e.digest[:10],
            )
        )
    return blocks.table(
        voice,
        [say("Entry"), say("When"), say("Who"), say("Kind"), say("Words"), "", say("Hash")],
        rows,
        align="rllllll",
        widths=[12, 28, 30, 28, blocks.FILL, 26, 22],
        dense=True,
    )


def _photographs(found: CloseOut, voice: Voice) -> Iterator[blocks.Block]:
    wide = min(PAPERS[found.plan.job.site.sheet].room_mm[0] / 2 - 12.0, PHOTO_MM)
    for e in found.standing:
        if e.kind == "photo" and e.body["digest"] in found.pictures:
            media, data = found.pictures[e.body["digest"]]
            caption = f"{e.seq} · {e.at[:16].replace('T', ' ')} · {e.body['text']}"
            yield blocks.keep(
                _photograph(media, data, wide, caption), blocks.words(voice, caption, small=True)
            )


def _photograph(media: str, data: bytes, wide: float, alt: str) -> blocks.Block:
    """A photograph in a frame of three to two; an SVG carries it, so that the sheet needs no file."""
    high = wide * 2 / 3
    inside = base64.b64encode(data).decode()
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.1f} {high:.1f}">'
        f'<image width="{wide:.1f}" height="{high:.1f}" href="data:{media};base64,{inside}"/></svg>'
    )
    return {"kind": "picture", "svg": svg, "w": wide, "h": high, "alt": alt}
