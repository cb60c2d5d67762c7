"""How a vault on a plan follows supports that give way, and whether it stands where it comes to.

Masonry that cannot pull and does not shorten follows its supports by opening. Of all motions in
which no strut of the net shortens the vault takes that of least potential (Heyman 1995: it settles
to its least thrust); with u the motion of the lines, e the lengthening of the struts,

    min W(u)   with   e(u) >= 0,

whose dual is the program of the net with the lengthening as the cost of every force,

    min e x   with   A x = b,  x >= 0:

forces stand only on struts that stay closed. For a small motion that is the program of least
thrust, and its duals are the motion. The lines are then moved, position and turn, the struts drawn
anew between their ends, and the same is asked of the moved net with the lengthening that it has by
now: its duals are what is still missing of the motion (Newton's method). Where no state is left in
the moved net the vault falls. Lengths are exact; a strut over a hinge is drawn straight where
masonry has a kink (`stray`).

Rows of a groin's web, and arches along a free edge, lean on nothing out of their plane. What the
program says of their motion out of it is open; they are moved so that they stay plane between their
ends.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from timbrel.statics.net import NetQuestion, reactions
from timbrel.statics.net_linear import LinearNet, band_keys
from timbrel.statics.net_planes import plane_rows
from timbrel.statics.net_rows import NOTHING, NetRows, net_rows
from timbrel.statics.net_symmetry import level_turn

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_loads import NetLoad
    from timbrel.statics.net_solid import Array, Index, NetGrid

ROUNDS = 12
TO_AND_FRO = 0.5  # of the step before: a step as long does not come nearer
SETTLED = 1e-3  # of the motion of the supports: the last step of a motion that has been found
CLOSED = 0.02  # of the motion of the supports: the most that struts under force may stand open
SAME = 1e-9
USED = 1e-3  # of the greatest force
STRAY = (
    0.05  # of the thickness: a strut over a hinge that strays more is left out, shorter ones stay
)


@dataclass(frozen=True)
class Followed:
    """A vault that has followed its supports. shift, lean: (n, 3) motion of the middles of the
    lines and of their extrados ends beside that, m. force: (m,) in the struts of `net`, the moved
    one, N. reaction: (n, 3) that the supports put on it, N; still: before they moved. drop:
    greatest sinking of a line, m. gap: the most that a strut under force stands open, m. stray: how
    far the masonry of a strut over a hinge may lie off the straight, m."""

    net: Net
    shift: Array
    lean: Array
    force: Array
    reaction: Array
    still: Array
    drop: float
    gap: float
    stray: float


def follow(net: Net, load: NetLoad, moved: Array, most: float = STRAY) -> Followed | None:
    """The vault under a load after its supports have moved by (n, 3) (zero off them); None where it
    falls. most: share of the thickness by which struts over hinges may stray. Raises
    UnfollowedError where the motion cannot be told."""
    return _Follower(net, load, moved, most).found()


class UnfollowedError(Exception):
    """A motion that could not be told: the net does not stand unmoved, or what it comes to is not
    plane, or no end of it was found."""


class _Follower:
    def __init__(self, net: Net, load: NetLoad, moved: Array, most: float) -> None:
        self.group = _kept_symmetries(net, moved)
        self.net, self.load, self.moved = replace(net, group=self.group), load, moved
        self.most = most
        grid = net.grid
        self.size = float(np.linalg.norm(moved, axis=1).max())
        start, end = net.struts.ends(grid)
        self.length = np.linalg.norm(end - start, axis=1)
        first = NetQuestion(self.net, load)
        self.group = first.group
        self.mean = first.program.mean
        live = first.program.linear.live[first.rows.orbit]
        self.carries = np.flatnonzero(live)
        self.rows = plane_rows(grid, net.struts.take(self.carries))
        self.orbit = first.rows.orbit

    def found(self) -> Followed | None:
        grid, struts = self.net.grid, self.net.struts
        start, end = struts.ends(grid)
        way = (end - start) / self.length[:, None]
        longer = np.einsum("ma,ma->m", way, self.moved[struts.j] - self.moved[struts.i])
        there = self._moved_net(0 * self.moved, 0 * self.moved)
        step = self._motion(there, longer[self.kept])
        if step is None:
            raise UnfollowedError
        still = self._reaction(there, step[2])
        shift, lean = self.rows.kept_plane(grid, self.moved + step[0], step[1])
        before, share = np.inf, 1.0
        for _ in range(ROUNDS):
            there = self._moved_net(shift, lean)
            start, end = there.struts.ends(there.grid)
            longer = np.linalg.norm(end - start, axis=1) - self.length[self.kept]
            step = self._motion(there, longer)
            if step is None:
                return None
            size = max(float(np.abs(part).max()) for part in step[:2])
            if size <= SETTLED * self.size:
                break
            # A line that is nearly loose is thrown to and fro between two places: less of each step.
            share = share / 2 if size > TO_AND_FRO * before else share
            before = size
            shift, lean = self.rows.kept_plane(
                grid, shift + share * step[0], lean + share * step[1]
            )
        return self._told(there, (shift, lean), step[2], still, longer)

    def _moved_net(self, shift: Array, lean: Array) -> Net:
        """The net whose lines have moved; only struts that could carry before, and stray little."""
        grid = self.net.grid
        stray = self._stray(lean)
        most = np.zeros(int(self.orbit.max()) + 1)
        np.maximum.at(most, self.orbit[self.carries], stray)
        inside = most[self.orbit[self.carries]] <= self.most * self.net.solid.thickness
        self.kept = self.carries[inside]
        half = grid.half + lean
        half = half * (np.linalg.norm(grid.half, axis=1) / np.linalg.norm(half, axis=1))[:, None]
        there = replace(grid, middle=grid.middle + shift, half=half)
        struts = self.net.struts.take(self.kept)
        return replace(self.net, grid=there, struts=struts, group=self.group)

    def _told(
        self, there: Net, motion: tuple[Array, Array], force: Array, still: Array, longer: Array
    ) -> Followed:
        used = force > USED * float(force.max())
        gap = float(np.abs(longer[used]).max())
        if gap > CLOSED * self.size:
            raise UnfollowedError
        shift, lean = motion
        return Followed(
            there,
            shift,
            lean,
            force,
            self._reaction(there, force),
            still,
            float(-shift[:, 2].min()),
            gap,
            float(self._stray(lean)[np.isin(self.carries, self.kept)][used].max()),
        )

    def _reaction(self, there: Net, force: Array) -> Array:
        push = np.zeros((there.grid.size, 3))
        push[:, 2] = -self.load.weight
        return reactions(there, force, push)

    def _stray(self, lean: Array) -> Array:
        """(m,) m, of every strut that may carry, that the masonry between two lines may lie off the
        strut between them: a quarter of its length by how far they turned against one another in
        its plumb plane."""
        grid, struts = self.net.grid, self.net.struts.take(self.carries)
        turn = np.cross(grid.half, lean) / np.einsum("na,na->n", grid.half, grid.half)[:, None]
        start, end = struts.ends(grid)
        level = (end - start)[:, :2]
        axis = np.stack([-level[:, 1], level[:, 0]], axis=1)
        axis /= np.maximum(np.hypot(*axis.T), 1e-12)[:, None]
        bent = np.einsum("ma,ma->m", (turn[struts.j] - turn[struts.i])[:, :2], axis)
        return np.asarray(np.abs(bent) * self.length[self.carries] / 4)

    def _motion(self, there: Net, longer: Array) -> tuple[Array, Array, Array] | None:
        """Motion of all lines (shift, lean) by which the vault makes good that its struts are longer by
        (m,), m, and the forces; None where the net has no state."""
        rows = net_rows(there.grid, there.struts, self.group)
        parts = self.rows.plane_part(there.grid, rows)
        matrix = (parts @ rows.matrix).tocsr()
        matrix.data[np.abs(matrix.data) < NOTHING] = 0
        matrix.eliminate_zeros()
        held = parts @ rows.load(self.load.weight) / self.mean
        first = parts.indices[parts.indptr[:-1]]
        places = there.grid.place[rows.node[first]].astype(float)
        cost = np.bincount(rows.orbit, longer, minlength=len(rows.members))
        scale = max(float(np.abs(cost).max()), 1e-300)
        found = LinearNet(matrix, held, keys=band_keys(places)).solve(held, cost=cost / scale)
        if found is None:
            return None
        dual = parts.T @ found.dual * -scale
        shift, lean = spread_motion(there.grid, self.group, rows, dual)
        return shift, lean, found.x[rows.orbit] * self.mean


def spread_motion(grid: NetGrid, group: Index, rows: NetRows, dual: Array) -> tuple[Array, Array]:
    """(n, 3) motions of the middles and the leans of all lines from the duals of the kept rows. What a
    symmetry that leaves a line where it is would turn is no motion of it."""
    shift, lean = np.zeros((grid.size, 3)), np.zeros((grid.size, 3))
    node, part = rows.node, rows.part
    share = np.array([len(np.unique(group[:, k])) for k in node])
    dual = dual / share
    for number in range(5):
        here = part == number
        if number < 3:
            shift[node[here]] += dual[here][:, None] * rows.axes[node[here], number]
        else:
            ways = rows.frames[node[here], number - 3]
            lean[node[here]] += dual[here][:, None] * ways
    centred = grid.middle - grid.middle.mean(axis=0)
    kept = np.unique(node)
    turns = [level_turn(centred, centred[g]) for g in group]
    every = []
    for one in (shift, lean):
        mean, count = np.zeros_like(one), np.zeros(grid.size)
        for g, turn in zip(group, turns, strict=True):
            still = kept[g[kept] == kept]
            mean[still] += one[still] @ turn.T
            count[still] += 1
        mean /= np.maximum(count, 1)[:, None]
        whole = mean.copy()
        for g, turn in zip(group, turns, strict=True):
            whole[g[kept]] = mean[kept] @ turn.T
        every.append(whole)
    return every[0], every[1]


def _kept_symmetries(net: Net, moved: Array) -> Index:
    """(h, n) those symmetries of the vault that carry the motion of its supports onto itself."""
    middle = net.grid.middle - net.grid.middle.mean(axis=0)
    size = SAME * float(np.abs(moved).max())
    kept = []
    for g in net.group:
        turn = level_turn(middle, middle[g])
        if np.abs(moved @ turn.T - moved[g]).max() <= max(size, 1e-15):
            kept.append(g)
    return np.stack(kept)
