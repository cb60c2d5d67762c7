"""What wind or a level acceleration makes the supports of a vault on a plan take beside one another.

Under plumb loads the pushes of a vault are in balance among themselves. What presses it sideways is
not: of two walls that face each other one takes more, and of a tie between them only the lesser of
both pushes is held. A closed ring holds the mean push all round and nothing of what presses the
whole dome one way: that goes into the drum, spread here as the cosine of the angle (on the safe
side: what the ring passes on along its own circle is left out), so the metre that faces it takes 2
Q/L beside the mean, and

    integral over the ring of (2 Q/L) cos^2 = Q.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.net_states import CombinedPush
from timbrel.statics.strip import Array
from timbrel.statics.support_push import SupportPush

OPPOSITE = {"left": "right", "right": "left", "near": "far", "far": "near"}
ROUNDING = 1e-6  # of what comes down


def pressed_sideways(combined: CombinedPush) -> Array:
    """(2,) N level that all supports together take; nothing but rounding under plumb loads."""
    total = np.sum([p.total for p in combined.pushes], axis=0)
    level = np.asarray(total[:2], float)
    return level if np.abs(level).max() > ROUNDING * abs(float(total[2])) else np.zeros(2)


def beside_mean(combined: CombinedPush, push: SupportPush) -> float:
    """What the metre of a ring that faces the push takes beside the mean, N/m; nothing of a wall."""
    if push.support != "ring" or push.force is None or push.force.down <= 0:
        return 0.0
    length = -float(push.total[2]) / push.force.down
    return 2 * float(np.hypot(*pressed_sideways(combined))) / length


def unlike(combined: CombinedPush, push: SupportPush) -> float:
    """Share (0 to 1) of the push on a wall or a ring that nothing pushes against at the other end of a
    tie, `beside_mean` in the push."""
    if push.force is None or not pressed_sideways(combined).any():
        return 0.0
    own = push.force.level + beside_mean(combined, push)
    if own <= 0:
        return 1.0
    if push.support == "ring":
        return beside_mean(combined, push) / own
    other = next((p for p in combined.pushes if p.support == OPPOSITE[push.support]), None)
    met = 0.0 if other is None or other.force is None else max(other.force.level, 0.0)
    return min(max((own - met) / own, 0.0), 1.0)
