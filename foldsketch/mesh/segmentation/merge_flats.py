"""Merge flats: a mesh whose facets were split again gets back the facets that it had: fewer corners, the same shape.

Where a mesh was subdivided, corners lie in the middle of its facets and of their sides: on the chords of a round and
not on the round. A facet without them is what the exporter wrote.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.flat_panels import facet_loops, triangulate
from foldsketch.mesh.geometry.measure import labels_at_corners, reindex_corners, signed_volume, triangle_areas
from foldsketch.mesh.repair.clean import Body, normals_and_areas
from foldsketch.mesh.repair.mesh_repair import find_mesh_edges
from foldsketch.mesh.segmentation.edge_classes import EdgeClasses

MIN_SPARE_SHARE, MIN_CHORD_SHARE = 0.1, 0.1
"""Share of corners where at most two facets meet, and of those amid a smooth bend, in a mesh that was split again."""

MAX_CHANGE_RATIO = 1e-6
"""Share of volume and area by which merging may change a body: anything more and it is left as it is."""


def merge_flats(edges: EdgeClasses) -> Body | None:
    """The body with one facet for every flat patch, or None where that leaves most of it as it is, or changes it."""
    body = edges.body
    if not body.watertight or spare_corner_share(edges) < MIN_SPARE_SHARE:
        return None
    try:
        triangles = triangulate(body.corners, facet_loops(body.corners, body.triangles, edges.patch))
    except (KeyError, ValueError):  # a facet that is no polygon: left alone
        return None
    found = find_mesh_edges(triangles, len(body.corners))
    if len(found.open_edges) or found.nonmanifold_count or not _same(body, triangles):
        return None
    used, local = reindex_corners(len(body.corners), triangles)
    corners: Array = body.corners[used]
    own = find_mesh_edges(local, len(used))
    normals, areas, _ = normals_and_areas(corners, local, body.resolution)
    return replace(
        body,
        corners=corners,
        triangles=local,
        normals=normals,
        areas=areas,
        face_adjacency=own.face_adjacency,
        face_adjacency_edges=own.face_adjacency_edges,
    )


def spare_corner_share(edges: EdgeClasses) -> float:
    """Share of the corners where at most two flat patches meet."""
    meeting = labels_at_corners(edges.body.triangles, edges.patch, len(edges.body.corners))
    return float((meeting <= 2).mean())


def has_corners_on_chords(edges: EdgeClasses) -> bool:
    """Whether many corners are on a smoothly bent edge between two facets and at the end of no other edge."""
    ends, count = edges.body.face_adjacency_edges, len(edges.body.corners)
    bent = np.bincount(ends[edges.smooth & ~edges.flat].ravel(), minlength=count)
    sharp = np.bincount(ends[~edges.smooth].ravel(), minlength=count)
    return bool(((bent == 2) & (sharp == 0)).mean() > MIN_CHORD_SHARE)


def _same(body: Body, triangles: Ints) -> bool:
    """Whether triangles (m, 3) on a body's corners enclose what it does."""
    volume, area = signed_volume(body.corners, triangles), float(triangle_areas(body.corners, triangles).sum())
    same_volume = abs(volume - body.volume) <= MAX_CHANGE_RATIO * abs(body.volume)
    return same_volume and abs(area - body.area) <= MAX_CHANGE_RATIO * body.area
