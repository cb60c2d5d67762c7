"""Level pushes on arches that lean on nothing: what the lap of the layers would have to carry.

Along a free edge, and over a groin in rows of its webs, no strut presses a line back that is pushed
out of the plane of its row. A strip at an edge stands on its two ends like a hoop: masonry that
cannot pull lets it tip under any push at all. What holds it is the lap of the layers, which carries
some tension across the joints between one row and the next. Members that pull are given to the net
there alone, from each line of such a row to the next rows, at both faces. Asked is the least
tension a metre of joint with which there is a state, or, where the job says what the lap carries,
the greatest multiple of the push. Derived; no source. The strength of the masonry is not looked at
here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from scipy import sparse

from timbrel.statics.net_level import LevelLoad, level_rows
from timbrel.statics.net_linear import LinearNet, band_keys
from timbrel.statics.net_planes import plane_rows
from timbrel.statics.net_rows import net_rows
from timbrel.statics.net_struts import Struts

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_loads import NetLoad
    from timbrel.statics.net_solid import Array, Index, NetGrid

SQUARE = 0.7  # cosine: what counts as the next row
FACES = (-1.0, 1.0)
SPARE = 1.02  # of the least tension with which there is a state: what a state is sought with
LITTLE = 1e-9  # of the mean load, in the place of no tension at all


class LapNet:
    """A net under a dead load and a level push, with members that pull between its plane rows and what
    stands beside them. Without symmetries.

    carries: (k,) struts that the net leaves anything to carry without the members.
    """

    def __init__(self, net: Net, dead: NetLoad, push: LevelLoad, carries: Index) -> None:
        self.net, self.dead, self.push = net, dead, push
        grid, struts = net.grid, net.struts
        self.first, self.second, self.width = _members(grid, struts.take(carries))
        count, pairs = struts.size, len(self.first)
        both = Struts(
            *(
                np.concatenate([of, *one])
                for of, one in (
                    (struts.i, [self.first] * 2),
                    (struts.j, [self.second] * 2),
                    (struts.si, [np.full(pairs, s) for s in FACES]),
                    (struts.sj, [np.full(pairs, s) for s in FACES]),
                )
            )
        )
        rows = net_rows(grid, both, net.group[:1])
        sign = np.concatenate([np.ones(count), -np.ones(2 * pairs)])
        self.rows, self.matrix = rows, (rows.matrix @ sparse.diags_array(sign)).tocsr()
        self.mean = max(float(np.abs(dead.weight).mean()), 1e-300)
        self.count, self.pairs = count, pairs
        self._known: dict[float, float | None] = {}
        self._dead = rows.load(dead.weight) / self.mean
        self._push = (level_rows(rows, push) + rows.load(push.weight)) / self.mean

    @property
    def helps(self) -> bool:
        """Is there any member that could pull."""
        return self.pairs > 0

    def least_tension(self, factor: float = 1.0) -> float | None:
        """Least tension, N a metre of joint, with which there is a state under a multiple of the push;
        None where no tension does."""
        if factor not in self._known:
            reach = np.concatenate([np.zeros(self.count + 3 * self.pairs), [1.0]])
            found = self._solved(self._dead + factor * self._push, cost=reach, limit=None)
            self._known[factor] = None if found is None else float(found[0][-1]) * self.mean
        return self._known[factor]

    def share(self, tension: float, most: float = 1.0) -> float:
        """Greatest multiple of the push, up to `most`, with so much tension, N a metre."""
        found = self._solved(self._dead, driven=self._push, most=most, limit=tension)
        return 0.0 if found is None else min(found[1], most)

    def thrust(self, cost: Array, factor: float, stated: float | None) -> Array | None:
        """Forces (m,) in the struts, N, of least cost (m,) under a multiple of the push, with so much
        tension as is stated, or as it takes; None where there is no state."""
        tension = self.least_tension(factor) if stated is None else stated
        if tension is None:
            return None
        tension = tension * SPARE if stated is None else tension
        whole = np.concatenate([cost, np.zeros(3 * self.pairs)])
        scale = max(float(np.abs(cost).max()), 1e-300)
        held = self._dead + factor * self._push
        found = self._solved(held, cost=whole / scale, limit=tension)
        return None if found is None else found[0][: self.count] * self.mean

    def _solved(
        self,
        held: Array,
        *,
        driven: Array | None = None,
        cost: Array | None = None,
        most: float = 1.0,
        limit: float | None,
    ) -> tuple[Array, float] | None:
        """Forces over the mean load, then slacks, then the tension where it is sought, and the
        factor."""
        one = sparse.eye_array(self.pairs)
        blank = sparse.csr_array((self.pairs, self.count))
        blocks: list[list[Any]] = [
            [self.matrix[:, : self.count], self.matrix[:, self.count :], None],
            [blank, sparse.hstack([one, one]), one],
        ]
        right = np.zeros(self.pairs)
        if limit is None:
            blocks[0].append(None)
            blocks[1].append(sparse.csr_array(-self.width[:, None]))
        else:
            right = np.maximum(self.width * limit / self.mean, LITTLE)
        matrix = sparse.block_array(blocks, format="csr")
        side = np.concatenate([held, right])
        more = None if driven is None else np.concatenate([driven, np.zeros(self.pairs)])
        place = self.net.grid.place.astype(float)
        places = np.concatenate([place[self.rows.node], place[self.first]])
        sides = [side] if more is None else [side, more]
        linear = LinearNet(matrix, *sides, keys=band_keys(places))
        found = linear.solve(side, more, cost=cost, most=most)
        return None if found is None else (found.x, found.factor)


def lap_net(net: Net, dead: NetLoad, push: NetLoad | None) -> LapNet | None:
    """A net with members that pull, for a push that presses where no strut presses back; None for
    any other load, and where no member would help."""
    from timbrel.statics.net import NetQuestion

    if not isinstance(push, LevelLoad) or not NetQuestion(net, dead, push).unheld:
        return None
    still = NetQuestion(net, dead)
    live = still.program.linear.live[still.rows.orbit]
    found = LapNet(net, dead, push, np.flatnonzero(live))
    return found if found.helps else None


def _members(grid: NetGrid, carrying: Struts) -> tuple[Index, Index, Array]:
    """(p,) lines of plane rows and those beside them in the next rows, and the length of joint between
    two that each stands for, m. Nothing pulls at a support."""
    at = {(int(r), int(c)): k for k, (r, c) in enumerate(grid.place)}
    found: dict[tuple[int, int], float] = {}
    for row in plane_rows(grid, carrying).rows:
        for k in row.nodes.tolist():
            r, c = (int(x) for x in grid.place[k])
            beside: list[int] = []
            along: list[int] = []
            for step in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                other = at.get((r + step[0], c + step[1]))
                if other is None:
                    continue
                away = grid.middle[other, :2] - grid.middle[k, :2]
                out = abs(float(away @ row.across)) > SQUARE * float(np.hypot(*away))
                (beside if out else along).append(other)
            long = sum(float(np.linalg.norm(grid.middle[o] - grid.middle[k])) / 2 for o in along)
            for other in beside:
                if not grid.held[other] and long > 0:
                    found[min(k, other), max(k, other)] = long
    pairs = np.array(sorted(found), np.int64).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1], np.array([found[int(a), int(b)] for a, b in pairs])
