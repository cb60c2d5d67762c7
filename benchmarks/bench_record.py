"""The record under eight clients, and the close-out of a large one."""

from __future__ import annotations

import io
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from uuid import uuid4

import numpy as np

from timbrel.job.load import load_job
from timbrel.plan import make_plan
from timbrel.records.asbuilt import compare
from timbrel.records.asked import Asked
from timbrel.records.built_surface import design_factor
from timbrel.records.closeout import close_out_pdf, gather
from timbrel.records.kinds import MeasuredPoint
from timbrel.records.store import Record
from timbrel.words import Voice

EXAMPLE = Path(__file__).parent.parent / "examples" / "granary" / "job.toml"
CLIENTS, EACH = 8, 60
NOW = "2026-05-04T10:00:00+02:00"


def acknowledged(folder: Path) -> list[float]:
    """Seconds from handing an entry in to its acknowledgement, eight clients at once."""
    took: list[float] = []

    def write() -> None:
        record = Record.open(folder)
        for _ in range(EACH):
            begun = time.perf_counter()
            record.add(uid=uuid4().hex, kind="note", author=1, body={"text": "on the scaffold"})
            took.append(time.perf_counter() - begun)
        record.close()

    threads = [threading.Thread(target=write) for _ in range(CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return took


def jpeg(seed: int) -> bytes:
    """A photograph's worth of bytes, different each time."""
    from PIL import Image

    out = io.BytesIO()
    noise = Image.effect_noise((150, 100), 60 + seed % 40).resize((1200, 800))
    noise.convert("RGB").save(out, "JPEG", quality=80)
    return out.getvalue() + seed.to_bytes(4, "big")


def rows() -> Iterator[tuple[str, float, str, str]]:
    """Acknowledgement, as-built verdict, close-out."""
    plan = make_plan(load_job(EXAMPLE))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        record = Record.open(folder)
        record.found("Ana Ferrer", uuid4().hex)
        yield "entry acknowledged, 8 clients", median(acknowledged(folder)) * 1e3, "ms", "under 50"
        chord = plan.vault.profile(0.5, [0.0, 0.25, 0.5, 0.75, 1.0])
        chord = chord - chord[0]
        points = [
            MeasuredPoint(what="offset", v=0.5, x=float(x), value=float(z) - 0.002)
            for x, z in chord[1:-1]
        ]
        begun = time.perf_counter()
        compare(plan.job, plan.vault, points)
        yield "as-built verdict, one station", time.perf_counter() - begun, "s", "under 1"
        left = 1000 - record.head()[0]
        record.add_all(
            [Asked(uuid4().hex, "note", 1, {"text": f"note {k}"}, NOW, None) for k in range(left)]
        )
        for k in range(200):
            digest, media = record.keep_picture(jpeg(k))
            body = {"digest": digest, "media": media, "size": 1, "text": "crown from below"}
            record.add(uid=uuid4().hex, kind="photo", author=1, body=body)
        begun = time.perf_counter()
        close_out_pdf(gather(plan, record), Voice())
        took = time.perf_counter() - begun
        yield "close-out, 1,200 entries and 200 photographs", took, "s", "under 20"
        record.close()
    yield from surface_rows()


def surface_rows() -> Iterator[tuple[str, float, str, str]]:
    """As-built verdicts of the vaults on a plan, the design's own factor known before."""
    for name in ("market-groin", "chapel-cloister", "study-sail", "well-dome"):
        plan = make_plan(load_job(EXAMPLE.parent.parent / name / "job.toml"))
        a, b, c, d = np.asarray(plan.room.corners)
        points = []
        for v in (0.25, 0.5, 0.75):
            for share in (0.2, 0.35, 0.5, 0.65, 0.8):
                left, right = a + v * (d - a), b + v * (c - b)
                at = left + share * (right - left)
                level = float(plan.vault.height(at[:1], at[1:2])[0])
                if np.isfinite(level):
                    x = share * float(np.hypot(*(right - left)[:2]))
                    dent = -0.012 if share == 0.35 else 0.008
                    points.append(MeasuredPoint(what="level", v=v, x=x, value=level + dent))
        design = design_factor(plan.job, plan.vault)
        begun = time.process_time()
        compare(plan.job, plan.vault, points, design)
        took = time.process_time() - begun
        yield f"as-built verdict, {name}", took, "s of processor", "under 1 s"
