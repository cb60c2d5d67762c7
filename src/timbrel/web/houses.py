"""The house of a folder of jobs, planned from the jobs as they stand on the page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from timbrel.job.house import HOUSE_FILE

if TYPE_CHECKING:
    from timbrel.house import HousePlan
    from timbrel.job.load import Loaded
    from timbrel.plan import Plan
    from timbrel.web.desk import Desk
    from timbrel.words import Progress


def has_house(folder: Path) -> bool:
    """Does a folder of jobs hold a house."""
    return (folder / HOUSE_FILE).is_file()


def planned_house(desk: Desk) -> HousePlan:
    """The house of the folder that is served. Raises TimbrelError when it cannot be added up."""
    from timbrel.house import plan_house
    from timbrel.job.house import load_house

    loaded = load_house(desk.store.root)

    def planned(name: str, _loaded: Loaded, _progress: Progress) -> Plan:
        return desk.planner.plan(desk.store.read(name).text).plan

    return plan_house(
        loaded.file, dict(zip(loaded.names, loaded.jobs, strict=True)), planned=planned
    )
