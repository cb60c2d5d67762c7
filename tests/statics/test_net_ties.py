"""Ties of a vault on a plan: what they hold by hand, what they leave, what their stretch costs."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.statics.combinations import Situation
from timbrel.statics.corner_ties import BALANCE, held_by_sides, rest_of_piers
from timbrel.statics.cracked_pier import pier_factor
from timbrel.statics.descent import Push, overturning_factor
from timbrel.statics.level_arch import LevelArch
from timbrel.statics.net_tie_checks import net_tie_checks
from timbrel.statics.net_tie_notes import net_tie_notes
from timbrel.statics.net_ties import net_ties
from timbrel.statics.notes import Notebook, worked
from timbrel.statics.pier_shape import pier_shape
from timbrel.statics.piers import pier_loads
from timbrel.statics.support_push import SupportPush
from timbrel.statics.supports import wall_profile
from timbrel.statics.tied_plan import NetTies, PushRow
from timbrel.statics.walls import Bound, LoadCase, SpringingForce
from timbrel.verdict import Verdict
from timbrel.words import say

EXAMPLES = Path(__file__).parents[2] / "examples"
BAR = {"diameter": 24, "anchor": {"side": 200, "thickness": 25}}
SQUARE = np.array([[0.0, 0.0], [3.4, 0.0], [3.4, 3.4], [0.0, 3.4]])
CASE = LoadCase("dead", say("dead load alone"), "least")
OUT = {"A": (-1, -1), "B": (1, -1), "C": (1, 1), "D": (-1, 1)}


def job(name: str, left: dict[str, Any] | None = None, **ties: Any) -> Job:
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    if ties:
        stated["walls"]["ties"] = ties
    for side in ("left", "right"):
        stated["walls"][side].update(left or {})
    return read_job(tomlkit.dumps(stated)).job


def piers(push: float, key: str, situation: Situation, bound: Bound = "least") -> PushRow:
    """Every corner pushes out alike, both ways, at the springing."""
    return PushRow(
        key,
        situation,
        bound,
        tuple(
            SupportPush(c, "pier", CASE, np.array([x * push, y * push, -3e4]), None)
            for c, (x, y) in OUT.items()
        ),
    )


def walls(
    level: float, key: str, situation: Situation, bound: Bound = "least", names: str = "nrfl"
) -> PushRow:
    sides = {"n": "near", "r": "right", "f": "far", "l": "left", "o": "ring"}
    force = SpringingForce(level, 0.0, 20e3, 0.05, 0.0)
    return PushRow(
        key,
        situation,
        bound,
        tuple(SupportPush(sides[n], "wall", CASE, np.zeros(3), force) for n in names),
    )


def place(rise: float = 0.7, lengths: dict[str, float] | None = None, **more: Any) -> Any:
    corners = np.column_stack([SQUARE, np.full(4, 2.4)])
    vault = SimpleNamespace(room=SimpleNamespace(corners=corners), **more)
    supports = [
        SimpleNamespace(
            name=name,
            kind="pier" if name in "ABCD" else "wall",
            nodes=np.array([0]),
            length=np.array([length]),
        )
        for name, length in (lengths or dict.fromkeys("ABCD", 0.0)).items()
    ]
    middle = np.array([[0.0, 0.0, 2.4], [1.7, 1.7, 2.4 + rise]])
    return vault, SimpleNamespace(grid=SimpleNamespace(supports=supports, middle=middle))


def told(job: Job, at: Any, rows: tuple[PushRow, ...]) -> NetTies:
    found = net_ties(job, *at, rows)
    assert found is not None
    return found


def test_a_tie_from_pier_to_pier_by_hand() -> None:
    """12 and 9 kN each way: N_Ed 12 kN; stretch over 3.4 + 2 x 0.8 m: 9 000 x 5.0/(210e9 x 452.39e-6)
    = 0.4737 mm, 20 K: 1.2 mm; both ways 1.6737, over the diagonal sqrt 2 times that."""
    rows = (piers(12e3, "STR.sup.full", "STR"), piers(9e3, "characteristic.full", "characteristic"))
    found = told(job("market-groin", **BAR), place(), rows)
    assert [tie.name for tie in found.ties] == ["AB", "BC", "CD", "DA"]
    for tie in found.ties:
        assert tie.answer.force == pytest.approx(12e3)
        assert tie.combination == "STR.sup.full"
        assert tie.answer.stretch == pytest.approx(0.47369e-3, rel=1e-3)
        assert tie.answer.warmed == pytest.approx(1.2e-3)
    assert found.apart == pytest.approx((1.67369e-3, 1.67369e-3), rel=1e-3)
    diagonal, moved = 3.4 * math.sqrt(2), 1.67369e-3 * math.sqrt(2)
    by_hand = 0.7 - math.sqrt(0.7**2 + (diagonal / 2) ** 2 - ((diagonal + moved) / 2) ** 2)
    assert found.drop == pytest.approx(by_hand, rel=1e-3)
    assert found.helps


def test_a_pier_keeps_what_its_ties_do_not_take() -> None:
    """A pushes 12 kN each way, the others 10: a tie holds 10, A keeps 2 each way."""
    row = list(piers(10e3, "EQU.inf.full", "EQU").pushes)
    row[0] = SupportPush("A", "pier", CASE, np.array([-12e3, -12e3, -3e4]), None, over=0.1)
    at, _ = place()
    ties = Ties.model_validate({**BAR, "over_springing": 200})
    rest = rest_of_piers(at, ties, row)
    assert rest["A"].force == pytest.approx([-2e3, -2e3, -3e4])
    assert rest["A"].tied == pytest.approx(10e3 * math.sqrt(2))
    # The push acts 0.1 m over the springing, the ties 0.2 m: their couple turns the head inward.
    assert rest["A"].couple == pytest.approx([-12e3 * 0.1 + 10e3 * 0.2] * 2)
    assert rest["C"].force == pytest.approx([0.0, 0.0, -3e4], abs=1e-6)


def test_until_cured_the_piers_bear_all() -> None:
    at, _ = place()
    row = piers(10e3, "EQU.inf.full", "EQU").pushes
    ties = Ties.model_validate({**BAR, "stay": "until cured"})
    assert rest_of_piers(at, ties, row)["B"].force == pytest.approx([10e3, -10e3, -3e4])
    rows = (
        piers(12e3, "STR.sup.full", "STR"),
        piers(7e3, "STR.sup.dead", "STR"),
        piers(5e3, "characteristic.dead", "characteristic"),
    )
    found = told(job("market-groin", **BAR, stay="until cured"), place(), rows)
    assert found.ties[0].answer.force == pytest.approx(7e3)
    assert not found.helps


push = st.floats(0.0, 50e3)


@given(pushes=st.lists(st.tuples(push, push), min_size=4, max_size=4), lean=st.floats(-0.6, 0.6))
def test_ties_pull_both_their_ends_alike(pushes: list[tuple[float, float]], lean: float) -> None:
    """In a room out of square too: what all ties take sums to nothing, what stays never pulls in."""
    corners = SQUARE + np.array([[0, 0], [0, lean], [lean, 0.3], [0.2, 0]])
    vault = SimpleNamespace(room=SimpleNamespace(corners=np.column_stack([corners, np.zeros(4)])))
    middle = corners.mean(axis=0)
    row = []
    for name, corner, (a, b) in zip("ABCD", corners, pushes, strict=True):
        out = np.sign(corner - middle) * np.array([a, b])
        row.append(SupportPush(name, "pier", CASE, np.array([*out, -1e4]), None))
    rest = rest_of_piers(vault, Ties.model_validate(BAR), row)
    taken = sum(p.total[:2] - rest[p.support].force[:2] for p in row)
    most = max(np.abs(p.total[:2]).max() for p in row)
    assert np.abs(taken).max() <= 4 * BALANCE * most + 1e-9
    left = np.array([rest[c].force[:2] for c in "ABCD"])
    assert (held_by_sides(corners, left).min(axis=1) <= 4 * BALANCE * most + 1e-9).all()


def test_a_level_arch_by_hand() -> None:
    """f_d 1 N/mm2, band 0.5 m, wall 0.6 m, 10 kN/m over 4 m: h L^2/8 = 20 kN m. N (0.3 - N/10^6) =
    20 kN m: N = 10^6 (0.3 - sqrt(0.09 - 0.08))/2 = 100 kN; rise 0.2 m."""
    arch = LevelArch(4.0, 0.6, 0.5, 1e6, 10e3)
    assert arch.thrust == pytest.approx(100e3)
    assert arch.rise == pytest.approx(0.2)
    assert arch.thrust * arch.rise == pytest.approx(20e3)
    assert arch.use == pytest.approx(160 / 180)
    assert LevelArch(4.0, 0.6, 0.5, 1e6, 11.3e3).thrust == math.inf


def test_a_frame_round_four_walls_by_hand() -> None:
    """Each side holds half of the push of the two walls beside and its own wall's arch."""
    stated = job("chapel-cloister", **BAR, band=800)
    rows = (walls(6e3, "STR.sup.full", "STR"), walls(4e3, "characteristic.full", "characteristic"))
    lengths = dict.fromkeys(("near", "right", "far", "left"), 3.4)
    found = told(stated, place(lengths=lengths), rows)
    design = found.arches[0][1].strength
    root = math.sqrt(1 - 6e3 * 3.4**2 / (design * 0.8 * 1.0**2))
    arch = design * 0.8 * 1.0 / 2 * (1 - root)
    for tie in found.ties:
        assert tie.answer.force == pytest.approx(6e3 * 3.4 / 2 + arch)
    # A cloister's webs turn over one span: half of what the diagonal would cost.
    assert found.halves[0] == pytest.approx(3.4)
    grown = found.ties[0].answer.spread
    assert found.apart[0] > grown
    checks = {c.name: c for c in net_tie_checks(stated, found)}
    assert checks["supports.tie.left.arch"].verdict is Verdict.HOLDS
    assert checks["supports.tie.AB.section"].value == pytest.approx(
        found.ties[0].answer.force / min(found.ties[0].answer.gross, found.ties[0].answer.net)
    )


