"""Decimate: edges of a mesh are collapsed until few flat panels are left that enclose a space."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.flat_panels import Panels, merge_into_panels, triangulate
from foldsketch.mesh.geometry.measure import row_dots, row_norms, triangle_cross_products
from foldsketch.mesh.geometry.self_intersection import count_self_intersections
from foldsketch.mesh.panels import messages
from foldsketch.mesh.repair.mesh_repair import MeshEdges, find_mesh_edges

MAX_ATTEMPTS = 14

AGGRESSION = (7, 7, 8, 6)
"""How boldly edges are collapsed (fast-simplification's scale of 0 to 10), attempt by attempt in turn."""

MIN_PANELS_FRACTION = 0.9
"""Share of the panels allowed that a result must have, or it is tried once more with more triangles."""

MAX_COPLANAR_RATIO, MAX_SNAP_RATIO = 1e-6, 1e-4
"""Corners are on one plane within the first, and are moved onto it by no more than the second, over the size."""


def decimate(where: str, corners: Array, triangles: Ints, panels: int) -> Panels:
    """At most so many flat panels, as many as are found (fast-simplification, by quadric error).

    A result that is not closed or runs through itself is tried again with another number of triangles. Raises
    FoldsketchError when none is left.
    """
    size = float(np.ptp(corners, axis=0).max())
    best: Panels | None = None
    crossing = 0
    goal = panels
    for attempt in range(MAX_ATTEMPTS):
        points, faces = _collapse(where, corners, triangles, goal, AGGRESSION[attempt % len(AGGRESSION)])
        edges = find_mesh_edges(faces, len(points))
        if not _is_closed(edges):
            goal = max(int(goal * (0.97 if attempt % 2 else 1.02)), 4)
            continue
        label = label_components(_coplanar_pairs(points, faces, edges, MAX_COPLANAR_RATIO * size), len(faces))
        found = merge_into_panels(points, faces, label, MAX_SNAP_RATIO * size)
        count = len(found[1])
        if count <= panels and (best is None or count > len(best[1])):
            if count_self_intersections(found[0], triangulate(*found)):
                crossing += 1
            else:
                best = found
        if best is not None and (len(best[1]) > MIN_PANELS_FRACTION * panels or goal >= len(triangles)):
            break
        goal = max(min(int(goal * panels / max(count, 1)) - attempt, len(triangles)), 4)
    if best is None:
        raise (messages.ALL_CROSS if crossing else messages.NONE_FOUND).error(where, count=panels)
    return best


def _collapse(where: str, corners: Array, triangles: Ints, goal: int, aggression: int) -> tuple[Array, Ints]:
    """Corners and triangles with edges collapsed until about so many triangles are left."""
    if goal >= len(triangles):
        return corners, triangles
    try:
        from fast_simplification import simplify as collapse  # type: ignore[import-untyped, unused-ignore]
    except ImportError as why:
        raise messages.LIBRARY_MISSING.error(where) from why
    points, faces = collapse(corners, triangles.astype(np.int32), target_count=int(goal), agg=aggression)
    return np.asarray(points, dtype=np.float64), np.asarray(faces, dtype=np.int64)


def _is_closed(edges: MeshEdges) -> bool:
    """Whether every edge is in exactly two triangles, once each way."""
    alone = len(edges.open_edges) == 0 and edges.nonmanifold_count == 0
    return alone and len(edges.is_consistent) > 0 and bool(edges.is_consistent.all())


def _coplanar_pairs(points: Array, faces: Ints, edges: MeshEdges, slack: float) -> Ints:
    """Neighbouring triangles (k, 2) whose corners are on one plane within slack mm."""
    pairs = edges.face_adjacency
    _, cross = triangle_cross_products(points, faces)
    normal = cross / np.maximum(row_norms(cross), 1e-300)[:, None]
    off = np.zeros(len(pairs))
    for one, other in (pairs.T, pairs.T[::-1]):
        p = points[faces[other]] - points[faces[one, :1]]
        off = np.maximum(off, np.abs(np.einsum("ikj,ij->ik", p, normal[one])).max(axis=1))
    out: Ints = pairs[(off <= slack) & (row_dots(normal[pairs[:, 0]], normal[pairs[:, 1]]) > 0.999)]
    return out
