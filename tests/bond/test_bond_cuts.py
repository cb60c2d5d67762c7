"""The cut list and the nesting."""

from __future__ import annotations

from collections import Counter
from itertools import combinations_with_replacement
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.bond.cuts import SQUARE, straightened
from timbrel.bond.layout import Bond, Piece
from timbrel.bond.nesting import Demand, dual_feasible, nest_lengths, nest_one_way
from timbrel.job.model import Tile

TILE = Tile.model_validate({"length": 280, "width": 140, "thickness": 20})


@settings(max_examples=60, deadline=None)
@given(
    pieces=st.lists(
        st.tuples(st.integers(70, 270), st.integers(1, 9)),
        min_size=1,
        max_size=6,
        unique_by=lambda p: p[0],
    )
)
def test_every_piece_is_sawn_once_and_none_too_long(pieces: list[tuple[int, int]]) -> None:
    demands = [Demand(k, size / 1000, count) for k, (size, count) in enumerate(pieces)]
    sawings, bound = nest_one_way(demands, 0.280, 0.003)
    made: Counter[int] = Counter()
    for sawing in sawings:
        length = sum(pieces[g][0] / 1000 for g in sawing.groups) + 0.003 * (len(sawing.groups) - 1)
        assert length <= 0.280 + 0.0006
        made.update({g: n * sawing.times for g, n in Counter(sawing.groups).items()})
    assert dict(made) == {k: count for k, (_, count) in enumerate(pieces)}
    assert sum(s.times for s in sawings) >= bound


def fewest_by_trying(sizes: list[float], room: float, kerf: float) -> int:
    """Bin packing by exhaustive search, for a handful of pieces."""
    sizes = sorted(sizes, reverse=True)

    def place(k: int, bins: list[float], most: int) -> bool:
        if k == len(sizes):
            return True
        for i in range(len(bins)):
            if bins[i] + kerf + sizes[k] <= room:
                bins[i] += kerf + sizes[k]
                if place(k + 1, bins, most):
                    return True
                bins[i] -= kerf + sizes[k]
        if len(bins) < most:
            bins.append(sizes[k])
            if place(k + 1, bins, most):
                return True
            bins.pop()
        return False

    return next(n for n in range(1, len(sizes) + 1) if place(0, [], n))


@settings(max_examples=40, deadline=None)
@given(sizes=st.lists(st.integers(40, 260), min_size=2, max_size=7))
def test_nesting_is_as_good_as_trying_everything(sizes: list[int]) -> None:
    counts = Counter(sizes)
    demands = [Demand(k, s / 1000, n) for k, (s, n) in enumerate(counts.items())]
    sawings, bound = nest_one_way(demands, 0.280, 0.003)
    used = sum(s.times for s in sawings)
    # The saw gives the half millimetre to which pieces are grouped.
    assert used == fewest_by_trying([s / 1000 for s in sizes], 0.2805, 0.003)
    assert bound <= used


@pytest.mark.parametrize(
    ("shares", "least"),
    [
        ({1 / 3: 6}, 2),  # whole parts count for themselves
        ({0.31: 40, 0.667: 19, 0.662: 19}, 39),  # 38 pairs, and two that find no room
        ({0.47: 37, 0.461: 17}, 27),
        ({0.26: 9}, 3),
    ],
)
def test_rounding_proves_what_adding_up_does_not(shares: dict[float, int], least: int) -> None:
    demands = [Demand(k, s, n) for k, (s, n) in enumerate(shares.items())]
    assert dual_feasible(demands, {d.group: d.size for d in demands}, 1.0) == least


@settings(max_examples=60, deadline=None)
@given(
    bins=st.lists(
        st.lists(st.integers(1, 60), min_size=1, max_size=4).filter(lambda b: sum(b) <= 60),
        min_size=1,
        max_size=8,
    )
)
def test_rounding_never_asks_for_more_than_fits(bins: list[list[int]]) -> None:
    counts = Counter(size for filled in bins for size in filled)
    demands = [Demand(k, s / 60, n) for k, (s, n) in enumerate(counts.items())]
    assert dual_feasible(demands, {d.group: d.size for d in demands}, 1.0) <= len(bins)


