"""Surface hypotheses: a guessed surface is fitted, grown and evaluated, and claimed when it is believed."""

from __future__ import annotations

from foldsketch.base.arrays import Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.surface_fit import refine_surface
from foldsketch.mesh.segmentation.evaluate import MIN_STEPS, Rejection, evaluate_surface
from foldsketch.mesh.segmentation.model import FittedSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MIN_CONE_GAIN = 1.15
"""Area of a cone over that of a cylinder from which, on a noisy mesh, the cone is taken."""

TRIAL_SLOPE = 1e-4
"""Slope with which a cone is tried where a cylinder was guessed."""


def try_surface(
    grower: RegionGrower,
    shape: AnalyticSurface,
    seeds: Ints,
    pool: Ints,
    least_steps: float = MIN_STEPS,
    least_triangles: int = 4,
) -> FittedSurface | None:
    """Fit, grow and evaluate a guess from its seeds over the free triangles of a pool; claim it when it is believed."""
    pool = grower.unclaimed(pool)
    fitted = grower.fit_and_grow(shape, seeds, pool)
    if fitted is None or len(fitted[1]) < least_triangles:
        return None
    shape, triangles = fitted
    found = evaluate_surface(grower, shape, triangles, least_steps)
    if grower.noisy and shape.kind == "cylinder":
        found = _larger_cone(grower, shape, triangles, seeds, pool, least_steps) or found
    if found == "polygon":
        grower.polygons.append((shape, triangles))
    if isinstance(found, str):
        return None
    if found.shape.kind == "cone" and abs(found.shape.slope) * (found.high - found.low) < 3 * grower.tolerance:
        found = _cylinder_from_cone(grower, found)
    grower.claim(found)
    return found


def _larger_cone(
    grower: RegionGrower, cylinder: AnalyticSurface, triangles: Ints, seeds: Ints, pool: Ints, least_steps: float
) -> FittedSurface | None:
    """The cone that grows well beyond a cylinder from the same seeds, if there is one: noise hides a small slope."""
    start = AnalyticSurface("cone", cylinder.point, cylinder.direction, cylinder.radius, TRIAL_SLOPE)
    fitted = grower.fit_and_grow(start, seeds, pool)
    if fitted is None or grower.area_of(fitted[1]) <= MIN_CONE_GAIN * grower.area_of(triangles):
        return None
    found: FittedSurface | Rejection = evaluate_surface(grower, *fitted, least_steps)
    return None if isinstance(found, str) else found


def _cylinder_from_cone(grower: RegionGrower, cone: FittedSurface) -> FittedSurface:
    """The cylinder that a cone with hardly any slope really is."""
    s = cone.shape
    middle = (cone.low + cone.high) / 2
    start = AnalyticSurface("cylinder", s.point + middle * s.direction, s.direction, s.radius + s.slope * middle)
    shape = refine_surface(start, grower.fit_points(cone.triangles))
    found = evaluate_surface(grower, shape, cone.triangles)
    return cone if isinstance(found, str) else found
