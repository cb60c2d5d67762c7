"""One stage of a vault on a plan: what lies there, what stands under it, and the answer."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from timbrel.verdict import Verdict
from timbrel.words import Message, say

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Marks = NDArray[np.bool_]


@dataclass(frozen=True)
class Stage:
    """What is laid, what has set, what rests on it and what stands under it.

    key: stable name. title: in words. operation: ``course`` (closed units of the first layer),
    ``open`` (the next unit hangs unclosed), ``eased`` (closed units that lose their guides),
    ``use`` (something is set down), ``layer`` (a later layer advances), ``spread``, ``struck`` (the
    boxes of openings are taken away). laying: order of the first layer, "" where none is asked.
    layer: which is being laid. progress: share of that operation done. tiles: laid so far in this
    layer. last: names of the first and the last tile
    of the unit that was laid last. layers: whole layers that act. acting, youngest: (q,) cells
    that have set, and that hold the youngest joints. hanging: (k,) tiles of the layer that hang on
    their glue; arms: (k, 3) from there to their middles, m. weight: (q,) N/m2 of all that
    lies on the cells that act. doubled: (q,) cells where the layer that advances acts too. guides:
    do they stand. age: of the youngest
    joint by the programme (s), None when it is not stated (the answer then tells what it must be).
    pace: its age as the crew works, without waiting (s). place, force: of what is set down, in
    plan (2,) and N. spread: of the springings (m). box: do the boxes of openings stand on their props
    under the edge of each. kerbs: are rings, kerbs and covers on it.
    """

    key: str
    title: Message
    operation: str
    laying: str
    layer: int
    progress: float
    tiles: int
    last: tuple[str, ...]
    layers: int
    acting: Marks
    youngest: Marks
    hanging: Index
    arms: Array
    weight: Array
    doubled: Marks
    guides: bool
    age: float | None = None
    pace: float = 0.0
    place: Array | None = None
    force: float = 0.0
    spread: float = 0.0
    box: bool = False
    kerbs: bool = False


@dataclass(frozen=True)
class StageAnswer:
    """The answer for one stage.

    net: is there a net inside what has set. tension: greatest that the joints must carry (Pa; 0
    with a net); case: which shell asks it; cell: where; along: (q,) tension in each cell. press:
    mean pressing force along the shell (N/m), for a shell buckles as a whole. sinks: greatest drop
    of any node by the elastic shell (m). props: what the box of each opening hands to its props by
    the elastic shell (N); empty without boxes or where no elastic shell was asked.
    buckling: factor against buckling; None (like press and sinks) where a net makes the elastic
    shell superfluous. strength: bond of the youngest joint by the programme (Pa),
    None without tests. ratio: tension over strength. wait: age that the youngest joint needs (s),
    None without tests, infinite when it never has it. holds_by: what holds the stage, or must.
    """

    stage: Stage
    net: bool
    tension: float
    case: Message
    cell: int
    along: Array
    press: float | None
    sinks: float | None
    buckling: float | None
    holds_by: Message
    strength: float | None = None
    ratio: float | None = None
    wait: float | None = None
    verdict: Verdict = Verdict.NOT_JUDGED
    reason: Message = field(default_factory=lambda: say("not looked at yet"))
    props: tuple[float, ...] = ()


@dataclass(frozen=True)
class StageStruts:
    """Struts of the net of a stage, to be drawn: from start (m, 3) to end (m, 3), force (m,) N."""

    start: Array
    end: Array
    force: Array
