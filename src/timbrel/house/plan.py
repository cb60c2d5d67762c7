"""The plan of a house: its vaults planned each by itself, then order, days and price added up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from timbrel.house.orders import HouseLine, combined
from timbrel.house.programme import HouseProgramme, one_crew
from timbrel.house.shared import refuse_unlike
from timbrel.job.house import HouseFile
from timbrel.job.load import Loaded
from timbrel.job.model import Job
from timbrel.plan import Plan, follow_all, make_plan, part
from timbrel.site.workdays import Workdays
from timbrel.takeoff.quote import Quote, make_quote
from timbrel.verdict import Check, Verdict, governing_first, overall
from timbrel.words import Message, Progress, say, silent

MakePlan = Callable[[str, Loaded, Progress], Plan]


@dataclass(frozen=True)
class VaultOfHouse:
    """One vault. name: folder of its job. verdict: the worst of its checks; governs: the check that
    governs. days: working days and calendar days by itself. price: likely, by itself."""

    name: str
    title: str
    family: str
    verdict: Verdict
    governs: Check | None
    tiles: int
    days: float
    calendar: int
    price: float


@dataclass(frozen=True)
class HousePlan:
    """file: what the house states. vaults: in the order of the file. lines: the common order.
    workdays: of its one crew. whole: were all proofs, stages and load paths followed, or the first
    proofs alone."""

    file: HouseFile
    vaults: tuple[VaultOfHouse, ...]
    lines: tuple[HouseLine, ...]
    programme: HouseProgramme
    quote: Quote
    workdays: Workdays
    whole: bool

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all vaults."""
        if any(v.verdict is Verdict.FAILS for v in self.vaults):
            return Verdict.FAILS
        judged = all(v.verdict is Verdict.HOLDS for v in self.vaults)
        return Verdict.HOLDS if judged else Verdict.NOT_JUDGED

    @property
    def apart(self) -> float:
        """Sum of the likely prices, each vault by itself."""
        return sum(v.price for v in self.vaults)


def plan_house(
    file: HouseFile,
    jobs: dict[str, Loaded],
    progress: Progress = silent,
    *,
    whole: bool = False,
    planned: MakePlan | None = None,
) -> HousePlan:
    """Plan every vault of a house and add them up.

    jobs: by folder, in the order of the file. planned: makes a plan in the place of `make_plan`
    (the page keeps its own). Raises TimbrelError when a job cannot be planned, or when the jobs have
    not one crew, one list of prices and one kind of tile and binder under one name.
    """
    refuse_unlike({name: loaded.job for name, loaded in jobs.items()})
    plans: dict[str, Plan] = {}
    for i, (name, loaded) in enumerate(jobs.items()):
        told = part(progress, i / len(jobs), (i + 1) / len(jobs))
        plans[name] = (planned or _plan)(name, loaded, part(told, 0.0, 0.5))
        if whole:
            plans[name] = follow_all(plans[name], part(told, 0.5, 1.0))
    first = next(iter(plans.values())).job
    lines = combined({name: plan.takeoff.lines for name, plan in plans.items()}, first)
    workdays = replace(Workdays.of(first.site), first=file.start or first.site.start)
    programme = one_crew(
        {name: plan.site.programme for name, plan in plans.items()},
        {vault.job: vault.after for vault in file.vaults},
        workdays,
    )
    quote = make_quote(_as_one(first, file), programme.plain, tuple(line.line for line in lines))
    progress(say("Added up"), 1.0)
    vaults = tuple(_vault(name, plan) for name, plan in plans.items())
    return HousePlan(file, vaults, lines, programme, quote, workdays, whole)


def _plan(_name: str, loaded: Loaded, progress: Progress) -> Plan:
    return make_plan(loaded, progress)


def _as_one(job: Job, file: HouseFile) -> Job:
    """A job that bears the house's title: crew and prices are those of all."""
    return job.model_copy(update={"job": file.house})


def _vault(name: str, plan: Plan) -> VaultOfHouse:
    order = governing_first(plan.checks)
    return VaultOfHouse(
        name,
        plan.job.job.title,
        plan.vault.family,
        overall(plan.checks),
        order[0] if order else None,
        sum(nest.bought for nest in plan.bond.cuts.nests),
        plan.site.programme.days,
        plan.site.programme.calendar,
        plan.takeoff.quote.likely.total,
    )


def how_far(house: HousePlan) -> Message:
    """What the verdicts of the house rest on."""
    if house.whole:
        return say("Every proof, every stage and every load path was followed.")
    return say(
        "First proofs alone: the load paths, the stages of building and the whole nets stand in "
        "the pack of each vault."
    )