def test_first_fit_is_bettered_where_it_fails() -> None:
    """A known bad case for first fit decreasing, scaled: it needs 12 bins where 11 do."""
    sizes = [51] * 6 + [27] * 6 + [26] * 6 + [23] * 12
    demands = [
        Demand(k, size / 1000, sizes.count(size)) for k, size in enumerate(sorted(set(sizes)))
    ]
    sawings, bound = nest_one_way(demands, 0.100, 0.0)
    assert sum(s.times for s in sawings) == bound == 9


def test_halves_two_a_tile() -> None:
    sawings, bound = nest_lengths([(0.135, 0.140, 33)], TILE, 0.003)
    assert sum(s.times for s in sawings) == bound == 17
    lengthwise, bound = nest_lengths([(0.280, 0.065, 44)], TILE, 0.003)
    assert sum(s.times for s in lengthwise) == bound == 22


@pytest.mark.parametrize("kind", ["barrel", "skew"])
def test_cut_list_holds_every_cut_piece(
    kind: str, barrel: tuple[Any, Any, Bond], workshop: Any
) -> None:
    bond = barrel[2] if kind == "barrel" else workshop.bond(corners=workshop.skew)[2]
    listed = [name for group in bond.cuts.groups for name in group.names]
    cut = [
        layer.names[i] for layer in bond.layers for i in np.flatnonzero(layer.kind != Piece.WHOLE)
    ]
    assert sorted(listed) == sorted(cut)
    for nest in bond.cuts.nests:
        mine = [layer for layer in bond.layers if layer.tile == nest.tile]
        assert nest.whole == sum(layer.number_of(Piece.WHOLE) for layer in mine)
        made: Counter[int] = Counter()
        for pattern in nest.patterns:
            made.update({g: n * pattern.times for g, n in Counter(pattern.groups).items()})
        assert dict(made) == {
            k: g.count for k, g in enumerate(bond.cuts.groups) if g.tile == nest.tile
        }
        assert nest.bought >= nest.used >= nest.bound
        assert nest.bought * 0.280 * 0.140 >= sum(float(layer.area.sum()) for layer in mine)


def test_equal_pieces_are_equal_to_a_millimetre(workshop: Any) -> None:
    bond = workshop.bond(corners=workshop.skew)[2]
    layers = {layer.layer: layer for layer in bond.layers}
    for group in bond.cuts.groups:
        layer = layers[group.layer]
        areas = [layer.area[layer.names.index(name)] for name in group.names]
        assert np.ptp(areas) < 0.0015 * (group.length + group.width)
        assert max(areas) <= group.length * group.width + 1.2e-3 * (group.length + group.width)


def test_few_pieces_by_all_pairs() -> None:
    """Three sizes, all ways to fill tiles tried by hand-made enumeration."""
    sizes, counts, room = (0.10, 0.13, 0.17), (3, 2, 2), 0.28
    ways = [
        way
        for n in (1, 2, 3)
        for way in combinations_with_replacement(range(3), n)
        if sum(sizes[g] for g in way) + 0.003 * (n - 1) <= room
    ]

    def least(left: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        best = 99
        for way in ways:
            after = list(left)
            for g in way:
                after[g] -= 1
            if min(after) >= 0 and way[-1] == max(k for k in range(3) if left[k]):
                best = min(best, 1 + least(tuple(after)))
        return best

    demands = [Demand(k, s, n) for k, (s, n) in enumerate(zip(sizes, counts, strict=True))]
    assert sum(s.times for s in nest_one_way(demands, room, 0.003)[0]) == least(counts)


@pytest.mark.parametrize(("bow", "cuts"), [(0.0005, 1), (0.0019, 1), (0.004, 2)])
def test_a_curved_edge_is_sawn_in_the_fewest_straight_cuts(bow: float, cuts: int) -> None:
    """A tile cut along an arc of 200 mm chord: straight while the sagitta is what is eased anyway."""
    x = np.linspace(0.28, 0.08, 11)
    arc = np.column_stack([x, 0.14 - 4 * bow * (x - 0.08) * (0.28 - x) / 0.2**2])
    ring = np.vstack([[0.0, 0.14], [0.0, 0.0], [0.28, 0.0], arc])
    for start in range(len(ring)):
        sawn = straightened(np.roll(ring, start, axis=0))
        assert len(sawn) == 4 + (cuts - 1)
        for corner in ([0.0, 0.14], [0.0, 0.0], [0.28, 0.0], [0.28, 0.14]):
            assert np.hypot(*(sawn - corner).T).min() < 1e-12
    assert SQUARE == 0.002
