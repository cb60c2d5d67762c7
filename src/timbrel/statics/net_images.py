"""States of a net carried over by a symmetry of the vault: what one half does, the other does too."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from timbrel.statics.net import Net, NetAnswer
from timbrel.statics.net_level import LevelLoad
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_solid import Array, Index
from timbrel.statics.net_symmetry import level_turn, of_loads

SAME = 1e-9


def image_between(net: Net, dead: NetLoad, one: NetLoad, other: NetLoad) -> Index | None:
    """The symmetry (n,) of the vault and its dead load that carries one load onto another; None
    without one."""
    pushed = isinstance(one, LevelLoad), isinstance(other, LevelLoad)
    if pushed[0] != pushed[1]:
        return None
    centred = net.grid.middle - net.grid.middle.mean(axis=0)
    for g in of_loads(net.group, dead.weight):
        if not _alike(one.weight, other.weight[g]):
            continue
        if isinstance(one, LevelLoad) and isinstance(other, LevelLoad):
            turn = level_turn(centred, centred[g])
            level = _alike(one.level @ turn[:2, :2].T, other.level[g])
            if not (level and _alike(one.couple @ turn.T, other.couple[g])):
                continue
        return np.asarray(g)
    return None


def _alike(one: Array, other: Array) -> bool:
    size = max(float(np.abs(one).max(initial=0.0)), 1e-300)
    return bool(np.abs(one - other).max(initial=0.0) <= SAME * size)


def turned(net: Net, g: Index, answer: NetAnswer) -> NetAnswer | None:
    """The image of a state; None where a strut that carries has none among the candidates."""
    place = strut_images(net, g)
    used = answer.force > 0
    if (place[used] < 0).any():
        return None
    force = np.zeros_like(answer.force)
    force[place[used]] = answer.force[used]
    centred = net.grid.middle - net.grid.middle.mean(axis=0)
    turn = level_turn(centred, centred[g])
    reaction = np.zeros_like(answer.reaction)
    reaction[g] = answer.reaction @ turn.T
    return replace(answer, force=force, reaction=reaction)


def strut_images(net: Net, g: Index) -> Index:
    """(m,) number of every strut's image, -1 where it is no candidate."""
    struts, size = net.struts, net.grid.size
    _, rank = np.unique(np.concatenate([struts.si, struts.sj]), return_inverse=True)
    ranks = int(rank.max()) + 1
    ri, rj = rank[: struts.size], rank[struts.size :]
    own = ((struts.i * size + struts.j) * ranks + ri) * ranks + rj
    a, b = g[struts.i], g[struts.j]
    swap = a > b
    low, high = np.where(swap, b, a), np.where(swap, a, b)
    at_low, at_high = np.where(swap, rj, ri), np.where(swap, ri, rj)
    image = ((low * size + high) * ranks + at_low) * ranks + at_high
    order = np.argsort(own)
    place = order[np.minimum(np.searchsorted(own, image, sorter=order), struts.size - 1)]
    return np.where(own[place] == image, place, -1)
