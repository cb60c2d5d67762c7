"""Vault surfaces: directrix curves, families, normals, areas, unrolling."""

from timbrel.shape.curves import directrix
from timbrel.shape.directrix import Directrix
from timbrel.shape.layers import LayerPlace
from timbrel.shape.vault import Barrel, shape_vault

__all__ = ["Barrel", "Directrix", "LayerPlace", "directrix", "shape_vault"]
