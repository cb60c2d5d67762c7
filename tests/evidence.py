"""Print the table of evidence: what, published, ours, difference, source.

Runs the reference tests and gathers the rows that they note.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from rich.console import Console
from rich.table import Table


def gather() -> tuple[list[dict[str, object]], int]:
    """Run tests/reference and return its rows and pytest's exit status."""
    with tempfile.TemporaryDirectory() as folder:
        status = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "tests/reference"],
            env={**os.environ, "TIMBREL_EVIDENCE": folder},
            check=False,
        ).returncode
        rows = [
            json.loads(line)
            for file in sorted(Path(folder).glob("*.jsonl"))
            for line in file.read_text(encoding="utf-8").splitlines()
        ]
    return sorted(rows, key=lambda row: (row["test"], row["what"])), status


def main() -> int:
    """Print one row a value; the exit status is that of the tests."""
    rows, status = gather()
    table = Table("what", "published", "ours", "difference", "source")
    for row in rows:
        published, ours = float(str(row["published"])), float(str(row["ours"]))
        apart = ours - published
        share = f"{apart / published:+.3%}" if published else f"{apart:+.3g}"
        table.add_row(
            str(row["what"]), f"{published:.6g}", f"{ours:.6g}", share, str(row["source"])
        )
    Console(width=170).print(table)
    return status


if __name__ == "__main__":
    raise SystemExit(main())
