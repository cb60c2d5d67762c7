"""The house rules that a machine can see: one direction of imports, a light start, no strays."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "timbrel"

# Left to right: a room may import itself and what stands before it, never what stands after.
ORDER = [
    "words",
    "verdict",
    "job",
    "shape",
    "bond",
    "statics",
    "site",
    "takeoff",
    "schema",
    "plan",
    "options",
    "house",
    "sheets",
    "records",
    "web",
    "cli",
    "locale",
]


def imported_rooms(file: Path) -> set[str]:
    """Rooms of the house that a file imports, at the top or late."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
            if node.module == "timbrel":
                names = [f"timbrel.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        found |= {name.split(".")[1] for name in names if name.startswith("timbrel.")}
    return found


@pytest.mark.parametrize(
    "file", sorted(SOURCE.rglob("*.py")), ids=lambda f: str(f.relative_to(SOURCE))
)
def test_nothing_imports_from_its_right(file: Path) -> None:
    room = file.relative_to(SOURCE).parts[0].removesuffix(".py")
    if room in ("__init__", "__main__"):
        return
    assert room in ORDER, f"{room} has no place in the order of the house"
    here = ORDER.index(room)
    wrong = {r for r in imported_rooms(file) if r in ORDER and ORDER.index(r) > here}
    assert not wrong, f"{file.name} imports {sorted(wrong)}, which stand to its right"


@pytest.mark.parametrize("words", [("--version",), ("--help",)])
def test_the_command_line_starts_light(words: tuple[str, ...]) -> None:
    """No heavy library may be loaded to say hello (a set of modules, not a stopwatch)."""
    heavy = {
        "numpy",
        "scipy",
        "shapely",
        "ezdxf",
        "trimesh",
        "fastapi",
        "sqlalchemy",
        "pint",
        "highspy",
        "clarabel",
    }
    code = (
        "import sys\n"
        "from timbrel.cli import main\n"
        f"sys.argv = ['timbrel', *{list(words)!r}]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        f"print('HEAVY', sorted({heavy!r} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "HEAVY []"


def test_lock_files_hold_pins_and_hashes_only() -> None:
    for lock in sorted((ROOT / "requirements").glob("*.lock")):
        text = lock.read_text(encoding="utf-8")
        assert "://" not in text and "--index-url" not in text
        pins = [line for line in text.splitlines() if line and not line.startswith((" ", "#"))]
        assert pins and all("==" in line for line in pins)
        assert text.count("--hash=sha256:") >= len(pins)
