"""Run every benchmark of this folder: ``python -m benchmarks [name ...]``.

A benchmark is a module ``bench_NAME.py`` with a function ``rows()`` that yields
(what, value, unit, wanted) and takes its ratios within one run.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

from rich.console import Console
from rich.table import Table


def main() -> None:
    """Print one table of all figures."""
    wanted = set(sys.argv[1:])
    table = Table("benchmark", "what", "measured", "wanted")
    for file in sorted(Path(__file__).parent.glob("bench_*.py")):
        name = file.stem.removeprefix("bench_")
        if wanted and name not in wanted:
            continue
        for what, value, unit, wish in importlib.import_module(f"benchmarks.{file.stem}").rows():
            table.add_row(name, what, f"{value:.4g} {unit}", wish)
    Console(width=140).print(table)


if __name__ == "__main__":
    main()
