"""Writing so that a crash leaves either the old file or the new one, never half of one."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_beside(path: Path, data: bytes) -> None:
    """Write a file beside its place, then rename it there: readers never see half a file."""
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
