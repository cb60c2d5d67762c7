"""Gauge rods that are alike in several webs are printed once, with every web named."""

from __future__ import annotations

import numpy as np

from timbrel.bond.layout import Rod
from timbrel.sheets.setting_tables import rod_blocks, rods_alike
from timbrel.site.setting_out import LayerRods
from timbrel.words import Voice, say


def _rod(key: str, length: float) -> Rod:
    marks = np.array([0.009, 0.160, 0.311])
    return Rod(key, say("Courses along the near end"), 0.14, 0.011, marks, length)


def test_alike_in_several_webs_is_one_and_a_millimetre_tells_apart() -> None:
    rods = (
        _rod("AB near", 0.32),
        _rod("BC near", 0.32),
        _rod("CD near", 0.321),
        _rod("AB far", 0.32),
    )
    groups = [[rod.key for rod in group] for group in rods_alike(rods)]
    assert groups == [["AB near", "BC near"], ["CD near"], ["AB far"]]


def test_every_web_is_named_over_its_rod() -> None:
    rods = (_rod("AB near", 0.32), _rod("BC near", 0.32), _rod("CD near", 0.35))
    told = str(rod_blocks(LayerRods(1, rods, ()), Voice()))
    assert "Webs AB, BC: " in told
    assert "Web CD: " in told


def test_rods_of_a_barrel_keep_their_names() -> None:
    rods = (_rod("near", 0.32), _rod("row whole", 0.32), _rod("row half", 0.32))
    assert [len(group) for group in rods_alike(rods)] == [1, 1, 1]
