"""What nets of an uncertain vault tell of samples between them: reserve, strength, pushes, supports."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_sample import NetSample, SampleTrial, factors
from timbrel.statics.net_support_factor import PierBears, WallBears
from timbrel.statics.response import Response, fit
from timbrel.statics.strip import Array


@dataclass(frozen=True)
class Foretold:
    """Responses to rows of inputs (n, k), in standard deviations.

    nets: that they are fitted to. reserve, strength: of the logarithms (strength None where none is
    stated). thrust: of the pushes, flat, each over its scale. shape: of the pushes of one sample (s, c,
    5). scale: (s, c, 5). cracks: of the share that cracking leaves of the worst pier. ties: of the
    logarithm of what the ties bear, None where there are none that stay.
    """

    nets: int
    reserve: Response
    strength: Response | None
    thrust: Response
    shape: tuple[int, ...]
    scale: Array
    cracks: Response
    ties: Response | None

    @property
    def reserve_error(self) -> float:
        """Share by which the reserve of a net left out was missed, root mean square."""
        return float(self.reserve.missed[0])

    @property
    def strength_error(self) -> float | None:
        return None if self.strength is None else float(self.strength.missed[0])

    @property
    def thrust_error(self) -> float:
        """The same of the thrust on the support that was foretold worst, of the cracking of the
        worst pier, and of what ties bear, whichever is most."""
        level = self.thrust.missed.reshape(self.shape)[..., :2]
        ties = 0.0 if self.ties is None else float(self.ties.missed[0])
        return max(float(level.max(initial=0.0)), float(self.cracks.missed[0]), ties)

    def vault(self, inputs: Array, strong: Array) -> tuple[Array, Array | None]:
        """(n,) thickness over least, and multiple of all loads that the vault bears with a strength
        (n,) times the stated one."""
        reserve = np.exp(self.reserve(inputs)[:, 0])
        if self.strength is None:
            return reserve, None
        return reserve, np.exp(self.strength(inputs)[:, 0]) * strong

    def supports(self, trial: SampleTrial, inputs: Array) -> Array:
        """(n,) least factor of the cracked walls and piers in all states that are asked, and of their
        ties; nan where none is known."""
        pushes = (self.thrust(inputs)).reshape(-1, *self.shape) * self.scale
        dense = np.array([factors(trial.stated, row).dense for row in inputs])
        cracks = np.clip(self.cracks(inputs)[:, 0], 0.0, 1.0)
        found = [np.full(len(inputs), np.nan)]
        if self.ties is not None:
            found.append(np.exp(self.ties(inputs)[:, 0]))
        for k, bears in enumerate(trial.bears):
            for case in range(self.shape[1]):
                every = pushes[:, k, case]
                if isinstance(bears, WallBears):
                    found.append(bears.factors(every, 1.0, dense))
                elif isinstance(bears, PierBears):
                    found.append(bears.blocks(every, dense) * cracks)
        return np.asarray(np.fmin.reduce(found))


def foretell(trial: SampleTrial, rows: Array, solved: list[NetSample]) -> Foretold:
    """Fit the responses. rows: (m, k) inputs of the nets solved."""
    pushes = np.array([one.pushes for one in solved])
    scale = _scale(trial, pushes, np.array([one.thrust for one in solved]))
    strength = None
    if trial.strength is not None:
        strength = fit(rows, np.log([[max(one.strength, 1e-9)] for one in solved]))
    ties = None
    if trial.tied and np.isfinite([one.ties for one in solved]).all():
        ties = fit(rows, np.log([[one.ties] for one in solved]))
    return Foretold(
        len(solved),
        fit(rows, np.log([[one.reserve] for one in solved])),
        strength,
        fit(rows, (pushes / scale).reshape(len(solved), -1)),
        pushes.shape[1:],
        scale,
        fit(rows, np.array([[one.cracks] for one in solved])),
        ties,
    )


def _scale(trial: SampleTrial, pushes: Array, thrusts: Array) -> Array:
    """(s, c, 5) what each figure is told over: the mean thrust before ties take their part, the mean
    load down, a metre."""
    scale = np.ones(pushes.shape[1:])
    scale[..., :2] = np.maximum(thrusts.mean(axis=0), 1e-9)[..., None]
    scale[..., 2] = np.maximum(np.abs(pushes[..., 2]).mean(axis=0), 1e-9)
    for k, bears in enumerate(trial.bears):
        if isinstance(bears, PierBears):
            # Couples of the same thrust, a metre over the springing.
            scale[k, :, 3:] = scale[k, :, :1]
    return scale