def test_walls_that_cannot_arch_are_not_helped() -> None:
    lengths = dict.fromkeys(("near", "right", "far", "left"), 3.4)
    rows = (walls(6e3, "STR.sup.full", "STR"), walls(4e3, "characteristic.full", "characteristic"))
    thin = job("chapel-cloister", {"thickness": 150}, **BAR, band=800)
    found = told(thin, place(lengths=lengths), rows)
    assert not found.helps
    failing = [c for c in net_tie_checks(thin, found) if c.verdict is Verdict.FAILS]
    assert {c.name for c in failing} == {
        f"supports.tie.{side}.arch" for side in ("near", "right", "far", "left")
    }
    bare = job("chapel-cloister", {"above": 0}, **BAR)
    found = told(bare, place(lengths=lengths), rows)
    assert not found.helps
    (check,) = net_tie_checks(bare, found)
    assert check.verdict is Verdict.NOT_JUDGED
    assert "walls.ties.band" in str(check.reason)


def test_ties_across_hold_their_bay() -> None:
    """5 kN/m at 1.2 m: 6 kN; a sail gives both ways at once."""
    stated = job("study-sail", **BAR, layout="across", spacing=1200)
    rows = (walls(5e3, "STR.sup.full", "STR"), walls(4e3, "characteristic.full", "characteristic"))
    lengths = dict.fromkeys(("near", "right", "far", "left"), 3.4)
    found = told(stated, place(lengths=lengths), rows)
    assert [tie.name for tie in found.ties] == ["x", "y"]
    assert found.ties[0].answer.force == pytest.approx(6e3)
    assert found.ties[0].answer.length == pytest.approx(3.4 + 2 * 0.9)
    assert found.halves[0] == pytest.approx(3.4 * math.sqrt(2))


