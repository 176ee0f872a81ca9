"""A lump: a body without features, known by its skin alone, in the form that nets are built from."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.part.model import Axis, Feature, Part, Plate
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.frame import AxisFrame
from foldsketch.solid.faceting.prism import Array, Prism
from foldsketch.solid.joining.blocks import Block, Solids
from foldsketch.solid.joining.polyhedron import skin_of_polygons

AXIS_DISTANCE_IN_SIZES = 1e6
"""A lump has no axis. The one that a part must have stands this many sizes off, where it marks no panel."""


def block_from_polyhedron(
    name: str, corners: Array, polygons: Sequence[Sequence[Sequence[int]]], scale: float, stray: float = 0.0
) -> tuple[FacetedPart, Solids]:
    """One block with one nameless shape, for `net.build.build`.

    corners: (n, 3) mm; polygons: loops of corner numbers for every face, as `skin_of_polygons` takes them; scale:
    paper mm per part mm; stray: how far the faces stray from what they stand for, part mm. Raises FoldsketchError
    when the faces do not close.
    """
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    skin = skin_of_polygons((corners - middle) * scale, polygons)
    low, high = skin.corners.min(axis=0), skin.corners.max(axis=0)
    size = float(np.linalg.norm(high - low)) / scale
    axis = Axis("-", (AXIS_DISTANCE_IN_SIZES * size, 0.0, 0.0))
    shape = Feature(name, axis.name, Plate(), float(low[2]) / scale, float(high[2]) / scale)
    frame = AxisFrame(np.zeros(3), *np.eye(3))
    prism = Prism(0, shape, frame, skin.corners, skin.faces, len(skin.faces), 1.0, stray * scale, low, high)
    part = Part(name, (axis,), ())
    faceted = FacetedPart((prism,), np.array([1.0, 0.0, 0.0]), np.eye(3), part)
    return faceted, Solids((Block(0, (0,), skin),), ())
