"""How often would a vault on a plan fail, if it is not quite what was stated; what matters most.

Inputs, reserve and verdict of a sample are those of a strip (:mod:`timbrel.statics.uncertainty`). A
net is too slow to be drawn for every sample: some dozens of nets, evenly spread over thickness, curve,
densities and imposed load, are solved, and reserve, strength and thrust are foretold from them by a
response whose error is told. The strength drawn acts in closed form, and walls and piers are followed
for every sample from its own pushes. Samples foretold so near the limit that the error may turn them
are asked of nets of their own.
"""

from __future__ import annotations

import os
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.statics.net_foretold import Foretold, foretell
from timbrel.statics.net_reserve import THICKEST, coarse_net
from timbrel.statics.net_sample import (
    NetSample,
    SampleTrial,
    sample_stands,
    ties_help,
    work_sample,
)
from timbrel.statics.net_sampled_loads import (
    NOTHING,
    Standing,
    governing_standing,
    loaded_with,
    standings,
)
from timbrel.statics.net_support_factor import bears_of, ties_stay
from timbrel.statics.processes import in_processes
from timbrel.statics.sampled import Fitted, Uncertain, failing_share, influences
from timbrel.statics.sampling import even_samples, normal_samples
from timbrel.statics.strip import Array
from timbrel.words import Message, Progress, TimbrelError, say, silent

NAMES = ("thickness", "curve, half wave", "curve, whole wave", "density", "imposed", "strength")
FOLLOWS = 5  # of them, what a net is drawn for; the strength acts in closed form
NETS = 48
LEAST_NETS = 24  # that must stand, for a response to be fitted to them
SPREAD = 2.5  # standard deviations over which the nets are spread
DOUBT = 3.0  # errors of the response within which a sample may turn
CHECKED = 64  # samples at most that are asked of nets of their own
WEAKEST = 0.01  # of the stated strength, under which none is drawn
DRAWN, ASKED = 0.7, 0.95  # progress once the nets are solved, and once the doubtful are asked


def uncertain_net(
    job: Job,
    vault: Any,
    progress: Progress = silent,
    *,
    samples: int | None = None,
    seed: int | None = None,
    workers: int | None = None,
) -> Uncertain:
    """Draw samples of a vault on a plan and work them, in processes.

    samples, seed: in the place of the job's. workers: processes; 1 works them here. What progress
    raises stops the work at once. Raises TimbrelError where too few of the nets stand.
    """
    count = samples or job.uncertainty.samples
    chosen = job.uncertainty.seed if seed is None else seed
    many = workers or os.cpu_count() or 1
    trial, pattern = _trial(job, vault)
    told = _fitted(trial, chosen, many, progress)
    drawn = normal_samples(count, len(NAMES), chosen)
    strong = np.maximum(1 + job.uncertainty.strength * drawn[:, FOLLOWS], WEAKEST)
    reserve, strength = told.vault(drawn[:, :FOLLOWS], strong)
    walls = told.supports(trial, drawn[:, :FOLLOWS])
    least = reserve if strength is None else np.minimum(reserve, strength)
    rows = _doubtful(told, reserve, strength)
    fails, turned = _asked(trial, drawn, strong, least < 1, rows, many, progress)
    failing, error = failing_share(fails | (walls < 1))
    known = bool(np.isfinite(walls).all())
    progress(say("Samples of the uncertain vault"), 1.0)
    return Uncertain(
        reserve,
        walls,
        failing,
        error,
        influences(drawn, NAMES, _titles(), least),
        chosen,
        strength,
        influences(drawn, NAMES, _titles(), walls) if known else (),
        Fitted(
            told.nets,
            told.reserve_error,
            told.strength_error,
            None if np.isnan(walls).all() else told.thrust_error,
            pattern,
            len(rows),
            turned,
            _left_out(trial),
        ),
    )


