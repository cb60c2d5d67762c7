"""What each layer is made of: tiles, joints and bed, as a balance of volumes.

Joints are the shell of the layer less its tiles: the area on the layer's middle surface times the
thickness, less the tiles themselves. That counts the wider back of a joint on the curve and the
joints along the walls. Openings are taken off; the mortar of their rings is counted with the last
layer, whose binder it is.
"""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.surface import Surface


@dataclass(frozen=True)
class LayerVolumes:
    """One layer. layer: from 1. count: pieces. shell: area of its middle surface, m2. tiles,
    joints, bed: net volumes, m3 (no bed under the first layer). joint_binder, bed_binder: names in
    the job; bed_binder is None where there is no bed."""

    layer: int
    count: int
    shell: float
    tiles: float
    joints: float
    bed: float
    joint_binder: str
    bed_binder: str | None


def layer_volumes(job: Job, vault: Surface, bond: Bond) -> tuple[LayerVolumes, ...]:
    """Volumes of every layer, from the seen one upward."""
    found = []
    for place, stated, laid in zip(vault.layers, job.layers, bond.layers, strict=True):
        gone = sum(opening.areas[laid.layer - 1] for opening in bond.openings)
        area = float(vault.area(place.middle)) - gone
        tiles = float(laid.area.sum()) * place.thickness
        bed = (
            (float(vault.area(place.inner - place.bed / 2)) - gone) * place.bed
            if place.bed
            else 0.0
        )
        last = laid.layer == len(bond.layers)
        ring = sum(opening.mortar for opening in bond.openings) if last else 0.0
        found.append(
            LayerVolumes(
                layer=laid.layer,
                count=laid.count,
                shell=area,
                tiles=tiles,
                joints=area * place.thickness - tiles + ring,
                bed=bed,
                joint_binder=stated.binder,
                bed_binder=(stated.bed_binder or stated.binder) if bed > 0 else None,
            )
        )
    return tuple(found)


def binder_needs(volumes: tuple[LayerVolumes, ...]) -> dict[str, float]:
    """Net volume of each binder (m3): joints of its layers and beds that it makes."""
    needs: dict[str, float] = {}
    for layer in volumes:
        needs[layer.joint_binder] = needs.get(layer.joint_binder, 0.0) + layer.joints
        if layer.bed_binder is not None:
            needs[layer.bed_binder] = needs.get(layer.bed_binder, 0.0) + layer.bed
    return needs
