"""The commands that print the load path, draw samples and tell the bounds."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
SMALL = ROOT / "tests" / "web" / "small.toml"


def run(*words: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "timbrel", "--language", "en", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
    )


def test_support_tells_path_help_and_tenths() -> None:
    done = run("support", SMALL)
    assert done.returncode == 0, done.stderr
    for words in ("Load path, step by step", "What would help", "a tenth more"):
        assert words in done.stdout


def test_support_as_json_is_what_the_plan_holds() -> None:
    found = json.loads(run("support", SMALL, "--json").stdout)
    assert {"carrying", "studies"} == set(found)
    assert found["carrying"]["notes"][0]["number"] == 1
    assert found["studies"]["uncertain"] is None


def test_bounds_of_a_strip_are_those_of_its_worst_station() -> None:
    done = run("bounds", SMALL)
    assert done.returncode == 0, done.stderr
    found = json.loads(run("bounds", SMALL, "--json").stdout)["bounds"]
    assert found["least"] <= found["most"] < 1.01 * found["least"]
    apart = f"{100 * (found['most'] - found['least']) / found['least']:.1f} % apart"
    for words in (f"{found['least']:.2f} times at least", "vault falls", apart, "engineer signs"):
        assert words in done.stdout


def test_bounds_of_a_vault_on_a_plan_are_those_of_its_proof() -> None:
    done = run("bounds", ROOT / "examples" / "chapel-cloister")
    assert done.returncode == 0, done.stderr
    for words in ("patch", "steps", "vault falls", "webs part"):
        assert words in done.stdout


def test_samples_are_the_same_for_the_same_seed() -> None:
    drawn = [
        json.loads(run("uncertain", SMALL, "--samples", 24, "--seed", 5, "--json").stdout)
        for _ in range(2)
    ]
    assert drawn[0] == drawn[1]
    assert drawn[0]["studies"]["uncertain"]["seed"] == 5
    assert len(drawn[0]["studies"]["uncertain"]["reserve"]) == 24


def test_samples_of_a_vault_on_a_plan_are_foretold_from_nets_and_say_so() -> None:
    done = run("uncertain", ROOT / "examples" / "chapel-cloister", "--samples", 200)
    assert done.returncode == 0, done.stderr
    for words in ("200, 1", "nets were solved", "Left out: spread", "push borne"):
        assert words in done.stdout


def test_samples_go_into_the_pack(tmp_path: Path) -> None:
    done = run("plan", SMALL, "--out", tmp_path / "pack", "--samples", 20)
    assert "The pack lies in" in done.stdout, done.stderr
    found = json.loads((tmp_path / "pack" / "plan.json").read_text(encoding="utf-8"))
    assert len(found["studies"]["uncertain"]["reserve"]) == 20
    assert found["studies"]["alternatives"] is not None


def test_support_of_a_vault_on_a_plan_tells_its_walls() -> None:
    job = ROOT / "examples" / "chapel-cloister"
    done = run("support", job)
    assert done.returncode == 0, done.stderr
    for words in ("Near wall", "EQU.inf.full", "Load path, step by step"):
        assert words in done.stdout
    for words in ("What would help the supports", "Buttresses", "a tenth more"):
        assert words in done.stdout
