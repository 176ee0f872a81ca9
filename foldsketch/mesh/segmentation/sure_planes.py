"""Sure planes: flat patches that cannot be strips of a round."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.vector import cross
from foldsketch.mesh.geometry.measure import grouped_bounds, row_dots, row_norms
from foldsketch.mesh.repair.clean import Body

MAX_STRIP_WIDTH_RATIO = 0.7
"""A round with strips wider than so many times body size times bend would be larger than the body."""

MIN_STRIP_COSINE = 0.965
"""Edges of a strip are parallel to within 15 degrees: strips of a cone taper."""

MIN_STRIP_EDGE_FRACTION = 0.3
"""Share of a strip's length that its bent edges cover on either side, even where its ends were cut off."""


def fit_patch_planes(body: Body, patch: Ints) -> tuple[Array, Array]:
    """Unit normal (p, 3) and a point (p, 3) of every patch: means weighted with area."""
    count = int(patch.max()) + 1
    weight = np.maximum(np.bincount(patch, weights=body.areas, minlength=count), 1e-300)
    normal, centre = np.empty((count, 3)), np.empty((count, 3))
    for k in range(3):
        x = body.corners[:, k]
        total = x[body.triangles[:, 0]] + x[body.triangles[:, 1]] + x[body.triangles[:, 2]]
        centre[:, k] = np.bincount(patch, weights=body.areas / 3 * total, minlength=count)
        normal[:, k] = np.bincount(patch, weights=body.areas * body.normals[:, k], minlength=count)
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    return normal, centre / weight[:, None]


def surely_flat_triangles(body: Body, tolerance: float, patch: Ints, smooth: Bools, bend_angle: Array) -> Bools:
    """Triangles (m,) of patches that are no strip of a round.

    Without a smooth neighbour, or with corners off two parallel lines. smooth, bend_angle: (k,) for every row of
    body.face_adjacency.
    """
    count = int(patch.max()) + 1
    one, other = patch[body.face_adjacency].T
    rows = np.flatnonzero(smooth & (one != other))
    owner, edge = np.r_[one[rows], other[rows]], np.r_[rows, rows]
    sure = np.ones(count, dtype=bool)
    sure[owner] = False
    several = np.bincount(patch, minlength=count)[owner] > 2
    if several.any():
        sure |= _wide_patches(body, tolerance, patch, owner[several], edge[several], bend_angle)
    return sure[patch]


def _wide_patches(body: Body, tolerance: float, patch: Ints, owner: Ints, edge: Ints, bend_angle: Array) -> Bools:
    """Patches (p,) with corners off two parallel lines that are no strip of a round either.

    owner, edge: patch and row of body.face_adjacency of every bent edge of the patches in question.
    """
    count = int(patch.max()) + 1
    normal, centre = fit_patch_planes(body, patch)
    ends = body.face_adjacency_edges[edge]
    span = body.corners[ends[:, 1]] - body.corners[ends[:, 0]]
    length = row_norms(span)
    longest = np.zeros(count, dtype=np.int64)
    by_length = np.lexsort((length, owner))
    longest[owner[by_length]] = by_length  # of equal owners the last one stays
    unit = span / np.maximum(length, 1e-300)[:, None]
    side = cross(normal, unit[longest])
    asked = np.zeros(count, dtype=bool)
    asked[owner] = True
    triangles = np.flatnonzero(asked[patch])
    own = np.repeat(patch[triangles], 3)
    across = row_dots(body.corners[body.triangles[triangles].ravel()] - centre[own], side[own])
    low, high = grouped_bounds(across, own, count)
    inside = grouped_bounds(np.minimum(across - low[own], high[own] - across), own, count)[1]
    with np.errstate(invalid="ignore"):  # patches that are not asked for have no bounds
        wide: Bools = inside > np.maximum(4 * tolerance, 1e-3 * (high - low))
        strip = _round_strips(body, tolerance, owner, ends, unit, unit[longest], side, centre)
        edges = np.maximum(np.bincount(owner, minlength=count), 1)
        bend = np.bincount(owner, weights=np.abs(bend_angle[edge]), minlength=count) / edges
        wide &= ~(strip & (high - low < MAX_STRIP_WIDTH_RATIO * body.size * bend))
    return wide


def _round_strips(
    body: Body, tolerance: float, owner: Ints, ends: Ints, unit: Array, along: Array, side: Array, centre: Array
) -> Bools:
    """Patches (p,) with a long bent edge on either side, both along the same line.

    Strips of a round, even where something was cut out of their ends. owner: (k,) patch of every edge; ends: (k, 2) its
    corners; unit: (k, 3) its direction; along, side: (p, 3) of every patch.
    """
    count = len(centre)
    arms = body.corners[ends] - centre[owner][:, None, :]
    offset = row_dots(arms[:, 0], side[owner])
    z = np.sort(np.einsum("ikj,ij->ik", arms, along[owner]), axis=1)
    parallel = np.abs(row_dots(unit, along[owner])) > MIN_STRIP_COSINE
    length = np.where(parallel, z[:, 1] - z[:, 0], 0.0)
    left, right = (
        np.bincount(owner, weights=np.where(beyond, length, 0.0), minlength=count)
        for beyond in (offset < -tolerance, offset > tolerance)
    )
    extent = np.maximum(grouped_bounds(z[:, 1], owner, count)[1] - grouped_bounds(z[:, 0], owner, count)[0], 1e-300)
    out: Bools = np.minimum(left, right) > MIN_STRIP_EDGE_FRACTION * extent
    return out
