"""The whole way, read top to bottom: from the stated job to the plan that the papers show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from timbrel import __version__
from timbrel.bond import Bond, lay_bond
from timbrel.bond.remedy import with_remedies
from timbrel.job.apart import of_shell, of_statics
from timbrel.job.defaults import DefaultUsed, defaults_used
from timbrel.job.load import Loaded
from timbrel.job.model import Job
from timbrel.schema.file import FORMAT, PlanFile, as_json, vault_figures
from timbrel.shape.levels import LevelBudget, level_budget
from timbrel.shape.room import Room, solve_room
from timbrel.shape.surface import Surface
from timbrel.shape.vault import Barrel, shape_vault
from timbrel.site.load_test import net_test_checks
from timbrel.site.openings import EdgeSite, edge_site, round_openings
from timbrel.site.order import with_first_layer
from timbrel.site.plan import (
    SurfaceSite,
    plan_site,
    plan_surface_site,
    site_once_built,
    site_once_proved,
)
from timbrel.site.real_tiles import as_delivered
from timbrel.site.stop_line import stop_line_checks
from timbrel.statics.building.figures import BuildingFigures, building_figures
from timbrel.statics.building.stages import Building, check_building
from timbrel.statics.building.surface_building import SurfaceBuilding, check_surface_building
from timbrel.statics.building.surface_figures import (
    SurfaceBuildingFigures,
    surface_building_figures,
)
from timbrel.statics.carrying import Carrying, carry
from timbrel.statics.edges import Edges, prove_edges
from timbrel.statics.net_figures import net_figures
from timbrel.statics.net_statics import NetStatics, prove_quickly, prove_wholly
from timbrel.statics.net_uncertainty import uncertain_net
from timbrel.statics.processes import HERE, Aside
from timbrel.statics.proof import prove
from timbrel.statics.rim import rim_checks
from timbrel.statics.studies import Studies, study, study_net
from timbrel.statics.uncertainty import uncertain
from timbrel.takeoff import Since, Takeoff, since, take_off
from timbrel.verdict import Check, Verdict, overall
from timbrel.words import Message, Progress, say, silent

if TYPE_CHECKING:
    from timbrel.statics.net_proof import NetProof

Made = TypeVar("Made")


@dataclass(frozen=True)
class Plan:
    """Everything that follows from a job. checks: all verdicts, in the order of the work.

    job: as it is planned, with the tiles that came where a delivery was measured.

    vault, statics, site: of a barrel or a flight :class:`timbrel.shape.barrel.Barrel`,
    :class:`timbrel.statics.proof.Statics` and :class:`timbrel.site.plan.SitePlan`; of the other
    families as :class:`SurfacePlan` says.

    building: the stages of the work; None until :func:`follow_building` has gone through them.
    carrying: the load path into walls, ties and ground; None until :func:`follow_loads`.
    edges: openings, hooks and ends of a barrel or a flight; None of the other families, whose net
    goes round their openings and carries their hooks. edge_site: what is struck and done there; None
    of the other families without openings and hooks.
    studies: what would help, what a tenth does, how sure; None until :func:`follow_studies`.
    since: what changed since an earlier revision; None until :func:`changed_since`.
    """

    job: Job
    defaults: tuple[DefaultUsed, ...]
    room: Room
    vault: Any
    levels: LevelBudget
    bond: Bond
    statics: Any
    site: Any
    takeoff: Takeoff
    checks: tuple[Check, ...]
    building: Building | None = None
    carrying: Carrying | None = None
    edges: Edges | None = None
    edge_site: EdgeSite | None = None
    studies: Studies | None = None
    since: Since | None = None

    @property
    def verdict(self) -> Verdict:
        """The worst of all verdicts."""
        return overall(self.checks)


@dataclass(frozen=True)
class SurfacePlan(Plan):
    """The plan of a groin, a cloister, a sail or a dome: proved by a strut net, laid between guides.

    statics: quick until :func:`follow_net`, which goes into the supports too: `carrying` stays
    None, and so does `building`. stages: the building of it; None until :func:`follow_building`.
    """

    vault: Surface
    statics: NetStatics
    site: SurfaceSite
    stages: SurfaceBuilding | None = None

    @property
    def net(self) -> NetProof | None:
        """The whole proof, once it has been made."""
        return self.statics.proof


AnyPlan = Plan | SurfacePlan


class Recall(Protocol):
    """Gives what was worked out before of a job that is equal as far as it is seen, or makes it."""

    def __call__(self, what: str, seen: Job, make: Callable[[], Made]) -> Made: ...


def afresh(what: str, seen: Job, make: Callable[[], Made]) -> Made:
    """Remember nothing."""
    return make()


@dataclass(frozen=True)
class Shell:
    """What follows from the room, the curve and the tiles alone."""

    room: Room
    vault: Any
    bond: Bond


def make_shell(job: Job, progress: Progress = silent, *, remedies: bool = True) -> Shell:
    """Room, vault and bond. remedies: a lap that fails says what would help, by laying it otherwise.
    Raises TimbrelError when they cannot be."""
    progress(say("Solving the room"), 0.0)
    room = solve_room(job.room, job.job.length_unit)
    vault = shape_vault(job, room)
    bond = lay_bond(job, vault, part(progress, 0.2, 1.0))
    if remedies:
        bond = with_remedies(bond, job, lambda other: lay_bond(other, vault))
    return Shell(room, vault, bond)


def make_plan(
    job: Job | Loaded,
    progress: Progress = silent,
    recall: Recall = afresh,
    *,
    remedies: bool = True,
) -> Plan:
    """Plan a job. Raises TimbrelError when the job cannot be planned as it is stated.

    recall: where the shell and the statics of jobs planned before may be found again. remedies: of
    laps that fail, as in :func:`make_shell`; left out where many jobs are only compared.
    """
    written = job.job if isinstance(job, Loaded) else job
    stated, deliveries = as_delivered(written)
    laid = of_shell(stated)
    shell = recall(
        "shell", laid, lambda: make_shell(laid, part(progress, 0.0, 0.5), remedies=remedies)
    )
    room, vault, bond = shell.room, shell.vault, shell.bond
    levels = level_budget(stated, vault)
    proved = of_statics(stated)
    told = part(progress, 0.5, 0.9)
    of_family: type[Plan] = Plan
    edges: Edges | None = None
    at_edges: EdgeSite | None = None
    if isinstance(vault, Barrel):
        statics: Any = recall("statics", proved, lambda: prove(proved, vault, told))
        edges = prove_edges(stated, vault, statics)
        site: Any = plan_site(stated, vault, bond, statics, deliveries)
        site = round_openings(site, stated, bond)
        at_edges = edge_site(stated, vault, bond)
    else:
        of_family = SurfacePlan
        statics = recall("statics", proved, lambda: prove_quickly(proved, vault, told))
        site = plan_surface_site(stated, vault, bond, deliveries, statics)
        if stated.openings or stated.hooks:
            site = round_openings(site, stated, bond)
            at_edges = edge_site(stated, vault, bond)
    progress(say("Quantities and prices"), 0.95)
    takeoff = take_off(stated, vault, bond, site)
    checks = (
        *room.checks,
        *levels.checks,
        *bond.checks,
        *statics.checks,
        *(edges.checks if edges else rim_checks(stated, vault)),
        *site.checks,
        *takeoff.checks,
    )
    progress(say("Planned"), 1.0)
    return of_family(
        job=stated,
        defaults=defaults_used(written),
        room=room,
        vault=vault,
        levels=levels,
        bond=bond,
        statics=statics,
        site=site,
        takeoff=takeoff,
        checks=checks,
        edges=edges,
        edge_site=at_edges,
    )


def follow_building(plan: Plan, progress: Progress = silent) -> Plan:
    """The same plan with every stage of its building checked; the checks grow by theirs.

    Apart from `make_plan`, because there are some hundreds of states and an edit on the page wants
    its first verdict at once.
    """
    if isinstance(plan, SurfacePlan):
        stages = check_surface_building(plan.job, plan.vault, plan.bond, progress)
        return _with_stages(plan, stages)
    building = check_building(plan.job, plan.vault, plan.bond, progress)
    each = building.move_after
    moves = None if each is None else each * building.arching.count
    waited: Plan = _waited(plan, (moves, building.next_after), each)
    return replace(waited, building=building, checks=(*waited.checks, *building.checks))


def _with_stages(plan: SurfacePlan, stages: SurfaceBuilding) -> SurfacePlan:
    """A plan of a vault on a plan with the stages of its building, and the waits that they ask."""
    first = stages.orders[0]
    courses, order = first.wait_courses, stages.proposed
    each = None if courses is None else courses / order.count
    waits = (courses, first.wait_ease, first.wait_next)
    waited: SurfacePlan = _waited(plan, waits, each, order.unit)
    if order is not stages.layings[0]:
        # The work is told as it is proved: the words of a site are those of the first order.
        steps = with_first_layer(waited.site.order, order.title)
        waited = replace(waited, site=replace(waited.site, order=steps))
    return replace(waited, stages=stages, checks=(*waited.checks, *stages.checks))


def _waited(
    plan: Any, asked: tuple[float | None, ...], each: float | None, unit: Any = None
) -> Any:
    """The plan with the waits of the building in the programme and the stop line of its site."""
    site = site_once_built(plan.job, plan.bond, plan.site, asked, each, unit)
    told = {check.name: check for check in stop_line_checks(site.stop_line)}
    checks = tuple(told.get(check.name, check) for check in plan.checks)
    return replace(plan, site=site, checks=checks)


def follow_loads(plan: Plan, progress: Progress = silent) -> Plan:
    """The same plan with every combination of loads followed to the ground; more checks.

    Apart from `make_plan` for the same reason. Raises TimbrelError when the data of a wall or a
    tie contradict each other.
    """
    return follow_studies(_carried(plan, part(progress, 0.0, 0.6)), part(progress, 0.6, 1.0))


def _carried(plan: Plan, progress: Progress) -> Plan:
    carrying = carry(plan.job, plan.vault, plan.statics, progress)
    return replace(plan, carrying=carrying, checks=(*plan.checks, *carrying.checks))


def follow_studies(plan: Plan, progress: Progress = silent) -> Plan:
    """The same plan, its loads followed, with what would help and what a tenth does: no checks."""
    if isinstance(plan, SurfacePlan):
        return replace(plan, studies=study_net(plan.job, plan.vault, plan.statics, progress))
    if plan.carrying is None:
        return plan
    progress(say("What would help, and what a tenth does"), 0.0)
    return replace(plan, studies=study(plan.job, plan.vault, plan.carrying))


def draw_samples(
    plan: Plan,
    progress: Progress = silent,
    *,
    samples: int | None = None,
    seed: int | None = None,
    workers: int | None = None,
) -> Plan:
    """The same plan with samples of the uncertain vault drawn, in processes. What progress raises
    stops them at once. Raises TimbrelError for a vault on a plan of which too few nets stand."""
    how: dict[str, Any] = {"samples": samples, "seed": seed, "workers": workers}
    if isinstance(plan, SurfacePlan):
        drawn = uncertain_net(plan.job, plan.vault, progress, **how)
    else:
        drawn = uncertain(plan.job, plan.vault, plan.statics, progress, **how)
    return replace(plan, studies=replace(plan.studies or Studies((), ()), uncertain=drawn))


def follow_net(plan: SurfacePlan, progress: Progress = silent, aside: Aside = HERE) -> SurfacePlan:
    """The same plan with the whole proof by the strut net in the place of the quick one. aside:
    other processes that help."""
    statics = prove_wholly(plan.job, plan.vault, plan.statics, progress, aside)
    site = site_once_proved(plan.job, plan.vault, plan.site, statics)
    told = {check.name: check for check in site.checks}
    first = plan.checks.index(plan.statics.checks[0])
    rest = plan.checks[first + len(plan.statics.checks) :]
    tested = net_test_checks(plan.job, plan.site.load_test, statics.proof)
    rest = tuple(told.get(check.name, check) for check in rest)
    checks = (*plan.checks[:first], *statics.checks, *rest, *tested)
    return replace(plan, statics=statics, site=site, checks=checks)


def follow_verdicts(plan: Plan, progress: Progress = silent, aside: Aside = HERE) -> Plan:
    """The plan followed to the ground and through its building: all that is judged. aside: other
    processes that help with a vault on a plan."""
    if not isinstance(plan, SurfacePlan):
        carried = _carried(plan, part(progress, 0.0, 0.3))
        return follow_building(carried, part(progress, 0.3, 1.0))
    if not aside.helped:
        proved = follow_net(plan, part(progress, 0.0, 0.6))
        return follow_building(proved, part(progress, 0.6, 1.0))
    begun = aside.begin(check_surface_building, plan.job, plan.vault, plan.bond)
    proved = follow_net(plan, part(progress, 0.0, 0.9), aside)
    what = say("Stages of building")
    stages = begun.result(lambda: progress(what, 0.9))
    return _with_stages(proved, stages)


def follow_all(plan: Plan, progress: Progress = silent, aside: Aside = HERE) -> Plan:
    """All that is judged and all that is asked beside it: what the whole pack shows."""
    judged = follow_verdicts(plan, part(progress, 0.0, 0.7), aside)
    return follow_studies(judged, part(progress, 0.7, 1.0))


def changed_since(plan: Plan, before: Job) -> Plan:
    """The same plan beside an earlier revision of its job: what changed is told on the papers."""
    earlier, _ = as_delivered(before)
    return replace(plan, since=since(earlier, plan.job))


def plan_json(plan: Plan) -> dict[str, Any]:
    """The plan as plain values for plan.json: every figure of the sheets, every default used."""
    title = plan.job.job
    return as_json(
        PlanFile(
            format=FORMAT,
            made_by=f"timbrel {__version__}",
            language=title.language,
            length_unit=title.length_unit,
            verdict=plan.verdict,
            checks=plan.checks,
            job=plan.job,
            defaults=plan.defaults,
            room=plan.room,
            vault=vault_figures(plan.vault),
            levels=plan.levels,
            bond=plan.bond,
            statics=net_figures(plan.statics) if isinstance(plan, SurfacePlan) else plan.statics,
            site=plan.site,
            takeoff=plan.takeoff,
            building=_building_figures(plan),
            carrying=plan.carrying,
            edges=plan.edges,
            edge_site=plan.edge_site,
            studies=plan.studies,
            since=plan.since,
        )
    )


def _building_figures(plan: Plan) -> BuildingFigures | SurfaceBuildingFigures | None:
    if isinstance(plan, SurfacePlan):
        return surface_building_figures(plan.stages) if plan.stages else None
    return building_figures(plan.building) if plan.building else None


def part(progress: Progress, start: float, end: float) -> Progress:
    """Progress of one part of the work as progress of the whole."""

    def told(what: Message, share: float) -> None:
        progress(what, start + (end - start) * share)

    return told