def test_the_ring_of_a_dome_by_hand() -> None:
    """h r = 6 x 2.2 = 13.2 kN; 60 x 8: stretch of the radius 4 x 2.2 x 2.2/(210e6 x 480e-6) m and
    12e-6 x 20 x 2.2; pressed by its thinner side 6/0.008 kN/m2."""
    flat = {"kind": "flat", "width": 60, "thickness": 8}
    stated = job("well-dome", **flat)
    rows = (
        walls(6e3, "STR.sup.full", "STR", names="o"),
        walls(5e3, "characteristic.full", "characteristic", "greatest", names="o"),
        walls(4e3, "characteristic.full", "characteristic", names="o"),
    )
    at = place(0.8, {"ring": 13.8}, rings=lambda _: SimpleNamespace(radius=2.2))
    found = told(stated, at, rows)
    assert found.ring is not None
    assert found.ring.force == pytest.approx(13.2e3)
    assert found.ring.pressing == pytest.approx(6e3 / 0.008)
    grown = 4e3 * 2.2 * 2.2 / (210e9 * 480e-6) + 12e-6 * 20 * 2.2
    assert found.ring.grown == pytest.approx(grown)
    names = [c.name for c in net_tie_checks(stated, found)]
    assert names == ["supports.ring", "supports.tie.ring.bearing", "supports.tie.drop"]


