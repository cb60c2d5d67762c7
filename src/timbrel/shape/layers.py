"""Where each layer of tiles lies over the intrados."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Job
from timbrel.words import TimbrelError, say


@dataclass(frozen=True)
class LayerPlace:
    """Offsets of a layer's tile faces from the intrados, along the normal.

    index: from 0, as in the job's layers. bed: thickness of the mortar bed under it (the first
    layer, the seen one, has none).
    """

    index: int
    inner: float
    outer: float
    bed: float

    @property
    def middle(self) -> float:
        return (self.inner + self.outer) / 2

    @property
    def thickness(self) -> float:
        return self.outer - self.inner


def place_layers(job: Job) -> tuple[LayerPlace, ...]:
    """Stack the job's layers from the intrados outward. Raises when a tile is not in the job."""
    places: list[LayerPlace] = []
    top = 0.0
    for i, layer in enumerate(job.layers):
        if layer.tile not in job.tiles:
            raise TimbrelError(
                say(
                    "layers.{number}.tile is {given}, which is not among the tiles: {known}.",
                    number=i + 1,
                    given=repr(layer.tile),
                    known=", ".join(job.tiles),
                ),
                key=f"layers.{i}.tile",
            )
        bed = layer.bed if i else 0.0
        inner = top + bed
        top = inner + job.tiles[layer.tile].thickness
        places.append(LayerPlace(i, inner, top, bed))
    return tuple(places)
