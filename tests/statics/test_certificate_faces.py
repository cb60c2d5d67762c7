"""The faces of a certificate, by numbers counted by hand."""

from __future__ import annotations

import numpy as np

from timbrel.statics.certificate_faces import FacesRead


def test_a_strut_over_the_grid_passes_the_faces_counted_by_hand() -> None:
    # Three rows and three columns of lines, a metre apart. A strut from the first line, two rows on
    # and one column: it crosses half-way between rows 0 and 1 a quarter of a column on (column 0),
    # between rows 1 and 2 three quarters on (column 1), and between columns 0 and 1 on row 1.
    place = np.array([(r, c) for r in range(3) for c in range(3)])
    middle = np.concatenate([place, np.zeros((9, 1))], axis=1).astype(float)
    half = np.tile([0.0, 0.0, 0.1], (9, 1))
    faces = FacesRead(place, 0, -1, middle, half, np.zeros(0, np.int64))
    strut, face, share = faces.passed(np.array([0]), np.array([7]))
    assert (strut == 0).all()
    between = face < len(faces.ends)
    passed = sorted(map(tuple, faces.ends[face[between]].tolist()))
    assert passed == [(0, 3), (3, 4), (4, 7)]
    assert share[between].tolist() == [1.0, 1.0, 1.0]
    # On row 1 it runs half-way between columns 0 and 1: half on each line, before it and behind it.
    on_row = [k for k in np.flatnonzero(~between) if abs(faces.square[face[k], 0]) == 1]
    at = [tuple(faces.centre[face[k], :2]) for k in on_row]
    assert sorted(zip(at, share[on_row].tolist(), strict=True)) == [
        ((0.0, 0.0), 1.0), ((1.0, 0.0), 0.5), ((1.0, 0.0), 0.5),
        ((1.0, 1.0), 0.5), ((1.0, 1.0), 0.5), ((2.0, 1.0), 1.0),
    ]  # fmt: skip
