"""Takeoff: quantities, order list, price."""

from timbrel.takeoff.quantities import Line
from timbrel.takeoff.quote import Figure, Labour, Quote
from timbrel.takeoff.takeoff import Takeoff, take_off

__all__ = ["Figure", "Labour", "Line", "Quote", "Takeoff", "take_off"]
