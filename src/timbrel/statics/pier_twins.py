"""Piers that are alike: mirrored, or turned about their diagonal, under the same pushes.

How far a cracked pier is from falling is dear to find; of piers that are alike it is found once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.pier_shape import OUTWARD
from timbrel.statics.pier_work import PierPush, PierWork
from timbrel.statics.strip import Array

ALIKE = 1e-4  # of the greatest figure of their kind: two states of one net in balance


@dataclass(frozen=True)
class Turning:
    """What a pier bears before it falls outward and inward, each with the push that governs."""

    work: PierWork
    outward: tuple[float, PierPush]
    inward: tuple[float, PierPush]


def turning(work: PierWork, known: list[Turning]) -> Turning:
    """Of a pier, taken over from one that is alike where there is one; added to those known."""
    for other in known:
        place = _twin(work, other.work)
        if place is None:
            continue
        mine = {id(push): work.static[k] for push, k in zip(other.work.static, place, strict=True)}
        outward, inward = ((n, mine[id(push)]) for n, push in (other.outward, other.inward))
        return Turning(work, outward, inward)
    found = Turning(work, work.overturning(), work.inward())
    known.append(found)
    return found


def _twin(one: PierWork, other: PierWork) -> list[int] | None:
    """Which push of one pier is each of the other's; None where they are not alike."""
    shapes = [
        (s.side, s.height, s.weight, tuple((k.axis, k.buttress) for k in s.leanings))
        for s in (one.shape, other.shape)
    ]
    if shapes[0] != shapes[1] or len(one.static) != len(other.static):
        return None
    own = _rows(one, swapped=False)
    for swapped in (False, True) if not one.shape.leanings else (False,):
        apart = np.abs(_rows(other, swapped=swapped)[:, None] - own[None])
        near = np.all(apart <= ALIKE * _scale(own), axis=2)
        if bool(near.any(axis=1).all() and near.any(axis=0).all()):
            return [int(k) for k in near.argmax(axis=1)]
    return None


def _scale(rows: Array) -> Array:
    """(11,) greatest of every figure; pushes along x and y are told over the greater of the two,
    couples over that of all that turn the pier."""
    most = np.abs(rows).max(axis=0)
    most[3:5] = most[3:5].max()
    most[5:] = most[5:].max()
    return np.asarray(np.maximum(most, 1e-9))


def _rows(work: PierWork, *, swapped: bool) -> Array:
    """(k, 11) loads of every push on a pier's head, outward along both sides positive."""
    out = np.array(OUTWARD[work.corner])
    found = []
    for push in work.static:
        loads = work.loads(push)
        both = [part * out for part in (loads.push, loads.couple, loads.held, loads.tilt)]
        if swapped:
            both = [part[::-1] for part in both]
        found.append([loads.dead, loads.down, loads.borne, *np.concatenate(both)])
    return np.array(found)
