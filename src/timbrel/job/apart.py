"""The job as one part of the plan sees it: all that the part has no business with put back to plain.

What is worked out from such a job cannot hang on the rest, so that it may be kept while only the
rest is edited.
"""

from __future__ import annotations

from timbrel.job.model import Job

NOT_OF_THE_STATICS = (
    "crew",
    "prices",
    "ordering",
    "uncertainty",
    "load_test",
    "practice",
    "deliveries",
    "choice",
)
NOT_OF_THE_SHELL = (*NOT_OF_THE_STATICS, "masonry", "walls", "loads", "site", "building")


def of_shell(job: Job) -> Job:
    """What the room, the vault and its bond hang on."""
    return _without(job, NOT_OF_THE_SHELL)


def of_statics(job: Job) -> Job:
    """What the thrust lines, the walls and their verdicts hang on."""
    return _without(job, NOT_OF_THE_STATICS)


def _without(job: Job, tables: tuple[str, ...]) -> Job:
    fields = type(job).model_fields
    plain = {name: fields[name].get_default(call_default_factory=True) for name in tables}
    unnamed = job.job.model_copy(update={"title": "", "place": "", "number": "", "revision": ""})
    return job.model_copy(update={"job": unnamed, **plain})
