"""What would help a support that does not do: side by side, with what each costs.

Each is the least of its kind that makes both walls stand under every EQU combination, and, where the
strength of the masonry is stated, keeps the block of stress within it: a thicker wall, buttresses,
ties, a higher rise, a lighter fill. Material and money are what is added to the job as stated.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job, Wall, Walls
from timbrel.job.supports import AnchorPlate, Buttress, Ties
from timbrel.shape.vault import shape_vault
from timbrel.statics.actions import actions_under, fill_levels, joints_at
from timbrel.statics.carried_length import wall_length
from timbrel.statics.carrying import Carrying
from timbrel.statics.combinations import combinations, variable_loads
from timbrel.statics.descent import Descent, descend
from timbrel.statics.envelope import Envelope, EnvelopeRow
from timbrel.statics.proof import SIDES
from timbrel.statics.pushes import Pushes, gather
from timbrel.statics.supports import Profile, wall_profile
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.ties import tie_answer
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.walls import Side, missing_data, wall_frame
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

STEP = 0.05  # sizes are rounded up to this, m
THICKEST, DEEPEST = 2.5, 3.0
BUTTRESS = (0.45, 2.4)  # width and spacing, m (common practice, no source)
TIE_SPACING = 1.5
DIAMETERS = (0.012, 0.016, 0.020, 0.024, 0.030, 0.036, 0.042)
RISES = (1.1, 1.25, 1.5, 1.75, 2.0)
LIGHT_FILL = 6e3
Criterion = Callable[[Job, "Barrel", Envelope], bool]


@dataclass(frozen=True)
class Alternative:
    """One way to help.

    key: thicker, buttress, tie, rise or fill. size: of it (m; N/m3 for fill), None when no size
    would do. thrust: greatest characteristic thrust with it, N/m. masonry: m3 added; steel: kg.
    cost: in the job's currency, None when its price is not stated.
    """

    key: str
    title: Message
    size: float | None
    thrust: float | None
    masonry: float
    steel: float
    cost: float | None

    @property
    def serves(self) -> bool:
        return self.size is not None


def alternatives(job: Job, vault: Barrel, carrying: Carrying) -> tuple[Alternative, ...]:
    """Every way of helping, for a job whose walls' sizes are known; none otherwise."""
    if any(missing_data(getattr(job.walls, side), side) for side in SIDES):
        return ()
    untied = _with_walls(job, ties=None)
    now = carrying.envelope
    return (
        _thicker(untied, vault, carrying.v, now),
        _buttressed(untied, vault, carrying.v, now),
        _tied(job, vault, carrying.v, now),
        _higher(untied, vault, carrying.v),
        _lighter(untied, vault, carrying.v),
    )


def walls_stand(job: Job, vault: Barrel, v: float, every: Envelope) -> bool:
    """Do both walls stand under every EQU combination, within their strength where it is known."""
    if every.fallen:
        return False
    for side in SIDES:
        wall = getattr(job.walls, side)
        profile = wall_profile(wall, side, wall_length(vault, side))
        pushes = gather(every, wall_frame(vault, v, side), job.walls.ties)
        if bool(descend(profile, pushes.picked(pushes.of("EQU"))).fallen.any()):
            return False
        strength = wall_strength(wall.masonry, job.loads.national)
        if strength is not None:
            under = descend(profile, pushes.picked(pushes.of("STR")))
            if under.fallen.any() or _block_use(profile, under, strength.design) > 1:
                return False
    return True


def _block_use(profile: Profile, under: Descent, design: float) -> float:
    """Greatest share of the block of stress that any thrust uses at any bed."""
    T = under.thickness[:, None]
    block = 2 * np.maximum(np.minimum(T - under.at, under.at), 1e-9)
    width = np.where(profile.web_width > 0, profile.web_width, profile.width)[:, None]
    return float(np.max(under.normal / (block * width * design)))


def _with_walls(job: Job, **changes: object) -> Job:
    return job.model_copy(update={"walls": job.walls.model_copy(update=changes)})


def _both(job: Job, change: Callable[[Wall], Wall]) -> Job:
    """The job with both springing walls changed alike."""
    walls: Walls = job.walls
    return _with_walls(job, left=change(walls.left), right=change(walls.right))


def _least(stands: Callable[[float], bool], low: float, high: float) -> float | None:
    """Least multiple of STEP between low and high that stands."""
    steps = round((high - low) / STEP)
    if not stands(low + steps * STEP):
        return None
    first, last = 0, steps
    while first < last:
        middle = (first + last) // 2
        if stands(low + middle * STEP):
            last = middle
        else:
            first = middle + 1
    return low + last * STEP


def _thrust(every: Envelope) -> float | None:
    found = [
        r.greatest
        for r in every.rows
        if r.combination.situation == "characteristic" and r.greatest is not None
    ]
    return max(found, default=None)


def _thicker(job: Job, vault: Barrel, v: float, every: Envelope) -> Alternative:
    """Both walls thickened, as one leaf each."""

    def change(thickness: float) -> Job:
        def thick(wall: Wall) -> Wall:
            wide = max(thickness, wall.thickness or 0.0)
            return wall.model_copy(update={"thickness": wide, "leaves": (), "buttress": None})

        return _both(job, thick)

    start = min(_thickness(job, side) for side in SIDES)
    start = np.ceil(start / STEP - 1e-9) * STEP
    size = _least(lambda t: walls_stand(change(t), vault, v, every), float(start), THICKEST)
    masonry = 0.0
    if size is not None:
        masonry = sum(
            max(size - _thickness(job, side), 0.0)
            * ((getattr(job.walls, side).height or 0.0) + getattr(job.walls, side).above)
            * wall_length(vault, side)
            for side in SIDES
        )
    return _priced(job, "thicker", say("Thicker walls"), size, _thrust(every), masonry, 0.0)