@pytest.mark.parametrize(
    ("name", "ties", "at", "row"),
    [
        ("market-groin", BAR, place(), piers),
        (
            "chapel-cloister",
            {**BAR, "band": 800},
            place(lengths=dict.fromkeys(("near", "right", "far", "left"), 3.4)),
            walls,
        ),
    ],
)
def test_notes_of_ties_give_their_figures_again(
    name: str, ties: dict[str, Any], at: Any, row: Any
) -> None:
    stated = job(name, **ties)
    rows = (row(6e3, "STR.sup.full", "STR"), row(4e3, "characteristic.full", "characteristic"))
    found = told(stated, at, rows)
    book = Notebook()
    net_tie_notes(book, stated, found)
    for note in book.notes:
        values = {v.symbol: v.value for v in note.values}
        assert worked(note.formula, values) == pytest.approx(note.result)
    by_symbol = {note.symbol: note.result for note in book.notes}
    assert by_symbol["N_Ed"] * 1e3 == pytest.approx(found.ties[0].answer.force)
    assert by_symbol["d"] * 1e-3 == pytest.approx(found.drop)
    assert by_symbol["N_pl"] * 1e3 == pytest.approx(found.ties[0].answer.gross)


def test_without_ties_the_masonry_bears_its_push_alone() -> None:
    """A fire takes the ties: a pier of 1.6 m as it stands, against the march of the pier itself."""
    stated = job("market-groin", **BAR)
    rows = (
        piers(20e3, "STR.sup.full", "STR"),
        piers(12e3, "characteristic.full", "characteristic"),
        piers(50e3, "characteristic.full", "characteristic", "greatest"),
    )
    found = told(stated, place(), rows)
    wall = stated.walls.left
    loads = pier_loads(wall, "A", np.array([-12e3, -12e3, -3e4]))
    assert found.alone == pytest.approx(pier_factor(pier_shape(wall, "A"), loads), rel=2e-3)


def test_a_wall_alone_by_the_march_of_its_own() -> None:
    stated = job("chapel-cloister", **BAR, band=800)
    rows = (walls(6e3, "STR.sup.full", "STR"), walls(4e3, "characteristic.full", "characteristic"))
    at = place(lengths=dict.fromkeys(("near", "right", "far", "left"), 3.4))
    found = told(stated, at, rows)
    profile = wall_profile(stated.walls.left, "left", 3.4)
    one = np.ones(1)
    push = Push(4e3 * one, 0 * one, 20e3 * one, 0.05 * one, 0 * one, one)
    assert found.alone == pytest.approx(overturning_factor(profile, push, 0), rel=0.01)


def test_without_a_state_of_the_vault_ties_are_not_judged() -> None:
    stated = job("market-groin", **BAR)
    for rows in ((), (piers(9e3, "EQU.inf.dead", "EQU"),)):
        assert net_ties(stated, *place(), rows) is None
    (check,) = net_tie_checks(stated, None)
    assert check.verdict is Verdict.NOT_JUDGED
    assert net_tie_checks(job("chapel-cloister"), None) == ()
