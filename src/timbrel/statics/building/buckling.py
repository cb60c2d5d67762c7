"""Buckling of the single layer in its own plane.

Two-hinged circular arch under radial load, antimetric shape: q R = E I / R^2 (pi^2/a^2 - 1), a the
half angle (Timoshenko and Gere 1961, Theory of Elastic Stability, art. 7.4). A fixed arch carries
more; young joints are nearer to hinges, so the hinged value serves.
"""

from __future__ import annotations

import math


def critical_thrust(length: float, turning: float, thickness: float, modulus: float) -> float:
    """Thrust (N a metre of axis) at which a single layer buckles.

    length: of the arc (m); turning: whole angle from springing to springing (rad); thickness (m);
    modulus of the young shell (Pa).
    """
    inertia = thickness**3 / 12
    half = turning / 2
    radius = length / turning
    return modulus * inertia / radius**2 * (math.pi**2 / half**2 - 1)
