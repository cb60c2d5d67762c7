"""Ties by EN 1993: thread of an M20 bar, a holed flat, plate, stretch; ring of a cap.

F_t,Rd of an M20 bolt of class 8.8 is 141 kN in every table of EN 1993-1-8 bolts (0.9 x 800 x
245/1.25, from memory). The rest is worked by hand.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from timbrel.job.supports import NationalChoices, Ties
from timbrel.statics.ties import crown_drop, net_resistance, ring_tie, tie_answer
from timbrel.words import TimbrelError

PLATE = {"side": 200, "thickness": 20}


def bar(**changes) -> Ties:
    return Ties.model_validate({"spacing": 1500, "diameter": 20, "anchor": PLATE, **changes})


def test_thread_of_an_m20(evidence):
    ours = net_resistance(bar(ultimate_strength=800), NationalChoices()) / 1e3
    evidence("F_t,Rd of M20 class 8.8 (kN)", 141.0, ours, "EN 1993-1-8 table 3.4, from memory")
    assert ours == pytest.approx(141.0, abs=0.5)


def test_tie_by_hand(evidence):
    """20 kN/m at 1.5 m: 30 kN. A = 314.16 mm2, 235: 73.83 kN. Stretch over 5 m under 20 kN:
    20 000 x 5 000/(210 000 x 314.16) = 1.5158 mm; 20 K: 12e-6 x 20 x 5 000 = 1.2 mm."""
    found = tie_answer(
        bar(), NationalChoices(), design=20e3, service=20e3 / 1.5, length=5.0, rise=0.8
    )
    evidence("stretch of a tie (mm)", 1.5158, found.stretch * 1e3, "hand-worked")
    assert found.force == pytest.approx(30e3)
    assert found.gross == pytest.approx(73.83e3, rel=1e-4)
    assert found.net == pytest.approx(0.9 * 360e6 * 0.78 * 314.159e-6 / 1.25, rel=1e-5)
    assert found.stretch == pytest.approx(1.5158e-3, rel=1e-4)
    assert found.warmed == pytest.approx(1.2e-3)
    # Plate: 30 000/(200^2 - 314) = 0.756 N/mm2; arm 80 mm; t = sqrt(3 x 0.756 x 6400/235)
    assert found.plate_pressure == pytest.approx(0.75594e6, rel=1e-4)
    assert found.plate_needed == pytest.approx(math.sqrt(3 * 0.75594 * 6400 / 235) / 1e3, rel=1e-4)


def test_holed_flat():
    flat = bar(kind="flat", width=60, thickness=10, hole=22, diameter=None)
    assert net_resistance(flat, NationalChoices()) == pytest.approx(
        0.9 * 360e6 * 0.038 * 0.010 / 1.25
    )


def test_crown_drop_is_exact_and_near_its_first_order(evidence):
    # c^2 = 2^2 + 0.8^2 = 4.64; springings 20 mm apart: f' = sqrt(4.64 - 2.01^2) = 0.774532
    ours = crown_drop(4.0, 0.8, 0.020)
    evidence("crown drop, 20 mm of spread (m)", 0.025468, ours, "three hinges, hand-worked")
    assert ours == pytest.approx(0.8 - math.sqrt(4.64 - 2.01**2))
    assert crown_drop(4.0, 0.8, 1e-6) == pytest.approx(1e-6 * 4.0 / (4 * 0.8), rel=1e-4)
    assert crown_drop(4.0, 0.1, 0.02) == math.inf


def test_ring_of_a_cap(evidence):
    """Meridian force from the weight above the ring; its level part pulls the ring."""
    w, R, a = 2.5e3, 3.0, 0.9
    weight = quad(lambda b: w * 2 * math.pi * R**2 * math.sin(b), 0, a)[0]
    meridian = weight / (2 * math.pi * R * math.sin(a) * math.sin(a))
    by_integration = meridian * math.cos(a) * R * math.sin(a)
    ours = ring_tie(w, R, a)
    evidence("ring under a cap (N)", by_integration, ours, "membrane, by integration")
    assert ours == pytest.approx(by_integration, rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"anchor": None}, "walls.ties.anchor"),
        ({"diameter": None}, "walls.ties.diameter"),
        ({"kind": "flat", "diameter": None, "width": 60}, "walls.ties.thickness"),
        ({"kind": "flat", "width": 60, "thickness": 10}, "walls.ties.diameter"),
        (
            {"kind": "flat", "diameter": None, "width": 60, "thickness": 10, "hole": 60},
            "walls.ties.hole",
        ),
        ({"anchor": {"side": 45, "thickness": 12}, "diameter": 24}, "walls.ties.anchor.side"),
        ({"yield_strength": 400}, "walls.ties.ultimate_strength"),
    ],
)
def test_unmade_ties_are_refused(changes, key):
    with pytest.raises(TimbrelError) as error:
        tie_answer(bar(**changes), NationalChoices(), design=1.0, service=1.0, length=4.0, rise=0.8)
    assert error.value.key == key
    assert np.size(str(error.value)) == 1
