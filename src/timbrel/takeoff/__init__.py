"""Takeoff: quantities, order list, price."""
