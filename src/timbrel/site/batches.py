"""Batches of the fast binder: how much to mix, for how many tiles, and when to throw it away.

The tiles that one batch serves follow from the time between the end of mixing and the start of
set, and from the box. Nothing is re-wetted, so what is left at the start of set is lost.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.job.model import Binder, Crew, Site
from timbrel.job.set_times import set_start, temperature_for, times_in_use
from timbrel.site.mortar import recipe
from timbrel.verdict import Check, Verdict, judge
from timbrel.words import Message, say

WORTHWHILE = 4
"""Tiles a batch under which a mason mixes more than he lays (from memory)."""
SOURCE = "set times of the binder as given in the job; floor((set - mixing) / lay)"
_ROUND = 1e-9  # a set of exactly so many tiles must not lose one to the last bit


@dataclass(frozen=True)
class Batch:
    """One batch of fast binder for one layer. Volumes m3, masses kg, times s.

    tiles: how many it serves. paste: what is mixed, the share that sets in the box included.
    powder, water, retarder: what goes in (retarder 0 when none is used). set_start: counted from
    the first water; `throw_away` is the same instant, the last tile has to be in place by then.
    limit: what keeps it from being larger, "time" or "box". a_layer: batches for the whole layer;
    a_day: batches of the whole crew on a full day. tiles_hour: pace of one mason, by the slower
    of his own rate and the batches. notes: what to watch.
    """

    layer: int
    binder: str
    tiles: int
    paste: float
    powder: float
    water: float
    retarder: float
    set_start: float
    throw_away: float
    limit: str
    a_layer: int
    a_day: int
    tiles_hour: float
    notes: tuple[Message, ...]


@dataclass(frozen=True)
class NoBatch:
    """No batch can be planned for a layer: why, and what would help."""

    layer: int
    binder: str
    judged: bool
    reason: Message
    help: tuple[Message, ...]


@dataclass(frozen=True)
class LayerWork:
    """What a layer asks of its binder: its number (from 1), tiles, and net volume of joints, m3."""

    layer: int
    tiles: int
    joints: float


def tiles_in_time(start: float, mixing: float, lay: float) -> int:
    """Tiles that can be laid between the end of mixing and the start of set."""
    return max(0, math.floor((start - mixing) / lay + _ROUND))


def _what_helps(name: str, binder: Binder, site: Site, start: float) -> tuple[Message, ...]:
    found: list[Message] = []
    times = times_in_use(binder)
    one_tile = site.mixing + site.lay_tile
    colder = temperature_for(times, one_tile) if times else None
    if colder is not None and colder < site.temperature_c:
        found.append(say("Colder: at {t:degc} or less one tile can be laid.", t=math.floor(colder)))
    if binder.set_retarded and not binder.use_retarder:
        later = set_start(binder.set_retarded, site.temperature_c)
        if later is not None and later >= one_tile:
            found.append(
                say(
                    "Retarder: {dose} g for one litre of dry {binder} gives {tiles:count} tiles a "
                    "batch.",
                    dose=binder.retarder_g_per_litre,
                    binder=name,
                    tiles=tiles_in_time(later, site.mixing, site.lay_tile),
                )
            )
    if start > site.mixing:
        found.append(
            say(
                "A quicker hand or a smaller tile: {left:minutes} are left after mixing.",
                left=start - site.mixing,
            )
        )
    else:
        found.append(
            say(
                "Quicker mixing: it takes {mixing:minutes} and the set starts after "
                "{start:minutes}.",
                mixing=site.mixing,
                start=start,
            )
        )
    return tuple(found)


def _cannot_tell(work: LayerWork, name: str, binder: Binder, site: Site) -> NoBatch:
    times = times_in_use(binder)
    if times is None:
        needed = "set_retarded" if binder.use_retarder else "set"
        reason = say(
            "The start of set of {binder} is not in the job: give binders.{binder}.{needed} from "
            "its maker or from your own pats.",
            binder=name,
            needed=needed,
        )
        return NoBatch(work.layer, name, False, reason, ())
    reason = say(
        "It is {day:degc} and the set times of {binder} reach from {cold:degc} to {warm:degc} "
        "only; nothing is guessed beyond them.",
        day=site.temperature_c,
        binder=name,
        cold=times.degrees_c[0],
        warm=times.degrees_c[-1],
    )
    tests = say("Set a pat on site at this temperature and add its time to the job.")
    return NoBatch(work.layer, name, False, reason, (tests,))


def plan_batch(
    work: LayerWork, name: str, binder: Binder, site: Site, crew: Crew
) -> Batch | NoBatch:
    """The batch for one layer, or why there is none and what would help.

    The job's box (`batch_most`) and the time before set both limit it. Raises TimbrelError when
    the set times themselves are unreadable.
    """
    times = times_in_use(binder)
    key = f"binders.{name}.{'set_retarded' if binder.use_retarder else 'set'}"
    start = set_start(times, site.temperature_c, key=key) if times else None
    if start is None:
        return _cannot_tell(work, name, binder, site)
    in_time = tiles_in_time(start, site.mixing, site.lay_tile)
    if in_time == 0:
        reason = say(
            "{binder} starts to set after {start:minutes} at {day:degc}; mixing takes "
            "{mixing:minutes} and one tile {lay:minutes}, so no tile can be laid.",
            binder=name,
            start=start,
            day=site.temperature_c,
            mixing=site.mixing,
            lay=site.lay_tile,
        )
        return NoBatch(work.layer, name, True, reason, _what_helps(name, binder, site, start))
    a_tile = work.joints / work.tiles / (1.0 - binder.waste)
    in_box = math.floor(binder.batch_most / a_tile + _ROUND)
    if in_box == 0:
        reason = say(
            "One tile needs {need:litres} of {binder} with its loss, and the box holds "
            "{box:litres}.",
            need=a_tile,
            box=binder.batch_most,
            binder=name,
        )
        larger = say("A larger box, a smaller tile, or thinner joints.")
        return NoBatch(work.layer, name, True, reason, (larger,))
    tiles = min(in_time, in_box, work.tiles)
    paste = tiles * a_tile
    mix = recipe(name, binder, paste)
    pace = mason_pace(work.layer, tiles, site, crew)
    share = crew.masons + crew.apprentice_share * crew.apprentices
    return Batch(
        layer=work.layer,
        binder=name,
        tiles=tiles,
        paste=paste,
        powder=mix.powder,
        water=mix.water,
        retarder=mix.retarder,
        set_start=start,
        throw_away=start,
        limit="time" if in_time <= in_box else "box",
        a_layer=math.ceil(work.tiles / tiles),
        a_day=math.ceil(pace * share * site.hours_per_day / tiles),
        tiles_hour=pace,
        notes=_notes(name, binder, tiles),
    )


def mason_pace(layer: int, tiles: int, site: Site, crew: Crew) -> float:
    """Tiles an hour of one mason: his own rate, or what the batches allow when that is less.

    With a helper the next batch is mixed while he lays; without one he waits for each.
    """
    own = crew.first_layer_tiles_hour if layer == 1 else crew.later_layer_tiles_hour
    served = crew.helpers >= crew.masons
    waiting = 0.0 if served else site.mixing / tiles
    by_batch = 3600.0 / (site.lay_tile + waiting)
    return min(own, by_batch)


def _notes(name: str, binder: Binder, tiles: int) -> tuple[Message, ...]:
    notes = [
        say("Throw away what has begun to set; never wet it again."),
        say("Prove the set with a pat at the mixing board before the first tile of the day."),
    ]
    if tiles < WORTHWHILE:
        notes.append(
            say(
                "Only {tiles:count} tiles a batch: under {want:count} more is mixed than laid; "
                "think of retarder or of a colder hour.",
                tiles=tiles,
                want=WORTHWHILE,
            )
        )
    if binder.use_retarder:
        notes.append(
            say(
                "Weigh the retarder ({dose} g for one litre of dry {binder}) and dissolve it in "
                "the mixing water, or as the maker says: more of it means longer holding.",
                dose=binder.retarder_g_per_litre,
                binder=name,
            )
        )
    return tuple(notes)


def batch_check(answer: Batch | NoBatch) -> Check:
    """At least one tile a batch; not judged where the set time is not known."""
    name = f"site.batches.layer-{answer.layer}"
    title = say("Tiles a batch of {binder}, layer {layer}", binder=answer.binder,
                layer=answer.layer)  # fmt: skip
    if isinstance(answer, NoBatch):
        tiles = 0.0 if answer.judged else None
        reason = answer.reason
        for helps in answer.help:
            reason = say("{said} {more}", said=reason, more=helps)
        return judge(name, title, tiles, 1.0, kind="count", reason=reason, source=SOURCE)
    reason = say(
        "The set starts {start:minutes} after the first water; {limit} limits the batch.",
        start=answer.set_start,
        limit=say("the time") if answer.limit == "time" else say("the box"),
    )
    check = judge(name, title, float(answer.tiles), 1.0, kind="count", reason=reason, source=SOURCE)
    assert check.verdict is Verdict.HOLDS
    return check
