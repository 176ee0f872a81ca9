"""Evaluate: whether a surface fits its triangles well enough to be believed, and what it then measures."""

from __future__ import annotations

from typing import Literal

import numpy as np

from foldsketch.base.arrays import Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import corners_used, row_dots
from foldsketch.mesh.segmentation.angular_coverage import (
    angular_coverage,
    find_flat_triangles,
    is_doubly_curved,
    triangle_centroids,
)
from foldsketch.mesh.segmentation.model import FittedSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MAX_RADIUS_RATIO, MAX_CYLINDER_RADIUS_RATIO = 1.0, 5.0
"""Radius over body size above which a cone, ball or torus, and a cylinder, is only a bent flat."""

MAX_RMS_FRACTION = 0.45
"""Root mean square misfit over tolerance up to which a surface is believed."""

MAX_WRONG_SIDE_FRACTION = 0.02
"""Share of the area that may face the other way."""

MIN_SIDES = 8.6
"""Sides on a full turn below which flats are taken as flats, not as a coarse round."""

MIN_STEPS = 2.5
"""Facets side by side that a cylinder or a cone needs."""

MIN_DEGREES = {"cylinder": 6.0, "cone": 30.0, "torus": 12.0, "sphere": 0.0}
"""Degrees of a turn that it needs."""

MIN_BALL_SHARE = 2e-3
"""Share of a whole ball that a round end needs: on a ball as large as the part an end of a tenth of its size."""

Rejection = Literal["too large", "too few corners", "misfit", "both sides", "straight", "too narrow", "polygon"]


def evaluate_surface(
    grower: RegionGrower, shape: AnalyticSurface, triangles: Ints, least_steps: float = MIN_STEPS
) -> FittedSurface | Rejection:
    """The surface with what it measures on its triangles, or why it is not believed.

    least_steps: facets side by side that a cylinder or a cone needs.
    """
    body = grower.body
    most = MAX_CYLINDER_RADIUS_RATIO if shape.kind == "cylinder" else MAX_RADIUS_RATIO
    if max(shape.radius, shape.tube) > most * body.size:
        return "too large"
    points = grower.fit_points(triangles)
    if len(points) < 4:
        return "too few corners"
    misfit = np.abs(shape.distance(points))
    worst, rms = float(misfit.max()), float(np.sqrt((misfit**2).mean()))
    if rms > MAX_RMS_FRACTION * grower.tolerance:
        return "misfit"
    middle, normals, weight = triangle_centroids(body, triangles), body.normals[triangles], body.areas[triangles]
    sign = row_dots(shape.normal(middle), normals)
    outward = float((sign * weight).sum()) > 0
    if float(weight[(sign > 0) != outward].sum()) > MAX_WRONG_SIDE_FRACTION * float(weight.sum()):
        return "both sides"
    if shape.kind == "plane":
        facing = shape if outward else shape.reversed()
        return FittedSurface(facing, triangles, misfit_max=worst, misfit_rms=rms)
    if shape.kind in ("sphere", "torus") and not is_doubly_curved(shape, middle, normals, weight):
        return "straight"
    t = body.triangles[triangles]
    spans, covered, sides = angular_coverage(shape, body.corners, t, weight)
    if shape.kind in ("cylinder", "cone"):
        rest = ~find_flat_triangles(spans, weight)
        if 2 <= rest.sum() < len(triangles) and weight[rest].sum() > 0:
            return evaluate_surface(grower, shape, triangles[rest], least_steps)
        if covered * sides / 360 < least_steps:
            return "too narrow"
    is_lens = shape.kind == "sphere" and weight.sum() < MIN_BALL_SHARE * 4 * np.pi * shape.radius**2
    if is_lens or covered < MIN_DEGREES[shape.kind]:
        return "too narrow"
    if shape.kind in ("cylinder", "cone") and sides < MIN_SIDES:
        return "polygon"
    z = (body.corners[corners_used(len(body.corners), t)] - shape.point) @ shape.direction
    return FittedSurface(shape, triangles, not outward, covered, sides, worst, rms, float(z.min()), float(z.max()))
