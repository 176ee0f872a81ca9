"""Claim planes: flat patches that no round has, patches of one plane together."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import corners_used, row_dots, rows_by_value
from foldsketch.mesh.geometry.surface_fit import fit_plane
from foldsketch.mesh.segmentation.model import FittedSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.reject_weak import MAX_FACET_BEND_DEG
from foldsketch.mesh.segmentation.sure_planes import fit_patch_planes

MIN_LONE_TRIANGLE_FRACTION = 1e-3
"""Share of the body's area from which one triangle alone may be a plane."""

MAX_ROUGH_GAP_MM = 0.1
"""Patches of one direction whose planes are this near are compared exactly."""


def claim_planes(grower: RegionGrower) -> None:
    """Claim the free flat patches, the largest first; lone small triangles and facets of a curved surface stay free."""
    body, edges = grower.body, grower.edge_classes
    free = np.flatnonzero((grower.owner < 0) & (body.areas > 0))
    normal, centre = fit_patch_planes(body, edges.patch)
    patches, patch = np.unique(edges.patch[free], return_inverse=True)
    normal, centre = normal[patches], centre[patches]
    area = np.bincount(patch, weights=body.areas[free])
    sure = np.zeros(len(patches), dtype=bool)
    sure[patch[edges.surely_flat[free]]] = True
    large = (np.bincount(patch) >= 2) | (area > MIN_LONE_TRIANGLE_FRACTION * body.area)
    left = sure | (large & ~_continues_smoothly(grower, free, patch, len(patches)))
    asked = np.flatnonzero(left[patch])
    pieces = {int(patch[rows[0]]): free[rows] for rows in (asked[k] for k in rows_by_value(patch[asked]))}
    order = np.argsort(-area)
    order = order[left[order]]
    normal, centre = normal[order], centre[order]
    height = row_dots(normal, centre)
    waits = np.ones(len(order), dtype=bool)
    for i in range(len(order)):
        if not waits[i]:
            continue
        same = np.flatnonzero(waits & (normal @ normal[i] > 1 - 1e-8) & (np.abs(height - height[i]) < MAX_ROUGH_GAP_MM))
        same = np.union1d(same[np.abs((centre[same] - centre[i]) @ normal[i]) <= 3 * grower.tolerance], i)
        waits[same] = False
        mine = np.concatenate([pieces[k] for k in np.sort(order[same]).tolist()])
        grower.claim(_plane_of(grower, mine, normal[i], centre[i]))


def _plane_of(grower: RegionGrower, triangles: Ints, normal: Array, centre: Array) -> FittedSurface:
    """The plane of triangles, facing along a normal; the plane through centre where no fitted one holds its corners."""
    body = grower.body
    corners = body.corners[corners_used(len(body.corners), body.triangles[triangles])]
    shape = fit_plane(corners)
    if shape.direction @ normal < 0:
        shape = shape.reversed()
    if len(corners) < 4 or np.abs(shape.distance(corners)).max() > 4 * grower.tolerance:
        shape = AnalyticSurface("plane", centre, normal)
    misfit = np.abs(shape.distance(corners))
    rms = float(np.sqrt((misfit**2).mean()))
    return FittedSurface(shape, triangles, misfit_max=float(misfit.max()), misfit_rms=rms)


def _continues_smoothly(grower: RegionGrower, free: Ints, patch: Ints, count: int) -> Bools:
    """Patches that continue smoothly into another free patch: facets of a surface that is not recognised.

    patch: (n,) number, below count, of the patch of every free triangle.
    """
    edges = grower.edge_classes
    number = np.full(len(grower.owner), -1, dtype=np.int64)
    number[free] = patch
    for _, triangles in grower.polygons:
        number[triangles] = -1
    one, other = number[grower.body.face_adjacency].T
    rows = (one >= 0) & (other >= 0) & (one != other) & edges.smooth
    rows &= np.abs(edges.bend_angle) < np.radians(MAX_FACET_BEND_DEG)
    rows &= ~edges.surely_flat[grower.body.face_adjacency].any(axis=1)
    out = np.zeros(count, dtype=bool)
    out[one[rows]] = True
    out[other[rows]] = True
    return out
