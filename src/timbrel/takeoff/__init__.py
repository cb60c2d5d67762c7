"""Takeoff: quantities, order list, price, logistics."""

from timbrel.takeoff.logistics import Delivered, Logistics, Standing
from timbrel.takeoff.quantities import Line
from timbrel.takeoff.quote import Figure, Labour, Quote
from timbrel.takeoff.revision import Change, changes, job_changes
from timbrel.takeoff.takeoff import Takeoff, take_off

__all__ = [
    "Change",
    "Delivered",
    "Figure",
    "Labour",
    "Line",
    "Logistics",
    "Quote",
    "Standing",
    "Takeoff",
    "changes",
    "job_changes",
    "take_off",
]
