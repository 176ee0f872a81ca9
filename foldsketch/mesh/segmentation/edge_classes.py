"""Edge classes: how the triangles of a body meet: flat, smoothly bent, or at a sharp edge; and their flat patches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import grouped_bounds, row_dots
from foldsketch.mesh.repair.clean import Body
from foldsketch.mesh.segmentation.sure_planes import fit_patch_planes, surely_flat_triangles

MIN_SMOOTH_COSINE = np.cos(np.radians(50.0))
"""Facets of one round may meet at up to 50 degrees: an eight-sided mesh of a cylinder turns 45 at each edge."""

GRAIN_FACTORS = (4.0, 16.0)
"""Times the tolerance that are tried where corners may be off by more than their last digit."""

MIN_BENT_PATCH, MIN_PLANE_TRIANGLES = 24, 12
"""Triangles of a bent patch in which planes are looked for, and of such a plane."""

MAX_BENT_PATCHES, MAX_PLANES_OF_PATCH = 40, 4
"""Bent patches that are looked at, the largest first, and planes in each."""


@dataclass(frozen=True, slots=True, eq=False)
class EdgeClasses:
    """What is known of a body's triangles before any surface is looked for.

    tolerance: mm that a corner may be off its surface; flat, smooth: (k,) for every row of body.face_adjacency;
    bend_angle: (k,) radians between the two triangles, + on an outer edge; patch: (m,) number of the flat patch of
    every triangle; surely_flat: (m,) true for triangles of patches that can only be planes; nearly_flat: share
    of the edges that are flat only within so many times the tolerance as GRAIN_FACTORS says.
    """

    body: Body
    tolerance: float
    flat: Bools
    smooth: Bools
    bend_angle: Array
    patch: Ints
    surely_flat: Bools
    nearly_flat: tuple[float, ...]


def surface_tolerance(body: Body) -> float:
    """How far rounding may take a corner off its surface, with a margin, mm."""
    return 1.3 * body.resolution + 3e-8 * body.size


def classify_edges(body: Body, tolerance: float) -> EdgeClasses:
    """Flat and smooth edges, flat patches, and which of these are planes beyond doubt."""
    corners, triangles = body.corners, body.triangles
    one, other = body.face_adjacency.T
    start, end = body.face_adjacency_edges.T
    base = np.take(corners, start, axis=0)
    total = triangles[:, 0] + triangles[:, 1] + triangles[:, 2]  # less both ends of an edge: the corner across from it
    n1, n2 = np.take(body.normals, one, axis=0), np.take(body.normals, other, axis=0)
    rise = row_dots(np.take(corners, total[other] - start - end, axis=0) - base, n1)
    fall = row_dots(np.take(corners, total[one] - start - end, axis=0) - base, n2)
    cosine = row_dots(n1, n2)
    a1, a2 = body.areas[one], body.areas[other]
    ratio = np.maximum(a1, a2) / np.maximum(np.minimum(a1, a2), 1e-300)
    slack = tolerance * (1 + np.minimum(ratio, 1e3))
    sliver = (a1 == 0) | (a2 == 0)
    off = np.maximum(np.abs(rise), np.abs(fall))
    straight = (cosine > 0.9) & ~sliver
    flat = (off <= slack) & straight
    more = (np.count_nonzero((off <= k * slack) & straight & ~flat) for k in GRAIN_FACTORS)
    nearly = tuple(n / max(len(flat), 1) for n in more)
    bend = np.arccos(np.clip(cosine, -1, 1)) * np.where(rise + fall > 0, -1.0, 1.0)
    smooth = (cosine > MIN_SMOOTH_COSINE) & ~sliver
    patch = label_components(body.face_adjacency[flat], len(triangles))
    patch, flat = _split_bent_patches(body, tolerance, patch, flat)
    sure = surely_flat_triangles(body, tolerance, patch, smooth, bend)
    return EdgeClasses(body, tolerance, flat, smooth, bend, patch, sure, nearly)


def _split_bent_patches(body: Body, tolerance: float, patch: Ints, flat: Bools) -> tuple[Ints, Bools]:
    """Take apart chains of nearly flat pairs that as a whole are not flat (a fine mesh of a round)."""
    size = np.bincount(patch)
    several = np.flatnonzero(size[patch] > 2)
    if len(several) == 0:
        return patch, flat
    normal, centre = fit_patch_planes(body, patch)
    own = patch[several]
    off = np.zeros(len(several))
    for k in range(3):
        v = np.take(body.corners, body.triangles[several, k], axis=0) - centre[own]
        off = np.maximum(off, np.abs(row_dots(v, normal[own])))
    bent = grouped_bounds(off, own, len(size))[1] > 3 * tolerance
    if not bent.any():
        return patch, flat
    core = np.where(bent[patch], -1, 0)
    area = np.bincount(patch, weights=body.areas)
    large = np.flatnonzero(bent & (size >= MIN_BENT_PATCH))
    number = 0
    for k in large[np.argsort(-area[large])][:MAX_BENT_PATCHES].tolist():
        left = np.flatnonzero(patch == k)
        for _ in range(MAX_PLANES_OF_PATCH):
            mine = _dominant_plane_triangles(body, left, tolerance)
            if len(mine) < MIN_PLANE_TRIANGLES or body.areas[mine].sum() < 0.05 * area[k]:
                break
            number += 1
            core[mine] = number
            left = np.setdiff1d(left, mine)
    one, other = core[body.face_adjacency].T
    flat = flat & (one == other) & (one >= 0)
    return label_components(body.face_adjacency[flat], len(body.triangles)), flat


def _dominant_plane_triangles(body: Body, triangles: Ints, tolerance: float) -> Ints:
    """The triangles on the plane that most of a nearly flat chain is on; none where they are too few."""
    if len(triangles) < MIN_PLANE_TRIANGLES:
        return triangles[:0]
    weight, normals = body.areas[triangles], body.normals[triangles]
    corners = body.corners[body.triangles[triangles]]
    n = normals[np.argmax(weight)]
    for width in (0.5, 0.25, 0.12, 0.06):  # a weighted mean of the normals, ever nearer to the one that most have
        near = np.exp(-np.maximum(0.0, 1 - normals @ n) / width**2) * weight
        n = near @ normals
        n = n / max(float(np.linalg.norm(n)), 1e-300)
    height = corners.mean(axis=1) @ n
    order = np.argsort(height)
    total = np.cumsum(near[order])
    level = float(height[order][np.searchsorted(total, total[-1] / 2)])
    on = np.zeros(len(triangles), dtype=bool)
    for slack in (6 * tolerance, 3 * tolerance, 1.6 * tolerance, 1.6 * tolerance):
        on = (np.abs(corners @ n - level) <= slack).all(axis=1)
        if on.sum() < MIN_PLANE_TRIANGLES:
            return triangles[:0]
        points = corners[on].reshape(-1, 3)
        middle = points.mean(axis=0)
        _, axes = np.linalg.eigh((points - middle).T @ (points - middle))
        n = axes[:, 0] * (1.0 if axes[:, 0] @ n > 0 else -1.0)
        level = float(middle @ n)
    return triangles[on]
