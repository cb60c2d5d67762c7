"""One thread for the band factor.

The blocks of a band factor are small: several threads gain nothing on a quiet machine and lose
twentyfold on a busy one, where they wait for each other. The linear-algebra libraries under numpy
and scipy can be told so while they run; where they cannot be found nothing is changed.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from itertools import product
from pathlib import Path
from typing import Any

PREFIXES = ("scipy_openblas", "openblas")
SUFFIXES = ("", "64_", "_64")


@lru_cache(maxsize=1)
def _controls() -> tuple[tuple[Any, Any], ...]:
    """The functions that tell and set the number of threads, of each library found."""
    import scipy

    home = Path(scipy.__file__).parent.parent
    found = []
    for file in sorted([*home.glob("scipy.libs/*openblas*"), *home.glob("numpy.libs/*openblas*")]):
        try:
            library = ctypes.CDLL(str(file))
        except OSError:
            continue
        for prefix, suffix in product(PREFIXES, SUFFIXES):
            tell = getattr(library, f"{prefix}_get_num_threads{suffix}", None)
            change = getattr(library, f"{prefix}_set_num_threads{suffix}", None)
            if tell is not None and change is not None:
                found.append((tell, change))
                break
    return tuple(found)


@contextmanager
def one_thread() -> Iterator[None]:
    """Keep linear algebra to one thread inside the block."""
    before = [(int(tell()), change) for tell, change in _controls()]
    for _, change in before:
        change(1)
    try:
        yield
    finally:
        for count, change in before:
            change(count)
