"""The bounds of a dome whose strength governs: what the cells of the plan cost, what finer ones still
take off, and how far apart the two closest bounds are. CPU seconds, so that a busy machine does not
count."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from time import process_time

from timbrel.job.load import load_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.close_bounds import MECHANISM_CELLS
from timbrel.statics.forces_bound import forces_bound
from timbrel.statics.mechanism_dome import CELLS, dome_bound
from timbrel.statics.net_rungs import draw_rung
from timbrel.statics.net_vaults import solid_of

EXAMPLE = Path(__file__).parent.parent / "examples" / "well-dome" / "job.toml"
PATTERN = "quarter"  # the load that governs
COARSE, FINE = (14, 16), MECHANISM_CELLS
NET = 12  # steps, with four rays to each
FOLLOWED = 200.0  # multiples of the load


def rows() -> Iterator[tuple[str, float, str, str]]:
    job = load_job(EXAMPLE).job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    spent, factors = [], []
    for cells in (COARSE, CELLS, FINE):
        start = process_time()
        found = dome_bound(job, vault, PATTERN, cells)
        spent.append(process_time() - start)
        assert found is not None
        factors.append(found.factor)
    name = f"well-dome, {PATTERN}"
    yield f"{name}: upper bound, {CELLS[0]} x {CELLS[1]} cells", spent[1], "s", "under 4"
    yield f"{name}: {FINE[0]} x {FINE[1]} cells over it, time", spent[2] / spent[1], "x", ""
    for label, factor in zip(("coarse cells", "these cells"), factors[:2], strict=True):
        over = 100 * (factor / factors[2] - 1)
        wanted = "under 2" if label == "these cells" else ""
        yield f"{name}: {label} over {FINE[0]} x {FINE[1]}, factor", over, "%", wanted
    start = process_time()
    lower = forces_bound(job, vault, PATTERN)
    assert lower is not None
    cells = f"{lower.cells[0]} x {lower.cells[1]} cells"
    yield f"{name}: lower bound by forces all over, {cells}", process_time() - start, "s", ""
    yield f"{name}: tension that it asks, by the strength", 100 * lower.report.tension, "%", ""
    yield f"{name}: its virtual work amiss", lower.report.unbalanced, "", "under 1e-6"
    gap = 100 * (factors[2] / lower.factor - 1)
    yield f"{name}: gap of the two closest bounds", gap, "%", "under 3"
    start = process_time()
    rung = draw_rung(job, solid_of(vault), NET)
    answer = rung.question(rung.pattern(PATTERN)).load_factor(FOLLOWED)
    assert answer is not None
    yield f"{name}: net in {NET} steps, lower bound", process_time() - start, "s", ""
    under = 100 * (1 - answer.factor / lower.factor)
    yield f"{name}: that net under forces all over", under, "%", ""
