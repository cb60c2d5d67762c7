"""Tiles: courses, joints, layers, closers, the lap between layers, the cut list."""

from timbrel.bond.lay import lay_bond
from timbrel.bond.layout import Bond, CutGroup, CutList, Gauge, Lap, LayerBond, Nest, Piece, Rod

__all__ = [
    "Bond",
    "CutGroup",
    "CutList",
    "Gauge",
    "Lap",
    "LayerBond",
    "Nest",
    "Piece",
    "Rod",
    "lay_bond",
]
