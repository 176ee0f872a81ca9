"""Seeds: rounds that no rim points at, guessed from the normals of a few neighbouring triangles."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.measure import row_dots, weighted_scatter
from foldsketch.mesh.geometry.surface_fit import fit_cylinder, fit_plane, fit_sphere, refine_surface
from foldsketch.mesh.segmentation.region_growing import FittedSurface, RegionGrower
from foldsketch.mesh.segmentation.surface_hypotheses import try_surface


def grow_from_seeds(grower: RegionGrower, pool: Ints, most: int = 10) -> list[FittedSurface]:
    """Claim rounds among the free triangles of a pool; what is tried in vain is left free. most: tries in vain."""
    tries = most
    made: list[FittedSurface] = []
    tired = np.zeros(len(grower.owner), dtype=bool)
    while tries > 0:
        free = grower.unclaimed(pool)
        fresh = free[~tired[free] & (grower.body.areas[free] > 0)]
        if len(free) < 4 or len(fresh) == 0:
            break
        seed = int(fresh[np.argmax(grower.body.areas[fresh])])
        found = None
        for angle, many in ((32.0, 300), (75.0, 300), (25.0, 24)):
            near = grow_by_normals(grower, seed, free, np.radians(angle), many)
            found = _try_surface_kinds(grower, near, free) if len(near) >= 3 else None
            if found is not None:
                break
        if found is None:
            tired[seed] = True
            tired[near[: max(1, len(near) // 2)]] = True
            tries -= 1
        else:
            made.append(found)
            large = grower.body.areas[found.triangles].sum() > 0.01 * grower.body.areas[pool].sum()
            tries = most if large else tries - 1  # a free form yields small bits for ever
    return made


def grow_by_normals(grower: RegionGrower, seed: int, pool: Ints, angle: float, most: int = 300) -> Ints:
    """Triangles of the pool about a seed, ring by ring, while their normals stay within an angle of the seed's."""
    body = grower.body
    allowed = np.zeros(len(grower.owner), dtype=bool)
    allowed[pool] = True
    mine = np.array([seed], dtype=np.int64)
    edge = mine
    while len(mine) < most:
        ring = grower.adjacent_triangles(edge)
        ring = ring[allowed[ring]]
        ring = ring[body.normals[ring] @ body.normals[seed] > np.cos(angle)]
        edge = np.setdiff1d(ring, mine)
        if len(edge) == 0:
            break
        mine = np.r_[mine, edge]
    return mine


def _try_surface_kinds(grower: RegionGrower, near: Ints, pool: Ints) -> FittedSurface | None:
    body = grower.body
    points = grower.fit_points(near)
    if len(points) < 5:
        return None
    slack = 4 * grower.tolerance
    normals, weight = body.normals[near], body.areas[near]
    scatter = weighted_scatter(normals, weight)
    values, vectors = np.linalg.eigh(scatter)
    if values[1] < 1e-7 * values[2]:
        return None
    bound = 2 * body.size
    if grower.noisy:
        flat = fit_plane(points)
        if np.abs(flat.distance(points)).max() <= grower.tolerance:
            made = try_surface(grower, flat, near, pool, 0.0)
            if made is not None and len(made.triangles) >= 0.5 * len(near):
                return made
    for guess, least_steps, least in (
        (lambda p: fit_cylinder(p, vectors[:, 0]), 2.5, 4),
        (lambda p: fit_sphere(p) if _is_sphere_like(grower, near) else None, 0.0, 8),
        (lambda p: _fit_cone(p, normals, body.corners[body.triangles[near, 0]], weight), 2.5, 4),
        (lambda p: _fit_torus(p, normals, body.corners[body.triangles[near]].mean(axis=1)), 0.0, 12),
    ):
        shape = _fit_without_outliers(guess, points, slack)
        if shape is None or shape.radius > bound:
            continue
        made = try_surface(grower, shape, near, pool, least_steps, least)
        if made is not None:
            return made
    return None


def _fit_without_outliers(
    guess: Callable[[Array], AnalyticSurface | None], points: Array, slack: float
) -> AnalyticSurface | None:
    """The shape guessed from points, once more without those that lie far off; None when more than a third do."""
    shape = guess(points)
    if shape is None:
        return None
    off = np.abs(shape.distance(points))
    if off.max() <= slack:
        return shape
    near = off <= max(slack, 2.5 * float(np.median(off)))
    if near.sum() < max(6, 0.65 * len(points)):
        return None
    shape = guess(points[near]) if shape.kind in ("cylinder", "sphere") else refine_surface(shape, points[near])
    if shape is None or np.percentile(np.abs(shape.distance(points)), 65) > slack:
        return None
    return shape


def _is_sphere_like(grower: RegionGrower, near: Ints) -> bool:
    """Normals spread in two directions; those of a strip spread in one."""
    n = grower.body.normals[near]
    values = np.linalg.eigvalsh((n - n.mean(axis=0)).T @ (n - n.mean(axis=0)))
    return bool(values[1] > 0.05 * values[2])


def _fit_cone(points: Array, normals: Array, on: Array, weight: Array) -> AnalyticSurface | None:
    """Normals of a cone end on a plane; the tangent planes meet in its apex."""
    mean = np.average(normals, axis=0, weights=weight)
    off = normals - mean
    values, vectors = np.linalg.eigh(weighted_scatter(off, weight))
    if values[1] <= 0:
        return None
    d = vectors[:, 0]
    apex, *_ = np.linalg.lstsq(normals, row_dots(normals, on), rcond=None)
    q = points - apex
    z = q @ d
    r = np.sqrt(np.maximum(row_dots(q, q) - z * z, 0))
    if np.abs(z).max() < 1e-9:
        return None
    slope = float((r * np.abs(z)).sum() / (z * z).sum())
    if z.mean() < 0:
        d, z = -d, -z
    middle = float(z.mean())
    start = AnalyticSurface("cone", apex + middle * d, d, slope * middle, slope)
    if not 1e-4 < slope < 1e3:
        return None
    return refine_surface(start, points)


def _fit_torus(points: Array, normals: Array, middles: Array) -> AnalyticSurface | None:
    """All normals of a surface of revolution meet its axis: the linear line complex nearest to them gives it."""
    if len(normals) < 12:
        return None
    centre = middles.mean(axis=0)
    scale = float(np.abs(middles - centre).max()) or 1.0
    q = (middles - centre) / scale
    rows = np.column_stack((np.cross(q, normals), normals))
    _, _, turned = np.linalg.svd(rows, full_matrices=False)
    d, m = turned[-1][:3], turned[-1][3:]
    size = float(np.linalg.norm(d))
    if size < 1e-6:
        return None
    m = (m - d * float(d @ m) / size**2) / size
    d = d / size
    on_axis = np.cross(d, m) * scale + centre
    p = points - on_axis
    z = p @ d
    r = np.sqrt(np.maximum(row_dots(p, p) - z * z, 0))
    arc, tube, _ = fit_circle(np.column_stack((r, z)))
    if arc[0] <= 0 or not np.isfinite(arc).all():
        return None
    return refine_surface(AnalyticSurface("torus", on_axis + arc[1] * d, d, float(arc[0]), 0.0, tube), points, 30)
