"""Doubt: partial rounds that only touch a free-form wall are given up again; what is no circle is no cylinder."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.mesh.geometry.analytic_surface import perpendicular_axes
from foldsketch.mesh.geometry.circle_fit import fit_ellipse
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_norms
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MIN_ROUGH_TOLERANCE_RATIO = 1e-5
"""Reach over size of a mesh with few decimals or with noise."""

MIN_PARTIAL_CYLINDER_AREA_FRACTION = 6e-4
"""Share of the surface below which a partial cylinder on such a mesh is not believed."""


def reject_weak_fits(grower: RegionGrower) -> None:
    """Free the triangles of partial rounds that run on smoothly into surface that nobody has, in turns; and of walls
    of several arcs that one ellipse fits as well."""
    _absorb_small_fits(grower)
    _reject_small_cylinders(grower)
    for _ in range(8):
        doubtful = _fits_beside_unclaimed(grower)
        if not doubtful:
            break
        for k in doubtful:
            grower.owner[grower.surfaces[k].triangles] = -1
    _reject_ellipse_arcs(grower)
    alive = [k for k, f in enumerate(grower.surfaces) if (grower.owner[f.triangles] == k).any()]
    new = np.full(len(grower.surfaces) + 1, -1, dtype=np.int64)
    new[alive] = np.arange(len(alive))
    grower.owner = new[grower.owner]
    grower.surfaces = [grower.surfaces[k] for k in alive]


def _absorb_small_fits(grower: RegionGrower) -> None:
    """Small bits of round that lie on a large one beside them, to within the rounding, belong to it."""
    body = grower.body
    area = np.array([body.areas[f.triangles].sum() for f in grower.surfaces])
    order = np.argsort(-area)
    for k in order[::-1].tolist():
        bit = grower.surfaces[k]
        if bit.shape.kind == "plane" or bit.covered_degrees > 200:
            continue
        points = grower.fit_points(bit.triangles)
        for j in np.unique(grower.owner[grower.adjacent_triangles(bit.triangles)]).tolist():
            if j < 0 or j == k or area[j] < 3 * area[k] or grower.surfaces[j].shape.kind == "plane":
                continue
            big = grower.surfaces[j]
            if big.inner == bit.inner and np.abs(big.shape.distance(points)).max() < 2.5 * grower.tolerance:
                grower.owner[bit.triangles] = j
                grower.surfaces[j] = replace(big, triangles=np.concatenate((big.triangles, bit.triangles)))
                grower.surfaces[k] = replace(bit, triangles=bit.triangles[:0])
                area[j] += area[k]
                break


def _reject_small_cylinders(grower: RegionGrower) -> None:
    """On a rough mesh a small bit of a round may be no more than a few corners that happen to lie on one."""
    body = grower.body
    if grower.tolerance < MIN_ROUGH_TOLERANCE_RATIO * body.size:
        return
    for f in grower.surfaces:
        little = (
            f.shape.kind == "cylinder"
            and f.covered_degrees < 180
            and body.areas[f.triangles].sum() < MIN_PARTIAL_CYLINDER_AREA_FRACTION * body.area
        )
        if little:
            grower.owner[f.triangles] = -1


def _fits_beside_unclaimed(grower: RegionGrower) -> list[int]:
    body, facets = grower.body, grower.edge_classes
    one, other = grower.owner[body.face_adjacency[:, 0]], grower.owner[body.face_adjacency[:, 1]]
    span = body.corners[body.face_adjacency_edges[:, 1]] - body.corners[body.face_adjacency_edges[:, 0]]
    length = row_norms(span)
    count = len(grower.surfaces)
    border = one != other
    loose = border & facets.smooth & (np.abs(facets.bend_angle) < np.radians(31))
    free = np.zeros(count)
    smooth = np.zeros(count)
    for a, b in ((one, other), (other, one)):
        rows = loose & (a >= 0)
        smooth += np.bincount(a[rows], weights=length[rows], minlength=count)
        rows &= b < 0
        free += np.bincount(a[rows], weights=length[rows], minlength=count)
    out = []
    for k, f in enumerate(grower.surfaces):
        if f.shape.kind in ("plane", "sphere") or f.covered_degrees > 200 or not (grower.owner[f.triangles] == k).any():
            continue
        if free[k] > 0.2 * smooth[k] and free[k] > 0:
            out.append(k)
    return out


def _reject_ellipse_arcs(grower: RegionGrower) -> None:
    """Three or more parallel partial cylinders that hang together and lie on one ellipse."""
    body = grower.body
    partial = [k for k, f in enumerate(grower.surfaces) if f.shape.kind == "cylinder" and f.covered_degrees < 200]
    partial = [k for k in partial if (grower.owner[grower.surfaces[k].triangles] == k).any()]
    if len(partial) < 3:
        return
    number = np.full(len(grower.surfaces) + 1, -1, dtype=np.int64)
    number[partial] = np.arange(len(partial))
    pairs = number[grower.owner[body.face_adjacency]]
    link = pairs[(pairs >= 0).all(axis=1) & (pairs[:, 0] != pairs[:, 1])]
    group = label_components(link, len(partial))
    for g in range(int(group.max()) + 1):
        mine = [partial[i] for i in np.flatnonzero(group == g)]
        direction = grower.surfaces[mine[0]].shape.direction
        if len(mine) < 3 or any(abs(float(grower.surfaces[k].shape.direction @ direction)) < 0.999 for k in mine):
            continue
        u, v = perpendicular_axes(direction)
        points = body.corners[np.unique(body.triangles[np.concatenate([grower.surfaces[k].triangles for k in mine])])]
        axes = fit_ellipse(np.column_stack((points @ u, points @ v)))
        if axes is not None and axes[2] < 2.5 * grower.tolerance and axes[0] - axes[1] > 4 * grower.tolerance:
            for k in mine:
                grower.owner[grower.surfaces[k].triangles] = -1
