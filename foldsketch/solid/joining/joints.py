"""Joints: the flat contacts of blocks, where they are glued face to face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.tolerance import Tolerance
from foldsketch.solid.joining.skin import Skin, face_planes, face_polygon, plane_axes

MIN_JOINT_AREA_MM2 = 1e-3
"""Contacts smaller than this, mm2, are not joints."""

CONTACT_GRID_MM = 1e-6
"""Faces that touch themselves within the last bits are compared on this grid."""


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """A flat contact of two blocks.

    faces: number of the touching face in each block's skin; outline: (n, 3) mm, anticlockwise seen against normal;
    holes: each (m, 3) mm; normal: (3,) from the first block to the second.
    """

    blocks: tuple[int, int]
    faces: tuple[int, int]
    outline: Array
    holes: tuple[Array, ...]
    normal: Array


def find_joints(skins: Sequence[Skin], tolerance: Tolerance) -> list[Joint]:
    """All contacts of blocks, each given by its skin."""
    bounds = [(s.corners.min(axis=0), s.corners.max(axis=0)) for s in skins]
    planes = [face_planes(s) for s in skins]
    joints: list[Joint] = []
    for i, j in combinations(range(len(skins)), 2):
        (low, high), (other_low, other_high) = bounds[i], bounds[j]
        if (low > other_high + tolerance.length).any() or (other_low > high + tolerance.length).any():
            continue
        opposed = (planes[i][:, :3] @ planes[j][:, :3].T < -1 + 1e-12) & (
            np.abs(planes[i][:, 3][:, None] + planes[j][:, 3][None, :]) < tolerance.length
        )
        for a, b in np.argwhere(opposed).tolist():
            joints += _face_contacts(skins, (i, j), (a, b), tolerance)
    return joints


def _intersection(one: Any, other: Any) -> Any:
    """What two faces have in common; where a loop of one touches another within the last bits, on a grid."""
    from shapely import GEOSException, intersection, make_valid

    try:
        return one.intersection(other)
    except GEOSException:
        return intersection(make_valid(one), make_valid(other), grid_size=CONTACT_GRID_MM)


def _face_contacts(
    skins: Sequence[Skin], blocks: tuple[int, int], faces: tuple[int, int], tolerance: Tolerance
) -> list[Joint]:
    """What two faces in one plane have in common."""
    from shapely import get_coordinates
    from shapely.geometry.polygon import orient

    one, other = (skins[b] for b in blocks)
    face = one.faces[faces[0]]
    flat = plane_axes(face.normal)
    height = float(face.normal @ one.corners[face.loops[0][0]])
    shared = _intersection(
        face_polygon(one.corners, face, flat), face_polygon(other.corners, other.faces[faces[1]], flat)
    )
    found = []
    for piece in getattr(shared, "geoms", [shared]):
        if piece.geom_type != "Polygon" or piece.area < MIN_JOINT_AREA_MM2:
            continue
        piece = orient(piece.simplify(tolerance.length))
        outline, *holes = (
            get_coordinates(ring)[:-1] @ flat.T + height * face.normal for ring in (piece.exterior, *piece.interiors)
        )
        found.append(Joint(blocks, faces, outline, tuple(holes), face.normal))
    return found
