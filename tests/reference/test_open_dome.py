"""A dome while its rings go up: the net of what is laid against the membrane with a free upper edge.

Membrane of a sphere of radius R under its own weight q, open at the angle phi0 from the crown
(Timoshenko and Woinowsky-Krieger 1959, Theory of Plates and Shells, art. 128; derived again here):
meridional force q R (cos phi0 - cos phi)/sin^2 phi, hoop force q R (cos phi - (cos phi0 - cos
phi)/sin^2 phi), pressing at the free edge. Level thrust at the springing: the meridional force times
cos phi, or the weight a metre over tan phi.

Under an even load p of plan the same balance gives the meridian p R (sin^2 phi - sin^2 phi0)/(2 sin^2
phi) and the hoop p R cos^2 phi less that, greatest at the free edge: there a strength f lets a thin
dome bear p = f t/(R cos^2 phi0), and bending about its edge adds to that the less the thinner it is.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.floor import GRAVITY
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome import dome_bound
from timbrel.statics.mechanism_dome_field import length_of, meridian_of
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_stage import layer_net, stage_of, stage_weight
from timbrel.words import say

EXAMPLE = Path(__file__).parent.parent.parent / "examples" / "well-dome" / "job.toml"
WEIGHT = 560.0


def thrusts(thickness: float, open_to: float) -> tuple[float, float, float]:
    """Least and greatest thrust a metre of springing of one layer so thick, and the membrane's."""
    job = load_job(EXAMPLE).job
    dome = shape_vault(job, solve_room(job.room, job.job.length_unit))
    thin = replace(dome.layers[0], outer=thickness)
    layer = layer_net(replace(dome, layers=(thin,)), 1, 12)
    away = layer.middles[:, :2] - np.asarray(dome.centre)[:2]
    radius = np.hypot(*away.T)
    laid = radius >= open_to * radius.max()
    stage = stage_of(layer, laid)
    dead = stage_weight(layer, stage, "laid", say("What is laid"), laid, WEIGHT)
    question = NetQuestion(stage.net, dead)
    assert question.share_of_dead() > 1 - 1e-6
    ring = float(dome.rings(0.0).radius)
    seat = float(np.arcsin(ring / ((ring**2 + 0.85**2) / (2 * 0.85))))
    found = []
    for least in (True, False):
        state = question.thrust(least=least)
        assert state is not None
        support = stage.net.grid.supports[0]
        out = np.einsum("ka,ka->", -state.reaction[support.nodes, :2], support.outward)
        found.append(float(out) / float(support.length.sum()))
    return found[0], found[1], dead.total / (2 * np.pi * ring) / np.tan(seat)


@pytest.mark.parametrize("open_to", [0.35, 0.6, 0.85])
def test_thrust_of_a_dome_open_at_the_top(open_to: float) -> None:
    """The masonry may lean the thrust anywhere inside its thickness; the membrane's lies between
    and is closed in on as the layer thins."""
    least, most, wanted = thrusts(0.030, open_to)
    assert least < wanted < most
    thinner_least, thinner_most, thinner = thrusts(0.015, open_to)
    assert thinner_least < thinner < thinner_most
    assert thinner_most - thinner_least < 0.65 * (most - least)


def over_the_membrane(thickness: float) -> float:
    """How much over the membrane's limit the mechanism of an even load bounds a dome so thin."""
    job = load_job(EXAMPLE).job
    dome = shape_vault(job, solve_room(job.room, job.job.length_unit))
    thin = replace(dome, layers=(replace(dome.layers[0], outer=thickness),), thickness=thickness)
    loads = job.loads.model_copy(update={"finish": 0.0})
    job = job.model_copy(update={"layers": job.layers[:1], "loads": loads})
    found = dome_bound(job, thin, "full", (16, 6))
    assert found is not None and job.masonry.crushing is not None
    edge = meridian_of(thin, np.array([length_of(thin)]))
    limit = job.masonry.crushing * thickness * edge.curve[0] / np.cos(edge.lean[0]) ** 2
    own = job.tiles["stout"].density * GRAVITY * thickness
    return float((found.factor * imposed_load(job.loads)[0] + own) / limit) - 1


def test_crushing_of_a_thin_dome_comes_to_the_membrane_s() -> None:
    """Always over it, and nearer by a seventh and more with every halving (bending reaches a way of
    about sqrt(R t) from the edge). Its own weight lies on a slope of ten degrees at the edge, and is
    within a hundredth of the limit."""
    over = [over_the_membrane(t) for t in (0.06, 0.03, 0.015, 0.0075)]
    assert over[-1] > 0
    for thick, thin in pairwise(over):
        assert thin < 0.86 * thick
