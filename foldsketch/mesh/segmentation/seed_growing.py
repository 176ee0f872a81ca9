"""Seed growing: rounds that no rim points at, guessed from the normals of a few neighbouring triangles."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.measure import row_dots, weighted_scatter
from foldsketch.mesh.geometry.surface_fit import fit_cylinder, fit_plane, fit_sphere, refine_surface
from foldsketch.mesh.segmentation.evaluate import MIN_STEPS
from foldsketch.mesh.segmentation.model import FittedSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.surface_hypotheses import try_surface

SEED_PATCHES = ((32.0, 300), (75.0, 300), (25.0, 24))
"""Degrees by which normals may differ from the seed's, and triangles at most, of the patches tried about a seed."""

MIN_LARGE_FRACTION = 0.01
"""Share of the pool that a surface needs to allow all tries again: a free form yields small bits for ever."""

MAX_RADIUS_RATIO = 2.0
"""Radius of a guess over body size."""


def grow_from_seeds(grower: RegionGrower, pool: Ints, tries: int = 10) -> list[FittedSurface]:
    """Claim rounds among the free triangles of a pool, until so many tries are in vain."""
    body = grower.body
    left = tries
    made: list[FittedSurface] = []
    tired = np.zeros(len(grower.owner), dtype=bool)
    while left > 0:
        free = grower.unclaimed(pool)
        fresh = free[~tired[free] & (body.areas[free] > 0)]
        if len(free) < 4 or len(fresh) == 0:
            break
        seed = int(fresh[np.argmax(body.areas[fresh])])
        found, near = _grow_from_seed(grower, seed, free)
        if found is None:
            tired[seed] = True
            tired[near[: max(1, len(near) // 2)]] = True
            left -= 1
        else:
            made.append(found)
            large = grower.area_of(found.triangles) > MIN_LARGE_FRACTION * grower.area_of(pool)
            left = tries if large else left - 1
    return made


def _grow_from_seed(grower: RegionGrower, seed: int, free: Ints) -> tuple[FittedSurface | None, Ints]:
    """The surface claimed from a seed, if any, and the patch last tried about it."""
    near = free[:0]
    for degrees, most in SEED_PATCHES:
        near = _patch_about(grower, seed, free, np.radians(degrees), most)
        found = try_surface_kinds(grower, near, free) if len(near) >= 3 else None
        if found is not None:
            return found, near
    return None, near


def _patch_about(grower: RegionGrower, seed: int, pool: Ints, angle: float, most: int) -> Ints:
    """Triangles of the pool about a seed, ring by ring, while their normals stay within an angle of the seed's."""
    normals = grower.body.normals
    allowed = np.zeros(len(grower.owner), dtype=bool)
    allowed[pool] = True
    mine = edge = np.array([seed], dtype=np.int64)
    while len(mine) < most and len(edge):
        ring = grower.adjacent_triangles(edge)
        ring = ring[allowed[ring]]
        edge = np.setdiff1d(ring[normals[ring] @ normals[seed] > np.cos(angle)], mine)
        mine = np.r_[mine, edge]
    return mine


def try_surface_kinds(grower: RegionGrower, near: Ints, pool: Ints) -> FittedSurface | None:
    """The first kind of surface that fits a patch and is believed: on a noisy mesh a plane, then the rounds."""
    body = grower.body
    points = grower.fit_points(near)
    if len(points) < 5:
        return None
    values, vectors = np.linalg.eigh(weighted_scatter(body.normals[near], body.areas[near]))
    if values[1] < 1e-7 * values[2]:
        return None
    if grower.noisy:
        flat = fit_plane(points)
        if np.abs(flat.distance(points)).max() <= grower.tolerance:
            found = try_surface(grower, flat, near, pool, 0.0)
            if found is not None and len(found.triangles) >= 0.5 * len(near):
                return found
    for guess, least_steps, least_triangles in _guesses(grower, near, points, vectors[:, 0]):
        shape = _without_outliers(guess, points, 4 * grower.tolerance) if guess is not None else None
        if shape is not None and shape.radius <= MAX_RADIUS_RATIO * body.size:
            found = try_surface(grower, shape, near, pool, least_steps, least_triangles)
            if found is not None:
                return found
    return None


def _guesses(
    grower: RegionGrower, near: Ints, points: Array, direction: Array
) -> Iterator[tuple[AnalyticSurface | None, float, int]]:
    """Cylinder, sphere, cone and torus guessed from a patch.

    Each with the facets side by side and the triangles that it needs. direction: (3,) across to all normals, as the
    axis of a cylinder is.
    """
    body = grower.body
    normals, weight = body.normals[near], body.areas[near]
    yield fit_cylinder(points, direction), MIN_STEPS, 4
    yield (fit_sphere(points) if _is_sphere_like(normals) else None), 0.0, 8
    yield _guess_cone(points, normals, body.corners[body.triangles[near, 0]], weight), MIN_STEPS, 4
    yield _guess_torus(points, normals, body.corners[body.triangles[near]].mean(axis=1)), 0.0, 12


def _without_outliers(shape: AnalyticSurface, points: Array, slack: float) -> AnalyticSurface | None:
    """The shape, fitted once more without points that are far off it; None when more than a third of them are."""
    off = np.abs(shape.distance(points))
    if off.max() <= slack:
        return shape
    near = off <= max(slack, 2.5 * float(np.median(off)))
    if near.sum() < max(6, 0.65 * len(points)):
        return None
    shape = refine_surface(shape, points[near])
    return shape if np.percentile(np.abs(shape.distance(points)), 65) <= slack else None


def _is_sphere_like(normals: Array) -> bool:
    """Normals spread in two directions; those of a strip spread in one."""
    off = normals - normals.mean(axis=0)
    values = np.linalg.eigvalsh(off.T @ off)
    return bool(values[1] > 0.05 * values[2])


def _guess_cone(points: Array, normals: Array, on: Array, weight: Array) -> AnalyticSurface | None:
    """The cone of a patch: its normals end on a plane across its axis, and its tangent planes meet in its apex.

    normals, on: (m, 3) normals of triangles and a point of each; weight: (m,) their areas.
    """
    mean = np.average(normals, axis=0, weights=weight)
    values, vectors = np.linalg.eigh(weighted_scatter(normals - mean, weight))
    if values[1] <= 0:
        return None
    d = vectors[:, 0]
    apex, *_ = np.linalg.lstsq(normals, row_dots(normals, on), rcond=None)
    z, r = _along_and_across(points - apex, d)
    if np.abs(z).max() < 1e-9:
        return None
    slope = float((r * np.abs(z)).sum() / (z * z).sum())
    if z.mean() < 0:
        d, z = -d, -z
    middle = float(z.mean())
    if not 1e-4 < slope < 1e3:
        return None
    return refine_surface(AnalyticSurface("cone", apex + middle * d, d, slope * middle, slope), points)


def _guess_torus(points: Array, normals: Array, middles: Array) -> AnalyticSurface | None:
    """The torus of a patch.

    All normals of a surface of revolution meet its axis, so the linear line complex nearest to them gives it
    [Pottmann and Randrup, Computing 60 (1998) 307; from memory].
    """
    if len(normals) < 12:
        return None
    centre = middles.mean(axis=0)
    scale = float(np.abs(middles - centre).max()) or 1.0
    q = (middles - centre) / scale
    _, _, turned = np.linalg.svd(np.column_stack((np.cross(q, normals), normals)), full_matrices=False)
    d, m = turned[-1][:3], turned[-1][3:]
    size = float(np.linalg.norm(d))
    if size < 1e-6:
        return None
    m = (m - d * float(d @ m) / size**2) / size
    d = d / size
    on_axis = np.cross(d, m) * scale + centre
    z, r = _along_and_across(points - on_axis, d)
    arc, tube, _ = fit_circle(np.column_stack((r, z)))
    if arc[0] <= 0 or not np.isfinite(arc).all():
        return None
    return refine_surface(AnalyticSurface("torus", on_axis + arc[1] * d, d, float(arc[0]), 0.0, tube), points, 30)


def _along_and_across(q: Array, d: Array) -> tuple[Array, Array]:
    """Parts (n,) of vectors (n, 3) along a direction and across it."""
    z = q @ d
    return z, np.sqrt(np.maximum(row_dots(q, q) - z * z, 0.0))
