"""One thread for the band factor.

The blocks of a band factor are small: several threads gain nothing on a quiet machine and lose
twentyfold on a busy one, where they wait for each other. The linear-algebra library under scipy can
be told so while it runs; where it cannot be found nothing is changed.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

PREFIXES = ("scipy_openblas", "openblas")
SUFFIXES = ("", "64_", "_64")


@lru_cache(maxsize=1)
def _controls() -> tuple[Any, Any] | None:
    """The functions that tell and set the number of threads of scipy's linear algebra."""
    import scipy

    folder = Path(scipy.__file__).parent.parent / "scipy.libs"
    for file in sorted(folder.glob("*openblas*")):
        try:
            library = ctypes.CDLL(str(file))
        except OSError:
            continue
        for prefix in PREFIXES:
            for suffix in SUFFIXES:
                tell = getattr(library, f"{prefix}_get_num_threads{suffix}", None)
                change = getattr(library, f"{prefix}_set_num_threads{suffix}", None)
                if tell is not None and change is not None:
                    return tell, change
    return None


@contextmanager
def one_thread() -> Iterator[None]:
    """Keep scipy's linear algebra to one thread inside the block."""
    controls = _controls()
    if controls is None:
        yield
        return
    tell, change = controls
    before = int(tell())
    change(1)
    try:
        yield
    finally:
        change(before)
