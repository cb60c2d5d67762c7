"""Drawings say from where they are seen and which wall lies where, each name on a line of its own."""

from __future__ import annotations

import pytest

from timbrel.bond.layout import Piece
from timbrel.plan import Plan
from timbrel.sheets.board import Picture


def words(picture: Picture) -> dict[str, tuple[float, float]]:
    """Each text of a drawing and where it stands."""
    found = {}
    for text in picture.doc.modelspace().query("TEXT"):
        at = text.dxf.get("align_point", text.dxf.insert)
        found[text.dxf.text] = (at.x, at.y)
    return found


@pytest.mark.parametrize(("layer", "seen"), [(1, "looking up"), (2, "from above")])
def test_corner_a_is_on_the_side_of_its_springing(
    pictures: dict[str, Picture], layer: int, seen: str
) -> None:
    drawn = pictures[f"corner-layer-{layer}"]
    assert seen in str(drawn.title)
    said = words(drawn)
    springing, first, later = (
        said[name][1] for name in ("left springing (DA)", f"{layer}-02-02", f"{layer}-08-02")
    )
    assert abs(springing - first) < abs(springing - later)
    assert said["A"][1] == pytest.approx(springing)
    assert said["A"][0] < said[f"{layer}-02-02"][0]


def test_a_name_that_is_wider_than_its_piece_stands_upright(
    plan: Plan, pictures: dict[str, Picture]
) -> None:
    layer = plan.bond.layers[1]
    cut = {layer.names[i] for i in range(layer.count)
           if layer.kind[i] == Piece.CUT and layer.length[i] < 0.08}  # fmt: skip
    turned = {e.dxf.text: e.dxf.rotation for e in
              pictures["corner-layer-2"].doc.modelspace().query("TEXT")}  # fmt: skip
    found = cut & set(turned)
    assert found
    assert all(turned[name] == pytest.approx(90) for name in found)
    assert turned["2-03-02"] == pytest.approx(0)


def test_names_of_the_two_springings_stand_on_either_side_of_their_lines(
    pictures: dict[str, Picture],
) -> None:
    said = words(pictures["section-long"])
    scale = pictures["section-long"].scale
    apart = said["left springing"][1] - said["right springing"][1]
    assert apart > 3.0 * scale  # more than the height of a letter on paper, at any scale
