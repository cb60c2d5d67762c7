"""Choosing: three to five complete options for one room, each really planned, side by side."""

from timbrel.job.choice import CARES, Care
from timbrel.options.candidates import MOST_OPTIONS, VARIES, Candidate, Vary, candidates
from timbrel.options.figures import Figures, figures_of
from timbrel.options.sweep import (
    Option,
    compare,
    fork_server,
    plan_option,
    sorted_options,
)

__all__ = [
    "CARES",
    "MOST_OPTIONS",
    "VARIES",
    "Candidate",
    "Care",
    "Figures",
    "Option",
    "Vary",
    "candidates",
    "compare",
    "figures_of",
    "fork_server",
    "plan_option",
    "sorted_options",
]