def _trial(job: Job, vault: Any) -> tuple[SampleTrial, Message | None]:
    """The vault as stated, and the title of the load that governs it when it is thin."""
    net = coarse_net(job, vault)
    dead = net.acts.dead
    share = net.least_share(dead, 0.5)
    if share is None:
        raise _falls()
    governing = governing_standing(net, job.loads, share)
    near = net.least_share(loaded_with(dead, governing.variable()), share)
    if near is None:
        raise _falls()
    full = next((s for s in standings(net.acts, job.loads) if _is_full(s)), None)
    trial = SampleTrial(
        job,
        vault,
        net,
        job.uncertainty,
        job.masonry.crushing,
        governing,
        None if full is None or _is_full(governing) else full,
        near,
        (None,) * len(net.grid.supports),
        ties_stay(job),
    )
    held = job.walls.ties if trial.tied and ties_help(trial) else None
    bears = tuple(
        bears_of(job, s.name, s.kind, float(s.length.sum()), held) for s in net.grid.supports
    )
    title = None if governing is NOTHING else governing.title
    return replace(trial, bears=bears), title


def _is_full(standing: Standing) -> bool:
    """Is it the full imposed load that leads."""
    return any(load.key == "full" and factor == 1.0 for load, factor in standing.imposed)


def _falls() -> TimbrelError:
    return TimbrelError(
        say(
            "No samples are drawn of this vault: too few of its coarse nets carry their loads, even "
            "{times} times as thick; accepted: a vault that is nearer to standing.",
            times=f"{THICKEST:g}",
        ),
        key="uncertainty",
    )


def _fitted(trial: SampleTrial, seed: int, workers: int, progress: Progress) -> Foretold:
    """Nets spread over the inputs, solved, and the responses to them."""
    rows = even_samples(NETS, FOLLOWS, SPREAD, seed)
    solved: list[NetSample | None] = []
    for found in in_processes(work_sample, [(trial, row) for row in rows], workers):
        solved.append(found)
        progress(say("Nets of the uncertain vault"), DRAWN * len(solved) / NETS)
    stand = [i for i, found in enumerate(solved) if found is not None]
    if len(stand) < LEAST_NETS:
        raise _falls()
    return foretell(trial, rows[stand], [found for found in solved if found is not None])


def _doubtful(told: Foretold, reserve: Array, strength: Array | None) -> NDArray[np.intp]:
    """Samples whose verdict the error of the response may turn, the nearest to the limit first."""
    away = np.abs(np.log(np.maximum(reserve, 1e-9))) / max(told.reserve_error, 1e-9)
    if strength is not None and told.strength_error is not None:
        other = np.abs(np.log(np.maximum(strength, 1e-9))) / max(told.strength_error, 1e-9)
        away = np.minimum(away, other)
    order = np.argsort(away, kind="stable")[:CHECKED]
    return np.asarray(order[away[order] < DOUBT])


def _asked(
    trial: SampleTrial,
    drawn: Array,
    strong: Array,
    fails: NDArray[np.bool_],
    rows: NDArray[np.intp],
    workers: int,
    progress: Progress,
) -> tuple[NDArray[np.bool_], int]:
    """The verdicts with those of the doubtful samples asked of nets of their own; how many turned."""
    tasks = [
        (
            trial,
            drawn[i, :FOLLOWS],
            None if trial.strength is None else trial.strength * float(strong[i]),
        )
        for i in rows
    ]
    asked = fails.copy()
    for k, stands in enumerate(in_processes(sample_stands, tasks, workers)):
        asked[rows[k]] = not stands
        share = DRAWN + (ASKED - DRAWN) * (k + 1) / len(rows)
        progress(say("Samples near the limit, each by its own net"), share)
    return asked, int((asked != fails).sum())


def _titles() -> tuple[Message, ...]:
    return (
        say("Thickness of the shell"),
        say("Error of the curve, half a wave"),
        say("Error of the curve, a whole wave"),
        say("Densities"),
        say("Imposed load"),
        say("Crushing strength"),
    )


def _left_out(trial: SampleTrial) -> tuple[Message, ...]:
    found = [say("spread of the springings: a net has no hinges that would follow it")]
    if trial.governing.weather:
        found.append(say("scatter of snow and wind: they stand beside the rest as stated"))
    return tuple(found)
