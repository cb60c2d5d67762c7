"""No file of the package imports, over whatever way round, one that imports it.

Every import counts: those inside functions, which only come later, and those for the names of types,
which never come at all. Two files that must know each other's names are one idea or three.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

import timbrel

HOME = Path(timbrel.__file__).parent


def module_name(file: Path) -> str:
    parts = ("timbrel", *file.relative_to(HOME).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(text: str, known: set[str]) -> set[str]:
    """The modules among the known ones that a text imports, wherever it does."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full"
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= inner & known or {str(node.module)}
    return found & known


def circle(graph: Mapping[str, set[str]]) -> list[str]:
    """A circle of imports, from a module round to itself; empty without one."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_imports_have_no_circle() -> None:
    files = {module_name(file): file for file in HOME.rglob("*.py")}
    known = set(files)
    graph = {
        name: imported(file.read_text(encoding="utf-8"), known) - {name}
        for name, file in files.items()
    }
    assert len(graph) > 300 and sum(map(len, graph.values())) > 1000
    assert circle(graph) == []


@pytest.mark.parametrize(
    "text",
    [
        "import timbrel.b",
        "from timbrel.b import thing",
        "from timbrel import b",
        "def late():\n    from timbrel.b import thing",
        "if TYPE_CHECKING:\n    from timbrel.b import Thing",
    ],
)
def test_every_kind_of_import_is_seen(text: str) -> None:
    known = {"timbrel", "timbrel.a", "timbrel.b"}
    assert imported(text, known) == {"timbrel.b"}
    graph = {"timbrel.a": imported(text, known), "timbrel.b": {"timbrel.a"}}
    assert set(circle(graph)) == {"timbrel.a", "timbrel.b"}
