"""Border growth: what a surface takes along its border once it is found, and corners that are on no surface.

Where solids made of flat-sided rounds were cut, new corners are on the flat sides and not on the round.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.base.arrays import Ints
from foldsketch.mesh.geometry.measure import row_dots
from foldsketch.mesh.segmentation.angular_coverage import angular_coverage, degrees_covered, triangle_centroids
from foldsketch.mesh.segmentation.model import FittedSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MAX_RINGS = 64
"""Rings of triangles that a surface takes along its border, one after another."""

MAX_SPAN_RATIO = 1.6
"""Angle of a triangle over that of the surface's facets above which it is a flat beside the round."""


def absorb_border(grower: RegionGrower, number: int) -> None:
    """Let a surface take the free triangles along its border that are on it."""
    surface = grower.surfaces[number]
    taken = [surface.triangles]
    edge = surface.triangles
    for _ in range(MAX_RINGS):
        ring = grower.unclaimed(grower.adjacent_triangles(edge))
        edge = _next_ring(grower, surface, ring) if len(ring) else ring
        if len(edge) == 0:
            break
        grower.owner[edge] = number
        taken.append(edge)
    if len(taken) > 1:
        mine = np.concatenate(taken)
        covered = degrees_covered(surface.shape, grower.body, mine) if surface.shape.kind != "plane" else 0.0
        grower.surfaces[number] = replace(surface, triangles=mine, covered_degrees=covered)


def _next_ring(grower: RegionGrower, surface: FittedSurface, ring: Ints) -> Ints:
    """Those of a ring of triangles that are on a surface; of a cylinder, also those in its flat sides."""
    shape, body = surface.shape, grower.body
    on = grower.triangles_on(shape, ring, grower.tolerance)
    if shape.kind == "cylinder":
        flat = np.setdiff1d(_on_chord_faces(grower, surface, ring), on)
        if len(flat):
            grower.mark_off_surface(flat)
            on = np.union1d(on, flat)
    if shape.kind in ("cylinder", "cone") and len(on):
        spans = angular_coverage(shape, body.corners, body.triangles[on], body.areas[on])[0]
        on = on[spans <= MAX_SPAN_RATIO * 2 * np.pi / max(surface.sides, 1e-9)]
    return on


def _on_chord_faces(grower: RegionGrower, surface: FittedSurface, ring: Ints) -> Ints:
    """Those of triangles that are in flat sides of a cylinder: their corners no deeper than its chords."""
    shape, body, tolerance = surface.shape, grower.body, grower.tolerance
    half_side = np.pi / max(surface.sides, 3.0)
    deepest = shape.radius * (1 - np.cos(half_side)) * 1.02 + tolerance
    off = shape.distance(body.corners[body.triangles[ring]].reshape(-1, 3)).reshape(-1, 3)
    along_axis = np.abs(body.normals[ring] @ shape.direction) < 1e-3
    facing = np.abs(row_dots(shape.normal(triangle_centroids(body, ring)), body.normals[ring]))
    inside = (off <= tolerance).all(axis=1) & (off >= -deepest).all(axis=1)
    out: Ints = ring[along_axis & inside & (facing > np.cos(1.2 * half_side))]
    return out


def mark_off_surface_corners(grower: RegionGrower, pool: Ints) -> bool:
    """Mark the corners of a region that are on none of its bent edges. Returns whether there are any, but not all."""
    body, edges = grower.body, grower.edge_classes
    inside = np.zeros(len(grower.owner), dtype=bool)
    inside[pool] = True
    bent = edges.smooth & ~edges.flat & inside[body.face_adjacency].all(axis=1)
    on_bend = np.zeros(len(body.corners), dtype=bool)
    on_bend[body.face_adjacency_edges[bent].ravel()] = True
    off = ~on_bend[body.triangles[pool]]
    if not off.any() or off.all():
        return False
    grower.mark_off_surface(pool, off)
    return True
