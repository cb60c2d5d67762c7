"""Re-reads a certificate and looks for faults, without the solver and without the net's own code.

Checked from the numbers alone: that forces are compressive; that each free line is in balance, in
forces and in moments about its middle; that reactions are what arrives at the supports and only
there; that loads and reactions balance as a whole, in forces and moments; that the loads at the
nodes are those on the surface, in sum and first moments. With the vault's offsets at hand: that
the lines lie in the masonry and every strut too, by dense samples and a bound on what lies between
them: the offset from the middle surface is bent one way or has a kink (a crease) in a gap between
samples, so that it stays under the lines that are drawn on into the gap from both sides.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.certificate_faces import FacesRead
from timbrel.statics.certificate_holes import depth_in, feet_of

Array = NDArray[np.float64]
Index = NDArray[np.int64]

Offsets = Callable[[Array, Array], Array]
"""Signed offsets (...) of points (..., 3) from the middle surface; guesses (..., 2) in (u, v)."""

RESIDUAL_MOST = 1e-6  # of the total load
SAMPLES = 33
OUTSIDE_MOST = 2e-4  # m: joints are made to a millimetre
OPENING_MOST = 1e-3  # m: joints are made to a millimetre
CLOSE = 129  # places along a strut near an opening, or in doubt
CRUSHED_MOST = 2e-4  # m: joints are made to a millimetre
FACE_MOST = 5e-4  # m: ends of lines over creases, which bend a little between the faces


@dataclass(frozen=True)
class CertificateReport:
    """What was found.

    residual: greatest force out of balance over the total load (moments are divided by the span).
    tension: greatest tension in a strut, N. outside: how far a strut leaves the masonry, m, with
    the bound between samples in it. sagitta: that bound, m. faults: a word for each kind of fault.
    lacking: depth (m) that the worst block of stress lacks on a face between lines, at most zero
    where all find room; None where no strength was asked for.
    """

    residual: float
    tension: float
    outside: float | None
    sagitta: float | None
    faults: tuple[str, ...]
    lacking: float | None = None

    @property
    def sound(self) -> bool:
        return not self.faults


def check_certificate(certificate: object, offset: Offsets | None = None) -> CertificateReport:
    """Look for every kind of fault; without offsets the masonry is not looked at.

    certificate: anything with the fields of :class:`timbrel.statics.certificate.Certificate`.
    """
    c = _Read(certificate)
    faults = []
    numbers = (c.middle, c.half, c.force, c.load, c.reaction, c.si, c.sj)
    if not all(np.isfinite(a).all() for a in numbers):
        return CertificateReport(np.inf, np.inf, None, None, ("numbers",))
    tension = float(np.maximum(-c.force, 0.0).max(initial=0.0))
    if tension > 0:
        faults.append("tension")
    if np.abs(np.concatenate([c.si, c.sj])).max(initial=0.0) > 1 + 1e-9:
        faults.append("ends")
    free = ~c.held
    force, moment = c.unbalanced()
    span = float(np.ptp(c.middle, axis=0).max())
    balance = max(
        float(np.abs(force[free]).max(initial=0.0)),
        float(np.abs(moment[free]).max(initial=0.0)) / span,
    )
    held = float(np.abs((force + c.reaction)[c.held]).max(initial=0.0))
    stray = float(np.abs(c.reaction[free]).max(initial=0.0))
    scale = max(abs(c.total), 1e-300)
    if balance > RESIDUAL_MOST * scale:
        faults.append("balance")
    if max(held, stray) > RESIDUAL_MOST * scale:
        faults.append("reactions")
    whole = c.whole()
    if float(np.abs(whole).max()) > RESIDUAL_MOST * scale * len(c.force) ** 0.5:
        faults.append("whole")
    if c.loads_missed() > RESIDUAL_MOST:
        faults.append("loads")
    residual = max(balance, held, stray) / scale
    if offset is None:
        return CertificateReport(residual, tension, None, None, tuple(faults))
    outside, sagitta = c.outside(offset)
    if outside > OUTSIDE_MOST:
        faults.append("masonry")
    if c.lines_outside(offset) > FACE_MOST:
        faults.append("lines")
    if c.into_openings(offset) > OPENING_MOST:
        faults.append("openings")
    lacking = c.crushed(offset)
    if lacking is not None and lacking > CRUSHED_MOST:
        faults.append("crushing")
    return CertificateReport(residual, tension, outside, sagitta, tuple(faults), lacking)


class _Read:
    """The fields of a certificate and what follows from them."""

    def __init__(self, certificate: object) -> None:
        def get(name: str) -> Array:
            return np.asarray(getattr(certificate, name))

        self.middle, self.half, self.uv = get("middle"), get("half"), get("uv")
        self.held, self.i, self.j = get("held").astype(bool), get("i"), get("j")
        self.si, self.sj, self.force = get("si"), get("sj"), get("force")
        self.load, self.reaction, self.first = get("load"), get("reaction"), get("first")
        self.total = float(get("total"))
        self.thickness = float(get("thickness"))
        self.round = int(get("round"))
        none = np.zeros((0, 2))
        self.strength = float(getattr(certificate, "strength", 0.0))
        self.place = np.asarray(getattr(certificate, "place", none))
        self.crown = int(getattr(certificate, "crown", -1))
        self.piers = np.asarray(getattr(certificate, "piers", none[:, 0])).astype(np.int64)
        self.outline = np.asarray(getattr(certificate, "outline", none))
        self.opening = np.asarray(getattr(certificate, "opening", none[:, 0]))
        self.start = self.middle[self.i] + self.si[:, None] * self.half[self.i]
        self.end = self.middle[self.j] + self.sj[:, None] * self.half[self.j]

    def unbalanced(self) -> tuple[Array, Array]:
        """Forces and moments (n, 3) that struts and loads leave on each line, about its middle."""
        run = self.end - self.start
        push = run / np.linalg.norm(run, axis=1)[:, None] * self.force[:, None]
        force, moment = self.load.astype(float).copy(), np.zeros_like(self.middle)
        for node, point, sign in ((self.i, self.start, -1.0), (self.j, self.end, 1.0)):
            for axis in range(3):
                force[:, axis] += np.bincount(
                    node, sign * push[:, axis], minlength=len(self.middle)
                )
            turned = np.cross(point - self.middle[node], sign * push)
            for axis in range(3):
                moment[:, axis] += np.bincount(node, turned[:, axis], minlength=len(self.middle))
        return force, moment

    def whole(self) -> Array:
        """Loads and reactions together: force (3,), N. Reactions act where struts arrive, so their
        moment balances when every free line does."""
        return np.asarray((self.load + self.reaction).sum(axis=0))

    def loads_missed(self) -> float:
        """How far the loads on the nodes are from those on the surface, over the total."""
        span = float(np.ptp(self.middle[:, :2], axis=0).max())
        down = -self.load[:, 2]
        missed = abs(float(down.sum()) - self.total)
        moment = np.abs(down @ self.middle[:, :2] - self.first).max() / span
        return float(max(missed, moment, np.abs(self.load[:, :2]).sum()) / abs(self.total))

    def outside(self, offset: Offsets) -> tuple[float, float]:
        """How far a strut leaves the masonry between its ends, and the bound between samples, m.

        Where it bends much beside a crease the bound runs far over it: what is in doubt is looked at
        more closely.
        """
        if not len(self.force):
            return 0.0, 0.0
        over, bound = self._outside(np.arange(len(self.force)), SAMPLES, offset)
        doubtful = np.flatnonzero(over > OUTSIDE_MOST)
        if len(doubtful):
            over[doubtful], bound[doubtful] = self._outside(doubtful, CLOSE, offset)
        return float(over.max()), float(bound.max())

    def _outside(self, some: Index, samples: int, offset: Offsets) -> tuple[Array, Array]:
        """The same of some struts (k,) by a number of samples, each."""
        x = np.linspace(0.0, 1.0, samples)[:, None]
        points = self.start[some, None] + x * (self.end - self.start)[some, None]
        found = offset(points, self._between(x)[some])
        seen = np.abs(found[:, 1:-1]).max(axis=1)
        reached = np.maximum(_reach_between(found), _reach_between(-found))
        bound = np.maximum(reached - seen, 0.0)
        return np.maximum(seen, reached) - self.thickness / 2, bound

    def lines_outside(self, offset: Offsets) -> float:
        """How far the ends of a line leave the masonry, m."""
        ends = np.stack([self.middle - self.half, self.middle + self.half], axis=1)
        guess = np.repeat(self.uv[:, None], 2, axis=1)
        return float(np.abs(offset(ends, guess)).max() - self.thickness / 2)

    def into_openings(self, offset: Offsets) -> float:
        """How deep a strut runs into an opening, m; nothing where there is none."""
        deepest = 0.0
        for number in np.unique(self.opening):
            outline = self.outline[self.opening == number]
            low, high = outline.min(axis=0) - self.thickness, outline.max(axis=0) + self.thickness
            left = np.minimum(self.start, self.end)[:, :2] < high
            right = np.maximum(self.start, self.end)[:, :2] > low
            near = (left & right).all(axis=1)
            x = np.linspace(0.0, 1.0, CLOSE)[:, None]
            points = self.start[near, None] + x * (self.end - self.start)[near, None]
            # Feet of normals lie within a thickness of their points.
            at = ((points[..., :2] > low) & (points[..., :2] < high)).all(axis=-1)
            feet = feet_of(points[at], self._between(x)[near][at], offset)
            deepest = max(deepest, float(depth_in(feet, outline).max(initial=0.0)))
        return deepest

    def crushed(self, offset: Offsets) -> float | None:
        """Depth that the worst block of stress lacks, m; None where no strength was asked for."""
        if not self.strength:
            return None
        faces = FacesRead(self.place, self.round, self.crown, self.middle, self.half, self.piers)

        def at(strut: Array, share: Array) -> Array:
            k = strut.astype(np.int64)
            points = self.start[k] + share[:, None] * (self.end - self.start)[k]
            guess = self._between(np.zeros((1, 1)))[k, 0], self._between(np.ones((1, 1)))[k, 0]
            return offset(points, guess[0] + share[:, None] * (guess[1] - guess[0]))

        i, j = self.i.astype(np.int64), self.j.astype(np.int64)
        struts = i, j, self.start, self.end, self.force
        return faces.lacking(struts, at, (self.thickness, self.strength))

    def _between(self, x: Array) -> Array:
        start, end = self.uv[self.i].copy(), self.uv[self.j].copy()
        if self.round:
            crown = np.flatnonzero(np.linalg.norm(self.half[:, :2], axis=1) < 1e-12)
            start[:, 1] = np.where(np.isin(self.i, crown), end[:, 1], start[:, 1])
            end[:, 1] = np.where(np.isin(self.j, crown), start[:, 1], end[:, 1])
            end[:, 1] -= np.round(end[:, 1] - start[:, 1])
        return np.asarray(start[:, None] + x * (end - start)[:, None])


def _reach_between(found: Array) -> Array:
    """(m,) where lines drawn on from the two samples before and after each gap meet over it."""
    best = np.full(len(found), -np.inf)
    for k in range(1, found.shape[1] - 2):
        a, b = found[:, k], found[:, k + 1]
        slope_a, slope_b = a - found[:, k - 1], found[:, k + 2] - b
        # a + slope_a x = b - slope_b (1 - x)
        bend = slope_a - slope_b
        x = (b - a - slope_b) / np.where(bend > 1e-15, bend, np.inf)
        best = np.maximum(best, np.where((x > 0) & (x < 1), a + slope_a * x, -np.inf))
    return best
