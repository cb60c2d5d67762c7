"""Samples drawn from the load path's page, and the house of a folder of jobs."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

Ready = Callable[[Page], None]
Faults = Callable[[Page], list[str]]
FERRY = Path(__file__).parents[2] / "examples" / "ferry-house"


def test_samples_are_drawn_from_the_load_path(
    page: Page, site: Any, ready: Ready, faults: Faults
) -> None:
    page.goto(site.job("Uncertain pantry"))
    ready(page)
    page.get_by_role("tab", name="Tables").click()
    leaf = page.locator("#leaf-load-path")
    expect(leaf).to_be_visible(timeout=60000)
    expect(leaf.get_by_text("What would help the walls")).to_be_visible()
    leaf.get_by_label("Samples").fill("30")
    leaf.get_by_role("button", name="Draw samples").press("Enter")
    expect(leaf.get_by_text("Rank correlation with the reserve")).to_be_visible(timeout=60000)
    assert not faults(page)


def test_the_house_adds_its_vaults_up(page: Page, site: Any, faults: Faults) -> None:
    root = site.store.root
    for name in ("cellar", "stair", "kitchen"):
        shutil.copytree(FERRY / name, root / name)
    shutil.copy(FERRY / "house.toml", root / "house.toml")
    page.goto(site.url)
    page.get_by_role("link", name="The house").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Three vaults of the Ferry House")
    expect(page.get_by_text("One order for the house")).to_be_visible()
    assert not faults(page)
    page.set_viewport_size({"width": 390, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    (root / "house.toml").unlink()
    for name in ("cellar", "stair", "kitchen"):
        shutil.rmtree(root / name)
