"""What the first reader would wait for is loaded while the server comes up."""

from __future__ import annotations

import gc
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from timbrel.job.new import example_text
from timbrel.web.edits import put_values
from timbrel.web.pages import compiled
from timbrel.web.planning import Planner

TEMPLATES = ("list.html", "job.html", "reply.html", "followed.html")


@asynccontextmanager
async def warmed(_app: FastAPI) -> AsyncIterator[None]:
    """Load in the background; the server answers meanwhile."""
    threading.Thread(target=load, daemon=True).start()
    yield


def load() -> None:
    """Plan the example once, edit it once and read the templates: all libraries are used then.

    What the libraries hold stays as long as the server does. It is taken out of the search for
    garbage, which would go through all of it every dozen edits and hold one up by a tenth of a
    second.
    """
    text = example_text()
    Planner().plan(put_values(text, {"job.title": "-"}, "mm"))
    compiled(*TEMPLATES)
    gc.collect()
    gc.freeze()
