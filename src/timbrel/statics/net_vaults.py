"""The families of vaults as solids that a net can be drawn into.

Lines stand on the intrados and run along the normal to the extrados; over a crease, in the plane
of an end wall, and in the rows of a groin's web, along the direction that meets both faces there.
With n1, n2 the normals of two webs it is (n1 + n2)/(1 + n1.n2), and with w the normal of a wall's
plane (n - (n.w) w)/(1 - (n.w)^2): a length t of either spans both faces. Offsets come from the
feet of normals on the family's own surface (:mod:`timbrel.shape.patch`), so they are exact to
rounding.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.patch import Patch, dot
from timbrel.statics.net_feet import foot_near
from timbrel.statics.net_solid import Array, Index

if TYPE_CHECKING:
    from timbrel.shape.barrel import Barrel
    from timbrel.shape.crossed import CrossedVault
    from timbrel.shape.dome import Dome
    from timbrel.shape.sail import Sail

OUT = 1e3  # offset, in thicknesses, of what lies in no masonry at all
EDGE = 1e-9
TABLE = 513  # places of the arc from which searches begin
FEET = 60_000  # feet found at a time
STEEPEST = 12.0  # thicknesses that a plumb line through the shell may be long
HALVINGS = 44
BESIDE = 0.25  # share of the half plan by which a web is looked at beyond its creases


@dataclass(frozen=True)
class VaultSolid:
    """What the families share: the vault, the share of its thickness that is kept about the middle,
    and the faces of the beds."""

    vault: Any
    share: float = 1.0

    @property
    def thickness(self) -> float:
        return float(self.vault.thickness * self.share)

    @property
    def beds(self) -> tuple[float, ...]:
        """Offsets from the middle of the beds between layers, each at half its own depth."""
        middle = self.vault.thickness / 2
        return tuple(float(layer.inner - layer.bed / 2 - middle) for layer in self.vault.layers[1:])

    def thinned(self, share: float) -> VaultSolid:
        """The same about the same middle surface, with a share of the whole thickness."""
        return replace(self, share=share)

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        inner, outer = self.faces(np.asarray(u, float), np.asarray(v, float))
        return (inner + outer) / 2, (outer - inner) / 2 * self.share

    def faces(self, u: Array, v: Array) -> tuple[Array, Array]:
        """Where the lines at (u, v) meet the intrados and the extrados, (..., 3) each."""
        raise NotImplementedError

    @property
    def shift(self) -> float:
        """Where the intrados lies from the line that the job gives, m."""
        return float(getattr(self.vault, "shift", 0.0))

    def ends(
        self,
        line: Array,
        run: Array,
        corner: NDArray[np.bool_],
        u: Array,
        v: Array,
    ) -> tuple[Array, Array]:
        """Both faces on lines through points of the line that the job gives, which need not be the
        intrados; run: from face to face over the thickness. At corners, where two planes of walls meet,
        lines stand plumb: in any other direction struts of an edge arch would leave the masonry."""
        inner = line + self.shift * run
        outer = inner + self.vault.thickness * run
        if corner.any():
            u, v = np.broadcast_arrays(u, v)
            foot, guess = line[corner], np.stack([u[corner], v[corner]], axis=-1)
            up = np.array([0.0, 0.0, 1.0])
            if self.shift:
                inner[corner] = foot + self._plumb_to(foot, guess, 0.0)[:, None] * up
            else:
                inner[corner] = foot
            outer[corner] = foot + self._plumb_to(foot, guess, self.vault.thickness)[:, None] * up
        return inner, outer

    def _plumb_to(self, foot: Array, guess: Array, depth: float) -> Array:
        """How far (n,) over points (n, 3) a depth is reached."""
        far = STEEPEST * self.vault.thickness
        low, high = np.full(len(foot), -far if self.shift else 0.0), np.full(len(foot), far)
        up = np.array([0.0, 0.0, 1.0])
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            under = self.depth(foot + middle[:, None] * up, guess) < depth
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        return low

    def offset(self, points: Array, guess: Array) -> Array:
        flat, near = points.reshape(-1, 3), guess.reshape(-1, 2)
        parts = [
            self.depth(flat[k : k + FEET], near[k : k + FEET]) for k in range(0, len(flat), FEET)
        ]
        found = np.concatenate(parts) if parts else np.zeros(0)
        return np.asarray(found.reshape(points.shape[:-1]) - self.vault.thickness / 2)

    def depth(self, points: Array, guess: Array) -> Array:
        """Depth (n,) of points (n, 3) over the intrados."""
        raise NotImplementedError


class SpanningSolid(VaultSolid):
    """A barrel or a flight: u from left to right springing, v from near to far end."""

    vault: Barrel

    def faces(self, u: Array, v: Array) -> tuple[Array, Array]:
        """Lines stand in the plumb plane of the chord at v: out of it the thrust of an arch whose
        row is a little bent in plan would have nothing to lean on."""
        surface, full = self.vault.surface, self.vault.thickness
        u, v = np.broadcast_arrays(u, v)
        inner, outer = np.empty((*u.shape, 3)), np.empty((*u.shape, 3))
        for station in np.unique(v):
            here = v == station
            at = u[here]
            inner[here] = surface.point(at, self.vault.station(float(station), at), 0.0)
            outer[here] = surface.point(at, self.vault.station(float(station), at, full), full)
        return inner, outer

    def depth(self, points: Array, guess: Array) -> Array:
        return foot_near(self.vault.surface, points, guess[:, 0], guess[:, 1]).w


class SailSolid(VaultSolid):
    """A sail: u and v are shares of the plan."""

    vault: Sail

    def faces(self, u: Array, v: Array) -> tuple[Array, Array]:
        line = self.vault.point(u, v, -self.shift)
        run = self.vault.normal(u, v)
        for k, here in enumerate(
            (np.abs(v) < EDGE, np.abs(u - 1) < EDGE, np.abs(v - 1) < EDGE, np.abs(u) < EDGE)
        ):
            _, wall = self.vault.plan.wall(k)
            run = np.where(here[..., None], into_plane(run, wall), run)
        corner = ((u < EDGE) | (u > 1 - EDGE)) & ((v < EDGE) | (v > 1 - EDGE))
        return self.ends(line, run, corner, u, v)

    def depth(self, points: Array, guess: Array) -> Array:
        return foot_near(self.vault.patch, points, guess[:, 0], guess[:, 1]).w - self.vault.shift


class DomeSolid(VaultSolid):
    """A dome: u from the springing (0) to the crown or oculus (1), v round the ring."""

    vault: Dome

    def faces(self, u: Array, v: Array) -> tuple[Array, Array]:
        inner = self.vault.point(u, v)
        run = self.vault.normal(u, v) * self.vault.thickness
        if not self.vault.oculus:
            crown = np.abs(u - 1) < EDGE
            up = np.array([0.0, 0.0, 1.0])
            plumb = self.vault.thickness / np.maximum(run[..., 2:] / self.vault.thickness, 1e-6)
            run = np.where(crown[..., None], plumb * up, run)
        return inner, inner + run

    def depth(self, points: Array, guess: Array) -> Array:
        patch = self.vault.patch
        foot = patch.foot(points, (guess[:, 0], guess[:, 1]))
        depth = foot.w - self.vault.shift
        if not self.vault.oculus:
            return depth
        frame = patch.frame(foot.u, foot.v)
        past = (foot.u >= 1) & (dot(points - frame.point, frame.by_u) > EDGE)
        return np.where(past, OUT * self.vault.thickness, depth)


class CrossedSolid(VaultSolid):
    """A groin or a cloister: u and v run over the plan so that equal steps are equal arcs, and the
    creases are u = v and u = 1 - v."""

    vault: CrossedVault

    def faces(self, u: Array, v: Array) -> tuple[Array, Array]:
        u, v = np.broadcast_arrays(u, v)
        signed = _signed(self._share, u, v)
        towards = np.stack([self._towards(k, signed)[0] for k in range(4)], axis=-1)
        top = towards.max(axis=-1)
        line, run = np.zeros((*u.shape, 3)), np.zeros((*u.shape, 3))
        normals = np.zeros((4, *u.shape, 3))
        on = np.abs(towards - top[..., None]) < EDGE
        count = on.sum(axis=-1)
        for k in range(4):
            here = on[..., k]
            if not here.any():
                continue
            at = self._place(k, u[here], v[here], (signed[0][here], signed[1][here]))
            line[here] = self._patch(k).point(*at)
            normals[k][here] = self._patch(k).normal(*at)
        total = np.where(on[..., None], np.moveaxis(normals, 0, -2), 0.0).sum(axis=-2)
        # With m equal-standing normals the run is their sum over 1 + the others' projections.
        first = np.take_along_axis(
            np.moveaxis(normals, 0, -2), on.argmax(axis=-1)[..., None, None], axis=-2
        )[..., 0, :]
        run = total / dot(total, first)[..., None]
        corner = np.zeros(u.shape, bool)
        if self.vault.family == "groin":
            # Rows of a web run along its wall: their lines stand in the plumb plane of the row, or
            # the thrust of an arch would have nothing to lean on out of it.
            for k in range(4):
                _, wall = self.vault.plan.wall(k)
                here = on[..., k] & (count == 1)
                run = np.where(here[..., None], into_plane(run, wall), run)
            corner = ((u < EDGE) | (u > 1 - EDGE)) & ((v < EDGE) | (v > 1 - EDGE))
        return self.ends(line, run, corner, u, v)

    def depth(self, points: Array, guess: Array) -> Array:
        groin = self.vault.family == "groin"
        best = np.full(len(points), np.inf if groin else -np.inf)
        signed = _signed(self._share_near, guess[:, 0], guess[:, 1])
        every = np.stack([self._towards(k, signed)[0] for k in range(4)])
        top = every.max(axis=0)
        for k in range(4):
            near = np.flatnonzero(every[k] > top - BESIDE)
            if not len(near):
                continue
            there = signed[0][near], signed[1][near]
            at = self._place(k, guess[near, 0], guess[near, 1], there)
            foot = foot_near(self._patch(k), points[near], *at)
            if groin:
                w = np.where(foot.v <= 1 + EDGE, foot.w, np.inf)
                best[near] = np.minimum(best[near], w)
            else:
                best[near] = np.maximum(best[near], foot.w)
        return np.asarray(best - self.vault.shift)

    def web_at(self, u: Array, v: Array) -> Index:
        """(...) side of the web at (u, v)."""
        signed = _signed(self._share, np.asarray(u, float), np.asarray(v, float))
        towards = np.stack([self._towards(k, signed)[0] for k in range(4)])
        return np.asarray(towards.argmax(axis=0))

    def _patch(self, k: int) -> Patch:
        return self.vault.webs[k].patch

    def _share(self, s: Array) -> Array:
        """Share of the half span, from the springing, at shares of the base's whole arc."""
        base = self.vault.base
        return np.asarray(base.at(s * base.length)[..., 0] / (base.span / 2))

    @cached_property
    def _shares(self) -> tuple[Array, Array]:
        s = np.linspace(0.0, 0.5, TABLE)
        return s, self._share(s)

    def _share_near(self, s: Array) -> Array:
        """The same from a table: near enough to begin a search from, and quicker."""
        return np.asarray(np.interp(s, *self._shares))

    @staticmethod
    def _towards(k: int, signed: tuple[Array, Array]) -> tuple[Array, Array]:
        """Places towards side k and along it (from its first corner, -1, to its second, 1)."""
        x, y = signed
        return ((-y, x), (x, y), (y, -x), (-x, -y))[k]

    def _place(
        self, k: int, u: Array, v: Array, signed: tuple[Array, Array]
    ) -> tuple[Array, Array]:
        """Parameters of the patch over side k at (u, v), whose signed places are given."""
        towards, along = self._towards(k, signed)
        across, out = ((u, v), (v, 1 - u), (1 - u, 1 - v), (1 - v, u))[k]
        if self.vault.family == "groin":
            return np.asarray(across), 1 - towards
        return np.clip(2 * out, 0.0, 1.0), (1 - along) / 2


def _signed(share: Callable[[Array], Array], u: Array, v: Array) -> tuple[Array, Array]:
    """Places between the middle (0) and the sides (-1 left and near, 1 right and far). share: of
    the half span from the springing, by shares of the whole arc."""

    def place(t: Array) -> Array:
        return np.asarray(np.sign(t - 0.5) * (1 - share(np.minimum(t, 1 - t))))

    return place(np.asarray(u)), place(np.asarray(v))


def into_plane(run: Array, wall: Array) -> Array:
    """A run (..., 3) square to the faces, turned into the plane square to `wall` so that it still
    spans both faces."""
    size = np.maximum(np.linalg.norm(run, axis=-1, keepdims=True), 1e-300)
    lean = (run @ wall)[..., None] / size
    return np.asarray((run - lean * size * wall) / np.maximum(1 - lean**2, 1e-6))


def solid_of(vault: Any) -> VaultSolid:
    """The solid of a vault of any family."""
    kinds: dict[str, type[VaultSolid]] = {
        "barrel": SpanningSolid,
        "flight": SpanningSolid,
        "groin": CrossedSolid,
        "cloister": CrossedSolid,
        "sail": SailSolid,
        "dome": DomeSolid,
    }
    return kinds[vault.family](vault)
