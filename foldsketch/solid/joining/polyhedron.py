"""Bodies without features, such as a scanned casting: a closed surface of plain polygons as one block."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.part.model import Axis, Feature, Part, Plate
from foldsketch.solid import messages
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.frame import AxisFrame
from foldsketch.solid.faceting.prism import Face, Prism
from foldsketch.solid.joining.blocks import Block, Solids
from foldsketch.solid.joining.skin import Skin, enclosed_volume, euler_number

MIN_FACE_AREA_MM2 = 5e-13
"""A face smaller than this, mm2, has no normal."""

AXIS_DISTANCE_IN_SIZES = 1e6
"""The axis that a part must have is this many sizes away from the body, where it marks no panel."""


def skin_of_polygons(corners: Array, polygons: Sequence[Sequence[Sequence[int]]]) -> Skin:
    """The skin of a closed surface.

    corners: (n, 3) mm; polygons: for every face its loops of corner numbers, the outline anticlockwise seen from
    outside, holes clockwise. Raises FoldsketchError when an edge does not belong to two faces, once each way.
    """
    seen: set[tuple[int, int]] = set()
    faces = []
    for k, loops in enumerate(polygons):
        normal = np.zeros(3)
        for loop in loops:
            p = corners[list(loop)]
            normal += np.cross(p[1:-1] - p[0], p[2:] - p[0]).sum(axis=0)
            for a, b in zip(loop, [*loop[1:], loop[0]], strict=True):
                if (a, b) in seen:
                    raise messages.EDGE_USED_TWICE.error(f"face {k}", start=a, end=b)
                seen.add((a, b))
        size = float(np.linalg.norm(normal))
        if size < 2 * MIN_FACE_AREA_MM2:
            raise messages.FACE_WITHOUT_AREA.error(f"face {k}")
        faces.append(Face(tuple(tuple(loop) for loop in loops), 0, k, "other", normal / size))
    open_edges = sum((b, a) not in seen for a, b in seen)
    if open_edges:
        raise messages.EDGES_OPEN.error("surface", edges=open_edges)
    return Skin(np.asarray(corners, dtype=float), tuple(faces), euler_number(faces), enclosed_volume(corners, faces))


def block_from_polyhedron(
    name: str, corners: Array, polygons: Sequence[Sequence[Sequence[int]]], scale: float, chord_error: float = 0.0
) -> tuple[FacetedPart, Solids]:
    """One block of one shape without features, for `net.build.build`.

    corners, polygons: as skin_of_polygons takes them, part mm; scale: paper mm per part mm; chord_error: largest
    distance between the faces and the real surface, part mm. Raises FoldsketchError when the faces do not close.
    """
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    skin = skin_of_polygons((corners - middle) * scale, polygons)
    low, high = skin.corners.min(axis=0), skin.corners.max(axis=0)
    size = float(np.linalg.norm(high - low)) / scale
    axis = Axis("-", (AXIS_DISTANCE_IN_SIZES * size, 0.0, 0.0))
    shape = Feature(name, axis.name, Plate(), float(low[2]) / scale, float(high[2]) / scale)
    frame = AxisFrame(np.zeros(3), *np.eye(3))
    prism = Prism(0, shape, frame, skin.corners, skin.faces, len(skin.faces), 1.0, chord_error * scale, low, high)
    faceted = FacetedPart((prism,), np.array([1.0, 0.0, 0.0]), np.eye(3), Part(name, (axis,), ()))
    return faceted, Solids((Block(0, (0,), skin),), ())
