"""Guess: a surface about a known axis is tried on the triangles that suggested it, and claimed when it stands."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import reindex_corners, row_dots, row_norms
from foldsketch.mesh.geometry.surface_fit import refine_surface
from foldsketch.mesh.segmentation.region_growing import FittedSurface, RegionGrower


def try_surface(
    grower: RegionGrower, shape: AnalyticSurface, seeds: Ints, pool: Ints, least_steps: float = 2.5, least: int = 4
) -> FittedSurface | None:
    """Settle and judge a guess; claim it when it stands."""
    settled = grower.fit_and_grow(shape, seeds, grower.unclaimed(pool))
    if settled is None:
        return None
    shape, triangles = settled
    if len(triangles) < least:
        return None
    verdict = grower.evaluate(shape, triangles, least_steps)
    if grower.noisy and shape.kind == "cylinder":
        cone = grower.fit_and_grow(
            AnalyticSurface("cone", shape.point, shape.direction, shape.radius, 1e-4), seeds, grower.unclaimed(pool)
        )
        if cone is not None and grower.body.areas[cone[1]].sum() > 1.15 * grower.body.areas[triangles].sum():
            other = grower.evaluate(cone[0], cone[1], least_steps)
            if not isinstance(other, str):
                verdict = other
    if isinstance(verdict, str):
        if verdict == "polygon":
            grower.rejected.append((verdict, shape, triangles))
        return None
    if verdict.shape.kind == "cone" and abs(verdict.shape.slope) * (verdict.high - verdict.low) < 3 * grower.tolerance:
        verdict = _cylinder_from_cone(grower, verdict)
    grower.claim(verdict)
    return verdict


def _cylinder_from_cone(grower: RegionGrower, cone: FittedSurface) -> FittedSurface:
    """The cylinder that a cone of no slope to speak of really is."""
    s = cone.shape
    middle = (cone.low + cone.high) / 2
    start = AnalyticSurface("cylinder", s.point + middle * s.direction, s.direction, s.radius + s.slope * middle)
    verdict = grower.evaluate(refine_surface(start, grower.fit_points(cone.triangles)), cone.triangles)
    return cone if isinstance(verdict, str) else verdict


def half_plane_coordinates(
    grower: RegionGrower, triangles: Ints, point: Array, direction: Array
) -> tuple[Array, Array, Array]:
    """r (m, 3) and z (m, 3) of the corners of triangles, and the radial part (m,) of their normals."""
    body = grower.body
    used, local = reindex_corners(len(body.corners), body.triangles[triangles])
    q = body.corners[used] - point
    z = q @ direction
    radial = q - np.outer(z, direction)
    r = row_norms(radial)
    middle = radial[local].sum(axis=1)
    size = np.maximum(row_norms(middle), 1e-300)
    along = row_dots(middle, body.normals[triangles]) / size
    return r[local], z[local], along


def try_torus_or_sphere(
    grower: RegionGrower, centre: Array, tube: float, seeds: Ints, pool: Ints, point: Array, direction: Array
) -> FittedSurface | None:
    """A torus, or a sphere where the arc's centre (r, z) lies on the axis."""
    place = point + centre[1] * direction
    if tube > 3 * grower.body.size:
        return None
    if abs(centre[0]) < max(20 * grower.tolerance, 1e-3 * tube):
        ball = AnalyticSurface("sphere", place, direction, tube)
        made = try_surface(grower, ball, seeds, pool, 0.0)
        if made is not None:
            return made
    if centre[0] <= 0 or max(centre[0], tube) > 1.5 * grower.body.size:
        return None
    return try_surface(
        grower, AnalyticSurface("torus", place, direction, float(centre[0]), 0.0, tube), seeds, pool, 0.0
    )


def try_cone_or_cylinder(
    grower: RegionGrower, a: Array, b: Array, seeds: Ints, pool: Ints, point: Array, direction: Array
) -> FittedSurface | None:
    """The cone, or cylinder, whose profile runs from (r, z) a to b."""
    rise = b[1] - a[1]
    if abs(rise) < 1e-3 * abs(b[0] - a[0]):
        return None
    slope = float((b[0] - a[0]) / rise)
    place = point + a[1] * direction
    if abs(b[0] - a[0]) < 4 * grower.tolerance:
        return try_surface(grower, AnalyticSurface("cylinder", place, direction, float(a[0])), seeds, pool)
    return try_surface(grower, AnalyticSurface("cone", place, direction, float(a[0]), slope), seeds, pool)
