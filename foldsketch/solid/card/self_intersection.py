"""Pierced: does a skin whose corners were moved still enclose a body, or do its walls go through each other."""

from __future__ import annotations

import numpy as np

from foldsketch.solid.faceting.prism import Array, Face
from foldsketch.solid.joining.skin import Skin, plane_axes

SKIN_TOUCH_TOLERANCE_MM = 1e-7
"""Nearer than this, mm, is touching."""


def skin_self_intersects(skin: Skin) -> bool:
    """True when a face's openings leave its outline, a loop crosses itself, or an edge goes through a face.

    The volume does not tell: a ring whose outside lies within its bore has one that merely is negative.
    """
    return any(_has_invalid_loops(skin.corners, f) for f in skin.faces) or _edge_pierces_face(skin)


def _loops_in_plane(corners: Array, face: Face) -> list[Array]:
    """The face's loops (n, 2) in a frame of its own; the outer one runs anticlockwise."""
    frame = np.column_stack(plane_axes(face.normal))
    return [corners[list(loop)] @ frame for loop in face.loops]


def _has_invalid_loops(corners: Array, face: Face) -> bool:
    """True when what the loops enclose is not what is left of the outer one without the others."""
    from shapely import Polygon, make_valid, union_all

    loops = _loops_in_plane(corners, face)
    areas = [float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 for x, y in (loop.T for loop in loops)]
    shapes = [make_valid(Polygon(loop)) for loop in loops]
    left = shapes[0].difference(union_all(shapes[1:])) if shapes[1:] else shapes[0]
    slack = 1e-9 + 1e-9 * abs(areas[0])
    if areas[0] <= slack or abs(float(left.area) - sum(areas)) > slack:
        return True
    return any(abs(float(s.area) - abs(a)) > slack for s, a in zip(shapes, areas, strict=True))


def _edge_pierces_face(skin: Skin) -> bool:
    """True when an edge goes through the inside of a face."""
    from shapely import Point, Polygon

    corners = skin.corners
    tail = np.array([a for f in skin.faces for loop in f.loops for a in loop])
    head = np.array([b for f in skin.faces for loop in f.loops for b in (*loop[1:], loop[0])])
    tail, head = tail[tail < head], head[tail < head]
    normals = np.array([f.normal for f in skin.faces])
    level = np.array([float(f.normal @ corners[f.loops[0][0]]) for f in skin.faces])
    height = corners @ normals.T - level
    a, b = height[tail], height[head]
    crossing = (np.minimum(a, b) < -SKIN_TOUCH_TOLERANCE_MM) & (np.maximum(a, b) > SKIN_TOUCH_TOLERANCE_MM)
    for k in np.flatnonzero(crossing.any(axis=0)).tolist():
        face = skin.faces[k]
        outer, *holes = _loops_in_plane(corners, face)
        shape = Polygon(outer, holes)
        edges = np.flatnonzero(crossing[:, k])
        share = (a[edges, k] / (a[edges, k] - b[edges, k]))[:, None]
        met = corners[tail[edges]] * (1 - share) + corners[head[edges]] * share
        for x, y in (met @ np.column_stack(plane_axes(face.normal))).tolist():
            spot = Point(x, y)
            if shape.contains(spot) and shape.boundary.distance(spot) > SKIN_TOUCH_TOLERANCE_MM:
                return True
    return False
