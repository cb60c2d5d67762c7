"""Paths of a PDF page in millimetres from its lower left corner: an independent reading of paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from pypdf import PageObject
from pypdf.generic import ContentStream, DictionaryObject

POINT_MM = 25.4 / 72
Matrix = np.ndarray


@dataclass(frozen=True)
class PdfPath:
    """One painted path: its points (n, 2) in mm, and the operator that painted it."""

    points: np.ndarray
    painted: str

    @property
    def size(self) -> tuple[float, float]:
        wide, high = np.ptp(self.points, axis=0)
        return float(wide), float(high)

    @property
    def length(self) -> float:
        return float(np.hypot(*np.diff(self.points, axis=0).T).sum())


def paths_of(page: PageObject) -> list[PdfPath]:
    """Every filled or stroked path, form objects included, in page coordinates."""
    found: list[PdfPath] = []
    resources = page.get("/Resources", DictionaryObject()).get_object()
    contents = page.get_contents()
    assert contents is not None
    _walk(contents.operations, resources, np.eye(3), found, page.pdf)
    return found


def _matrix(values: list[float]) -> Matrix:
    a, b, c, d, e, f = (float(v) for v in values)
    return np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]])


def _walk(operations, resources, start: Matrix, found: list[PdfPath], pdf) -> None:  # type: ignore[no-untyped-def]
    matrix, stack, points = start, [], []
    for operands, raw in operations:
        op = raw.decode() if isinstance(raw, bytes) else raw
        if op == "q":
            stack.append(matrix)
        elif op == "Q":
            matrix = stack.pop()
        elif op == "cm":
            matrix = _matrix(operands) @ matrix
        elif op in ("m", "l"):
            points.append([float(v) for v in operands])
        elif op in ("c", "v", "y"):
            points.append([float(v) for v in operands[-2:]])
        elif op == "re":
            x, y, w, h = (float(v) for v in operands)
            points += [[x, y], [x + w, y], [x + w, y + h], [x, y + h]]
        elif op in ("f", "F", "f*", "S", "s", "B", "B*", "n"):
            if points and op != "n":
                flat = np.column_stack([points, np.ones(len(points))]) @ matrix
                found.append(PdfPath(flat[:, :2] * POINT_MM, op))
            points = []
        elif op == "Do":
            form = resources["/XObject"].get_object()[operands[0]].get_object()
            if form.get("/Subtype") == "/Form":
                inner = _matrix(form.get("/Matrix", [1, 0, 0, 1, 0, 0])) @ matrix
                own = form.get("/Resources", resources).get_object()
                _walk(ContentStream(form, pdf).operations, own, inner, found, pdf)