def _thickness(job: Job, side: Side) -> float:
    return float(getattr(job.walls, side).thickness)


def _buttressed(job: Job, vault: Barrel, v: float, every: Envelope) -> Alternative:
    """Even buttresses on both walls, up to the springing."""
    width, spacing = BUTTRESS

    def change(depth: float) -> Job:
        built = Buttress.model_construct(width=width, spacing=spacing, depth=depth)
        return _both(job, lambda wall: wall.model_copy(update={"buttress": built}))

    size = _least(lambda d: walls_stand(change(d), vault, v, every), 0.10, DEEPEST)
    masonry = 0.0
    if size is not None:
        for side in SIDES:
            count = int(np.ceil(wall_length(vault, side) / spacing))
            masonry += count * width * size * (getattr(job.walls, side).height or 0.0)
    title = say(
        "Buttresses {width:length} wide at {spacing:length}, outside both walls",
        width=width,
        spacing=spacing,
    )
    return _priced(job, "buttress", title, size, _thrust(every), masonry, 0.0)


def _tied(job: Job, vault: Barrel, v: float, every: Envelope) -> Alternative:
    """Bars across the vault with plates at their ends, at the springing."""
    title = say("Ties at {spacing:length}, at the springing", spacing=TIE_SPACING)
    pushes: Pushes = gather(every, wall_frame(vault, v, "left"), None)
    design = float(pushes.push.level[pushes.of("STR", "accidental")].max(initial=0.0))
    service = float(pushes.push.level[pushes.of("characteristic")].max(initial=0.0))
    length = max(vault.near.span, vault.far.span) + sum(_thickness(job, s) for s in SIDES)
    for diameter in DIAMETERS:
        ties = _bar(diameter)
        found = tie_answer(
            ties,
            job.loads.national,
            design=design,
            service=service,
            length=length,
            rise=vault.near.rise,
        )
        if found.use > 1:
            continue
        if not walls_stand(_with_walls(job, ties=ties), vault, v, every):
            break
        count = int(np.ceil(vault.axis_length / TIE_SPACING)) + 1
        return _priced(job, "tie", title, diameter, _thrust(every), 0.0, count * found.mass)
    return _priced(job, "tie", title, None, _thrust(every), 0.0, 0.0)


def _bar(diameter: float) -> Ties:
    side = max(0.15, 8 * diameter)
    plate = AnchorPlate.model_construct(side=side, thickness=0.02)
    return Ties.model_construct(spacing=TIE_SPACING, diameter=diameter, anchor=plate)


def _higher(job: Job, vault: Barrel, v: float) -> Alternative:
    """The same curve with more rise."""
    title = say("More rise")
    if job.curve.rise is None:
        return _priced(job, "rise", title, None, None, 0.0, 0.0)
    for more in RISES:
        curve = job.curve.model_copy(update={"rise": job.curve.rise * more})
        changed = job.model_copy(update={"curve": curve})
        try:
            raised = shape_vault(changed, vault.room)
            every = equilibrium_rows(changed, raised, v)
        except TimbrelError:
            continue
        if walls_stand(changed, raised, v, every):
            return _priced(job, "rise", title, job.curve.rise * more, _thrust(every), 0.0, 0.0)
    return _priced(job, "rise", title, None, None, 0.0, 0.0)


def _lighter(job: Job, vault: Barrel, v: float) -> Alternative:
    """Light fill in the place of what is there."""
    title = say("Light fill, {weight:unit_weight}", weight=LIGHT_FILL)
    fill = job.loads.fill
    if fill.kind != "solid" and not fill.lifts and (fill.unit_weight or 0.0) <= LIGHT_FILL:
        return _priced(job, "fill", title, None, None, 0.0, 0.0)
    light = fill.model_copy(update={"kind": "light", "unit_weight": LIGHT_FILL, "lifts": ()})
    changed = job.model_copy(update={"loads": job.loads.model_copy(update={"fill": light})})
    every = equilibrium_rows(changed, vault, v)
    size = LIGHT_FILL if walls_stand(changed, vault, v, every) else None
    return _priced(job, "fill", title, size, _thrust(every), 0.0, 0.0)


def equilibrium_rows(job: Job, vault: Barrel, v: float) -> Envelope:
    """An envelope without the search for what governs the vault, line loads left out."""
    u = np.linspace(0.0, 1.0, min(49, len(joints_at(job, vault))))
    acts = actions_under(job, vault, v, fill_levels(job, vault), u)
    walked = [i for i, p in enumerate(acts.patterns) if p.kind == "line"]
    program = ThrustProgram(acts.strip, acts.dead, variable_loads(acts))
    rows: list[EnvelopeRow] = []
    for c in combinations(acts, job.loads):
        if walked and c.factors[walked].any():
            continue
        least = program.least_thrust(c.dead, c.factors)
        most = program.greatest_thrust(c.dead, c.factors) if least else None
        if least is None or most is None:
            rows.append(EnvelopeRow(c, None, None, None))
            continue
        lines = (least.line, most.line)
        rows.append(EnvelopeRow(c, least.line.thrust, most.line.thrust, lines))
    return Envelope(tuple(rows), None, None)


def _priced(
    job: Job,
    key: str,
    title: Message,
    size: float | None,
    thrust: float | None,
    masonry: float,
    steel: float,
) -> Alternative:
    prices = job.prices
    parts = ((masonry, prices.masonry_m3), (steel, prices.steel_kg))
    known = [amount * price for amount, price in parts if amount > 0 and price is not None]
    missing = any(amount > 0 and price is None for amount, price in parts)
    cost = None if missing or size is None or not (masonry or steel) else sum(known)
    return Alternative(key, title, size, thrust, masonry, steel, cost)
