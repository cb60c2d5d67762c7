"""Loads of a combination are told by their names in words, each with its factor."""

from __future__ import annotations

from dataclasses import replace

from timbrel.sheets.combination_names import loads_told, names_told
from timbrel.statics.net_combinations import FactorOn, NetCombination
from timbrel.words import Voice, say


def test_loads_are_told_by_the_title_under_which_they_lead_elsewhere() -> None:
    half = NetCombination(
        "STR.inf.half.left",
        "STR",
        "half.left",
        say("Imposed, left half"),
        1.0,
        1.5,
        (FactorOn("half.left", 1.5), FactorOn("snow", 0.75)),
    )
    snow = replace(half, key="STR.inf.snow", leading="snow", title=say("Snow"))
    voice = Voice()
    assert loads_told(half, (half, snow), voice) == "Imposed, left half × 1.50; Snow × 0.75"
    # A load that nowhere leads keeps its key: never nothing.
    assert loads_told(half, (half,), voice).endswith("; snow × 0.75")


def test_every_part_of_a_name_is_told() -> None:
    told = Voice()(names_told())
    for part in (
        "characteristic",
        "STR",
        "EQU",
        "accidental",
        "sup",
        "inf",
        "dead",
        "full",
        "half",
        "+",
    ):
        assert part in told
