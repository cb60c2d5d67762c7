"""Where the axis of a diagram is marked: at round figures."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray


def round_marks(top: float, about: int = 4) -> NDArray[np.float64]:
    """Marks at 1, 2 or 5 times a power of ten over nought up to `top` (> 0): some `about` of them."""
    raw = top / about
    power = 10.0 ** math.floor(math.log10(raw))
    steps = [k * power for k in (1, 2, 5, 10) if k * power <= top]
    step = next((s for s in steps if s >= raw * (1 - 1e-9)), steps[-1])
    return np.arange(1, math.floor(top / step + 1e-9) + 1, dtype=np.float64) * np.float64(step)
