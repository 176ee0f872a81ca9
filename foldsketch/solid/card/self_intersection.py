"""Check that a skin whose corners were moved still encloses a body and no wall goes through another."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.geometry.polygon_loops import signed_area
from foldsketch.solid.faceting.prism import Face
from foldsketch.solid.joining.skin import Skin, face_planes, face_polygon, plane_axes

SKIN_TOUCH_TOLERANCE_MM = 1e-7
"""What is nearer than this, mm, only touches."""


def skin_self_intersects(skin: Skin) -> bool:
    """True if an opening of a face leaves its outline, a loop crosses itself, or an edge goes through a face.

    The volume does not show this: that of a ring smaller than its bore is merely negative.
    """
    return any(_has_invalid_loops(skin.corners, f) for f in skin.faces) or _edge_pierces_face(skin)


def _has_invalid_loops(corners: Array, face: Face) -> bool:
    """True if the area of the outline without its holes is not the sum of the loops' signed areas."""
    from shapely import Polygon, make_valid, union_all

    flat = plane_axes(face.normal)
    loops = [corners[list(loop)] @ flat for loop in face.loops]
    areas = [signed_area(loop.tolist()) for loop in loops]
    shapes = [make_valid(Polygon(loop)) for loop in loops]
    left = shapes[0].difference(union_all(shapes[1:])) if shapes[1:] else shapes[0]
    slack = 1e-9 + 1e-9 * abs(areas[0])
    if areas[0] <= slack or abs(float(left.area) - sum(areas)) > slack:
        return True
    return any(abs(float(s.area) - abs(a)) > slack for s, a in zip(shapes, areas, strict=True))


def _edge_pierces_face(skin: Skin) -> bool:
    """True if an edge goes through the inside of a face."""
    from shapely import contains, distance, points

    corners = skin.corners
    tail = np.array([a for f in skin.faces for loop in f.loops for a in loop])
    head = np.array([b for f in skin.faces for loop in f.loops for b in (*loop[1:], loop[0])])
    tail, head = tail[tail < head], head[tail < head]
    planes = face_planes(skin)
    height = corners @ planes[:, :3].T - planes[:, 3]
    a, b = height[tail], height[head]
    crossing = (np.minimum(a, b) < -SKIN_TOUCH_TOLERANCE_MM) & (np.maximum(a, b) > SKIN_TOUCH_TOLERANCE_MM)
    for k in np.flatnonzero(crossing.any(axis=0)).tolist():
        face = skin.faces[k]
        flat = plane_axes(face.normal)
        shape = face_polygon(corners, face, flat)
        edges = np.flatnonzero(crossing[:, k])
        share = (a[edges, k] / (a[edges, k] - b[edges, k]))[:, None]
        met = corners[tail[edges]] * (1 - share) + corners[head[edges]] * share
        spots = points(met @ flat)
        if (contains(shape, spots) & (distance(shape.boundary, spots) > SKIN_TOUCH_TOLERANCE_MM)).any():
            return True
    return False
