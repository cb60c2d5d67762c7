"""What the jobs of one house must have in common, so that their orders and days can be added."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.words import TimbrelError, say


def refuse_unlike(jobs: dict[str, Job]) -> None:
    """Refuse jobs whose crew, prices, ordering, or tiles and binders of one name differ: added up,
    they would say what none of them says."""
    first_name, first = next(iter(jobs.items()))
    for name, job in list(jobs.items())[1:]:
        for table in ("crew", "prices", "ordering"):
            _alike(table, first_name, getattr(first, table), name, getattr(job, table))
        for field in ("hours_per_day", "days_per_week", "off"):
            _alike(f"site.{field}", first_name, first.site, name, job.site, field)
    for table in ("tiles", "binders"):
        seen: dict[str, tuple[str, object]] = {}
        for name, job in jobs.items():
            for key, stated in getattr(job, table).items():
                before, known = seen.setdefault(key, (name, stated))
                _alike(f"{table}.{key}", before, known, name, stated)


def _alike(table: str, one: str, a: object, other: str, b: object, only: str = "") -> None:
    fields = [only] if only else list(type(a).model_fields)  # type: ignore[attr-defined]
    for field in fields:
        if getattr(a, field) != getattr(b, field):
            key = table if only else f"{table}.{field}"
            raise TimbrelError(
                say(
                    "{key} is not the same in {one} and {other}; accepted: one crew, one list of "
                    "prices, and tiles and binders of one name that are alike in all jobs of a "
                    "house.",
                    key=key,
                    one=one,
                    other=other,
                ),
                key=key,
            )
