"""What changed between two revisions: single keys, and of measured tiles how many."""

from __future__ import annotations

from tests.site.given_jobs import job_of

from timbrel.takeoff.revision import since

ROWS = [[260, 133, 16, 0.5]] * 20


def test_measured_tiles_are_told_as_one_line_when_they_come_and_when_they_go() -> None:
    stated, came = job_of(), job_of(deliveries=[{"tile": "thin", "measured": ROWS}])
    for before, after, told in ((stated, came, (None, 20)), (came, stated, (20, None))):
        found = [c for c in since(before, after).changes if "measured" in c.key]
        assert [(c.key, c.kind, (c.before, c.after)) for c in found] == [
            ("deliveries.1.measured", "count", told)
        ]


def test_a_slip_mended_in_one_measured_tile_is_told_by_itself() -> None:
    mended = [[260, 132, 16, 0.5], *ROWS[1:]]
    before, after = (
        job_of(deliveries=[{"tile": "thin", "measured": rows}]) for rows in (ROWS, mended)
    )
    (change,) = since(before, after).changes
    assert change.key == "deliveries.1.measured.1.2" and change.kind == "length"
    assert (change.before, change.after) == (0.133, 0.132)
