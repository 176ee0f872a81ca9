"""Reject weak fits: partial rounds that only touch a free-form wall, and arcs that together are an ellipse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import perpendicular_axes
from foldsketch.mesh.geometry.circle_fit import fit_ellipse
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_norms, rows_by_value
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MIN_ROUGH_TOLERANCE_RATIO = 1e-5
"""Tolerance over size of a mesh with few decimals or with noise."""

MIN_PARTIAL_CYLINDER_AREA_FRACTION = 6e-4
"""Share of the surface below which a partial cylinder on such a mesh is not believed."""

MAX_PARTIAL_DEGREES = 200.0
"""Up to this much of a turn a round is partial, and may be part of something else."""

MAX_FACET_BEND_DEG = 31.0
"""Facets of one curved surface meet at up to this angle."""

MIN_FREE_BORDER_FRACTION = 0.2
"""Share of a round's smooth border that must be free-form for the round to be rejected."""


def reject_weak_fits(grower: RegionGrower) -> None:
    """Free the triangles of partial rounds that continue smoothly into surface that nobody has, in turns.

    And of walls of several arcs that one ellipse fits as well.
    """
    _absorb_small_fits(grower)
    _reject_small_cylinders(grower)
    for _ in range(8):
        doubtful = _fits_beside_unclaimed(grower)
        if not doubtful:
            break
        for k in doubtful:
            grower.owner[grower.surfaces[k].triangles] = -1
    _reject_ellipse_arcs(grower)
    alive = [k for k in range(len(grower.surfaces)) if _is_alive(grower, k)]
    new = np.full(len(grower.surfaces) + 1, -1, dtype=np.int64)
    new[alive] = np.arange(len(alive))
    grower.owner = new[grower.owner]
    grower.surfaces = [grower.surfaces[k] for k in alive]


def _is_alive(grower: RegionGrower, k: int) -> bool:
    """Whether a surface still has any triangles."""
    return bool((grower.owner[grower.surfaces[k].triangles] == k).any())


def _absorb_small_fits(grower: RegionGrower) -> None:
    """Small bits of round that are on a large one beside them, to within the rounding, belong to it."""
    area = np.array([grower.area_of(f.triangles) for f in grower.surfaces])
    for k in np.argsort(-area)[::-1].tolist():
        bit = grower.surfaces[k]
        if bit.shape.kind == "plane" or bit.covered_degrees > MAX_PARTIAL_DEGREES:
            continue
        points = grower.fit_points(bit.triangles)
        for j in np.unique(grower.owner[grower.adjacent_triangles(bit.triangles)]).tolist():
            big = grower.surfaces[j]
            if j in (-1, k) or area[j] < 3 * area[k] or big.shape.kind == "plane" or big.inner != bit.inner:
                continue
            if np.abs(big.shape.distance(points)).max() < 2.5 * grower.tolerance:
                grower.owner[bit.triangles] = j
                grower.surfaces[j] = replace(big, triangles=np.concatenate((big.triangles, bit.triangles)))
                grower.surfaces[k] = replace(bit, triangles=bit.triangles[:0])
                area[j] += area[k]
                break


def _reject_small_cylinders(grower: RegionGrower) -> None:
    """On a rough mesh a small bit of a round may be no more than a few corners that happen to be on one."""
    if grower.tolerance < MIN_ROUGH_TOLERANCE_RATIO * grower.body.size:
        return
    least = MIN_PARTIAL_CYLINDER_AREA_FRACTION * grower.body.area
    for f in grower.surfaces:
        if f.shape.kind == "cylinder" and f.covered_degrees < 180 and grower.area_of(f.triangles) < least:
            grower.owner[f.triangles] = -1


def _fits_beside_unclaimed(grower: RegionGrower) -> list[int]:
    """Partial rounds of whose smooth borders a good part is against free surface."""
    body, edges = grower.body, grower.edge_classes
    one, other = grower.owner[body.face_adjacency].T
    length = row_norms(np.diff(body.corners[body.face_adjacency_edges], axis=1)[:, 0])
    smooth_border = (one != other) & edges.smooth & (np.abs(edges.bend_angle) < np.radians(MAX_FACET_BEND_DEG))
    count = len(grower.surfaces)
    free, smooth = np.zeros(count), np.zeros(count)
    for a, b in ((one, other), (other, one)):
        rows = smooth_border & (a >= 0)
        smooth += np.bincount(a[rows], weights=length[rows], minlength=count)
        rows &= b < 0
        free += np.bincount(a[rows], weights=length[rows], minlength=count)
    return [
        k
        for k, f in enumerate(grower.surfaces)
        if free[k] > MIN_FREE_BORDER_FRACTION * smooth[k]
        and f.shape.kind not in ("plane", "sphere")
        and f.covered_degrees <= MAX_PARTIAL_DEGREES
        and _is_alive(grower, k)
    ]


def _reject_ellipse_arcs(grower: RegionGrower) -> None:
    """Three or more parallel partial cylinders that are connected and on one ellipse."""
    partial = [
        k
        for k, f in enumerate(grower.surfaces)
        if f.shape.kind == "cylinder" and f.covered_degrees < MAX_PARTIAL_DEGREES and _is_alive(grower, k)
    ]
    if len(partial) < 3:
        return
    number = np.full(len(grower.surfaces) + 1, -1, dtype=np.int64)
    number[partial] = np.arange(len(partial))
    pairs = number[grower.owner[grower.body.face_adjacency]]
    links = pairs[(pairs >= 0).all(axis=1) & (pairs[:, 0] != pairs[:, 1])]
    for group in rows_by_value(label_components(links, len(partial))):
        arcs = [grower.surfaces[partial[i]] for i in group.tolist()]
        direction = arcs[0].shape.direction
        parallel = all(abs(float(f.shape.direction @ direction)) >= 0.999 for f in arcs)
        triangles = np.concatenate([f.triangles for f in arcs])
        if len(arcs) >= 3 and parallel and _is_ellipse(grower, triangles, direction):
            for f in arcs:
                grower.owner[f.triangles] = -1


def _is_ellipse(grower: RegionGrower, triangles: Ints, direction: Array) -> bool:
    """Whether the corners of triangles, seen along a direction, are on one ellipse that is no circle."""
    u, v = perpendicular_axes(direction)
    points = grower.body.corners[np.unique(grower.body.triangles[triangles])]
    axes = fit_ellipse(np.column_stack((points @ u, points @ v)))
    tolerance = grower.tolerance
    return axes is not None and axes[2] < 2.5 * tolerance and axes[0] - axes[1] > 4 * tolerance
