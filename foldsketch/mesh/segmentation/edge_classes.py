"""Facets: how the triangles of a body meet — flat with their neighbours, smoothly bent, or at a sharp edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_dots, row_norms
from foldsketch.mesh.repair.clean import Body

MIN_SMOOTH_COSINE = np.cos(np.radians(50.0))
"""Facets of one round may meet at up to 50 degrees: an eight-sided mesh of a cylinder turns 45 at each edge."""


@dataclass(frozen=True, slots=True, eq=False)
class EdgeClasses:
    """What is known of a body's triangles before any surface is sought.

    tolerance: mm that a corner may be off its surface; flat, smooth: (k,) for every row of body.face_adjacency;
    bend_angle: (k,) radians between the two triangles, + on an outer edge; patch: (m,) number of the flat patch of
    every triangle; surely_flat: (m,) true for triangles of patches that can only be planes.
    """

    body: Body
    tolerance: float
    flat: Bools
    smooth: Bools
    bend_angle: Array
    patch: Ints
    surely_flat: Bools


def surface_tolerance(body: Body) -> float:
    """How far rounding may take a corner off its surface, with a margin, mm."""
    return 1.3 * body.resolution + 3e-8 * body.size


def classify_edges(body: Body, tolerance: float) -> EdgeClasses:
    """Flat and smooth pairs, flat patches, and which of them are planes beyond doubt."""
    corners, triangles, normals = body.corners, body.triangles, body.normals
    one, other = body.face_adjacency[:, 0], body.face_adjacency[:, 1]
    total = triangles[:, 0] + triangles[:, 1] + triangles[:, 2]
    ends = body.face_adjacency_edges[:, 0] + body.face_adjacency_edges[:, 1]
    base = np.take(corners, body.face_adjacency_edges[:, 0], axis=0)
    n1, n2 = np.take(normals, one, axis=0), np.take(normals, other, axis=0)
    rise = row_dots(np.take(corners, total[other] - ends, axis=0) - base, n1)
    fall = row_dots(np.take(corners, total[one] - ends, axis=0) - base, n2)
    cosine = row_dots(n1, n2)
    a1, a2 = body.areas[one], body.areas[other]
    ratio = np.maximum(a1, a2) / np.maximum(np.minimum(a1, a2), 1e-300)
    slack = tolerance * (1 + np.minimum(ratio, 1e3))
    sliver = (a1 == 0) | (a2 == 0)
    flat = (np.maximum(np.abs(rise), np.abs(fall)) <= slack) & (cosine > 0.9) & ~sliver
    bend = np.arccos(np.clip(cosine, -1, 1)) * np.where(rise + fall > 0, -1.0, 1.0)
    smooth = (cosine > MIN_SMOOTH_COSINE) & ~sliver
    patch = label_components(body.face_adjacency[flat], len(triangles))
    patch, flat = _split_bent_patches(body, tolerance, patch, flat)
    sure = _surely_flat(body, tolerance, patch, flat, smooth, bend)
    return EdgeClasses(body, tolerance, flat, smooth, bend, patch, sure)


def fit_patch_planes(body: Body, patch: Ints) -> tuple[Array, Array]:
    """Unit normal (p, 3) and a point (p, 3) of every patch: means weighted with area."""
    count = int(patch.max()) + 1
    weight = np.maximum(np.bincount(patch, weights=body.areas, minlength=count), 1e-300)
    normal: Array = np.column_stack(
        [1.0 * np.bincount(patch, weights=body.areas * body.normals[:, k], minlength=count) for k in range(3)]
    )
    third = body.areas / 3
    centre = np.zeros((count, 3))
    for k in range(3):
        x = body.corners[:, k]
        total = x[body.triangles[:, 0]] + x[body.triangles[:, 1]] + x[body.triangles[:, 2]]
        centre[:, k] = np.bincount(patch, weights=third * total, minlength=count)
    centre /= weight[:, None]
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    return normal, centre


def _split_bent_patches(body: Body, tolerance: float, patch: Ints, flat: Bools) -> tuple[Ints, Bools]:
    """Take apart chains of nearly flat pairs that in sum are not flat (a fine mesh of a round)."""
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
    worst = np.zeros(len(size))
    np.maximum.at(worst, own, off)
    bent = worst > 3 * tolerance
    if not bent.any():
        return patch, flat
    core = np.where(bent[patch], -1, 0)
    area = np.bincount(patch, weights=body.areas)
    number = 0
    for k in np.flatnonzero(bent & (size >= 24))[np.argsort(-area[bent & (size >= 24)])][:40].tolist():
        left = np.flatnonzero(patch == k)
        for _ in range(4):
            mine = _dominant_plane_triangles(body, left, tolerance)
            if len(mine) < 12 or body.areas[mine].sum() < 0.05 * area[k]:
                break
            number += 1
            core[mine] = number
            left = np.setdiff1d(left, mine)
    one, other = core[body.face_adjacency[:, 0]], core[body.face_adjacency[:, 1]]
    flat = flat & (one == other) & (one >= 0)
    return label_components(body.face_adjacency[flat], len(body.triangles)), flat


def _dominant_plane_triangles(body: Body, triangles: Ints, tolerance: float) -> Ints:
    """The triangles that lie on the plane which most of a nearly flat chain lies on."""
    if len(triangles) < 12:
        return triangles[:0]
    weight, normals = body.areas[triangles], body.normals[triangles]
    corners = body.corners[body.triangles[triangles]]
    n = normals[np.argmax(weight)]
    for width in (0.5, 0.25, 0.12, 0.06):
        near = np.exp(-np.maximum(0.0, 1 - normals @ n) / width**2) * weight
        n = near @ normals
        n = n / max(float(np.linalg.norm(n)), 1e-300)
    height = corners.mean(axis=1) @ n
    order = np.argsort(height)
    total = np.cumsum((near * 1.0)[order])
    level = float(height[order][np.searchsorted(total, total[-1] / 2)])
    on = np.zeros(len(triangles), dtype=bool)
    for slack in (6 * tolerance, 3 * tolerance, 1.6 * tolerance, 1.6 * tolerance):
        on = (np.abs(corners @ n - level) <= slack).all(axis=1)
        if on.sum() < 12:
            return triangles[:0]
        points = corners[on].reshape(-1, 3)
        middle = points.mean(axis=0)
        _, axes = np.linalg.eigh((points - middle).T @ (points - middle))
        n = axes[:, 0] * (1.0 if axes[:, 0] @ n > 0 else -1.0)
        level = float(middle @ n)
    return triangles[on]


def _surely_flat(body: Body, tolerance: float, patch: Ints, flat: Bools, smooth: Bools, bend: Array) -> Bools:
    """Triangles of patches that are no strip of a round: no smooth neighbour, or corners off two parallel lines."""
    count = int(patch.max()) + 1
    size = np.bincount(patch, minlength=count)
    one, other = body.face_adjacency[:, 0], body.face_adjacency[:, 1]
    mine, yours = patch[one], patch[other]
    bent = smooth & (mine != yours)
    sure = np.ones(count, dtype=bool)
    sure[mine[bent]] = False
    sure[yours[bent]] = False
    several = size > 2
    rows = np.flatnonzero(bent & (several[mine] | several[yours]))
    owner, edge = np.r_[mine[rows], yours[rows]], np.r_[rows, rows]
    owner, edge = owner[several[owner]], edge[several[owner]]
    if len(owner) == 0:
        return sure[patch]
    span = np.take(body.corners, body.face_adjacency_edges[:, 1], axis=0) - np.take(
        body.corners, body.face_adjacency_edges[:, 0], axis=0
    )
    length = row_norms(span)
    order = np.lexsort((length[edge], owner))
    last = np.r_[owner[order][1:] != owner[order][:-1], True] if len(order) else np.zeros(0, dtype=bool)
    longest = np.full(count, -1, dtype=np.int64)
    longest[owner[order][last]] = edge[order][last]
    check = np.flatnonzero((size[patch] > 2) & ~sure[patch])
    if len(check):
        normal, centre = fit_patch_planes(body, patch)
        own = patch[check]
        along = span[longest[own]] / length[longest[own]][:, None]
        side = np.cross(normal[own], along)
        w = np.stack(
            [row_dots(np.take(body.corners, body.triangles[check, k], axis=0) - centre[own], side) for k in range(3)]
        )
        low, high = np.full(count, np.inf), np.full(count, -np.inf)
        np.minimum.at(low, own, w.min(axis=0))
        np.maximum.at(high, own, w.max(axis=0))
        inner = np.minimum(w - low[own], high[own] - w).max(axis=0)
        wide = np.zeros(count)
        np.maximum.at(wide, own, inner)
        cut = wide > np.maximum(4 * tolerance, 1e-3 * (high - low))
        strip = _find_round_strips(
            body, tolerance, owner, edge, normal, centre, span / np.maximum(length, 1e-300)[:, None], longest
        )
        many = np.maximum(np.bincount(owner, minlength=count), 1)
        turn = np.bincount(owner, weights=np.abs(bend[edge]), minlength=count) / many
        with np.errstate(invalid="ignore"):
            strip &= (high - low) < 0.7 * body.size * turn  # a round with such strips would be larger than the body
        cut &= ~strip
        sure |= cut
    return sure[patch]


def _find_round_strips(
    body: Body, tolerance: float, owner: Ints, edge: Ints, normal: Array, centre: Array, unit: Array, longest: Ints
) -> Bools:
    """Patches with a long bent edge on either side, both along the same line: strips of a round, even where something
    was cut out of their ends. owner, edge: patch and pair of every bent border edge."""
    count = len(longest)
    at = longest[owner]
    known = at >= 0
    owner, edge, at = owner[known], edge[known], at[known]
    along = unit[at]
    side = np.cross(normal[owner], along)
    parallel = np.abs(row_dots(unit[edge], along)) > 0.965  # strips of a cone taper
    offset = row_dots(body.corners[body.face_adjacency_edges[edge, 0]] - centre[owner], side)
    z = np.sort(
        np.einsum("ikj,ij->ik", body.corners[body.face_adjacency_edges[edge]] - centre[owner][:, None, :], along),
        axis=1,
    )
    length = np.where(parallel, z[:, 1] - z[:, 0], 0.0)
    left, right = np.zeros(count), np.zeros(count)
    np.add.at(left, owner, np.where(offset < -tolerance, length, 0.0))
    np.add.at(right, owner, np.where(offset > tolerance, length, 0.0))
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, owner, z[:, 0])
    np.maximum.at(high, owner, z[:, 1])
    extent = np.maximum(high - low, 1e-300)
    out: Bools = (left > 0.3 * extent) & (right > 0.3 * extent)
    return out
