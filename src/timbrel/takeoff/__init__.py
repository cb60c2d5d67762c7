"""Takeoff: quantities, order list, price, logistics."""

from timbrel.takeoff.logistics import Delivered, Logistics, Standing
from timbrel.takeoff.quantities import Line
from timbrel.takeoff.quote import Figure, Labour, Quote
from timbrel.takeoff.revision import Change, ChangedKey, Since, changes, job_changes, since
from timbrel.takeoff.takeoff import Takeoff, take_off

__all__ = [
    "Change",
    "ChangedKey",
    "Delivered",
    "Figure",
    "Labour",
    "Line",
    "Logistics",
    "Quote",
    "Since",
    "Standing",
    "Takeoff",
    "changes",
    "job_changes",
    "since",
    "take_off",
]
