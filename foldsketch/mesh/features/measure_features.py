"""Measure features: every merged surface in numbers, those on a shared axis from that axis."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.axes import CoaxialGroup
from foldsketch.mesh.features.merge_rounds import MergedSurface, are_coaxial
from foldsketch.mesh.features.mesh_reading import FeatureRole, MeasuredFeature
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, on_axis
from foldsketch.mesh.geometry.measure import corners_used, row_dots
from foldsketch.mesh.repair.clean import Body
from foldsketch.mesh.segmentation.model import FittedSurface, Segmentation
from foldsketch.part.model import Vec3

MAX_ORIGIN_DISTANCE_RATIO = 3.0
"""Farther than so many times its size from the origin, a part is measured from its own middle."""

FITTED_NUMBERS = 5
"""Numbers of a cylinder that its points fix: four of the axis and the radius."""

MIN_ARC_DEGREES = 5.0
"""An arc is taken as at least this long: of shorter ones the radius is a guess."""

MAX_SLOPE_CHANGE = 1e-3
"""A cone whose slope changes by more than this on its axis is not on that axis."""


def measure_surfaces(
    segmentation: Segmentation, merged: list[MergedSurface], roles: list[FeatureRole], groups: list[CoaxialGroup]
) -> tuple[MeasuredFeature, ...]:
    """Every surface in the mesh's own frame, without a name yet; those on a shared axis are measured from that axis."""
    group_of = {k: group for group in groups for k in group.members}
    return tuple(
        _measure(segmentation, m, role, group_of.get(k) or _find_coaxial_group(m.surface, groups, segmentation))
        for k, (m, role) in enumerate(zip(merged, roles, strict=True))
    )


def _measure(
    segmentation: Segmentation, merged: MergedSurface, role: FeatureRole, group: CoaxialGroup | None
) -> MeasuredFeature:
    body, f = segmentation.body, merged.surface
    points = segmentation.fit_points(f.triangles)
    shape = f.shape if group is None else _refit_about_axis(f.shape, group, points)
    origin, start, end = shape.point, 0.0, 0.0
    if shape.kind != "plane":
        origin = _axis_origin(shape, body)
        used = corners_used(len(body.corners), body.triangles[f.triangles])
        z = (body.corners[used] - origin) @ shape.direction
        start, end = float(z.min()), float(z.max())
    base = float((origin - shape.point) @ shape.direction)
    misfit = np.abs(shape.distance(points))
    return MeasuredFeature(
        name="",
        kind=shape.kind,
        inner=f.inner,
        diameter=2 * max(0.0, shape.radius + shape.slope * (base + start)),
        end_diameter=2 * max(0.0, shape.radius + shape.slope * (base + end)),
        point=to_vec3(origin + body.origin_shift),
        direction=to_vec3(shape.direction),
        start=start,
        end=end,
        misfit_max=float(misfit.max()),
        misfit_rms=float(np.sqrt((misfit**2).mean())),
        covered_degrees=f.covered_degrees,
        area=segmentation.area_of(f),
        sides=f.sides,
        tube_diameter=2 * shape.tube,
        role=role,
        axis=group.letter if group is not None else "",
        surfaces=merged.source_indices,
        exact=shape.exact,
        tolerance=diameter_tolerance(f.covered_degrees, misfit, body.resolution) if shape.kind != "plane" else 0.0,
    )


def diameter_tolerance(covered_degrees: float, misfit: Array, resolution: float) -> float:
    """+/- of a fitted diameter, mm: two standard deviations, and the step of the coordinates.

    misfit: (n,) mm of points spread evenly over an arc of 2 a about the middle of a circle with radius r. With the
    centre unknown their normal equations give var(r) = s2 / n * q / (q - (sin a / a)2), q = 1/2 + sin(2 a) / (4 a).
    """
    free = max(len(misfit) - FITTED_NUMBERS, 1)
    a = np.radians(max(covered_degrees, MIN_ARC_DEGREES)) / 2
    q = 0.5 + np.sin(2 * a) / (4 * a)
    variance = float((misfit**2).sum()) / free / len(misfit) * q / (q - (np.sin(a) / a) ** 2)
    return 2 * (2 * float(np.sqrt(variance))) + resolution


def to_vec3(v: Array) -> Vec3:
    """A vector (3,) as plain numbers, for the frozen reading."""
    x, y, z = v.tolist()
    return (x, y, z)


def _axis_origin(shape: AnalyticSurface, body: Body) -> Array:
    """The point of the axis next to the mesh's own origin, or next to the part where that is far away.

    The centre of a sphere or a torus.
    """
    if shape.kind in ("sphere", "torus"):
        return shape.point
    far = float(np.linalg.norm(body.origin_shift)) >= MAX_ORIGIN_DISTANCE_RATIO * body.size
    to = np.zeros(3) if far else -body.origin_shift
    out: Array = shape.point + shape.direction * float((to - shape.point) @ shape.direction)
    return out


def _find_coaxial_group(
    f: FittedSurface, groups: list[CoaxialGroup], segmentation: Segmentation
) -> CoaxialGroup | None:
    """The axis that a fillet, a chamfer or a rounding turns about, if it is one of those known."""
    if f.shape.kind in ("plane", "sphere"):
        return None
    slack = 40 * segmentation.tolerance + 1e-5 * f.shape.radius
    for group in groups:
        if are_coaxial(AnalyticSurface("cylinder", group.point, group.direction), f.shape, slack, 2e-3):
            return group
    return None


def _refit_about_axis(shape: AnalyticSurface, group: CoaxialGroup, points: Array) -> AnalyticSurface:
    """The same surface about the axis of its group, its sizes fitted again to points (n, 3) with the axis held."""
    if shape.kind in ("plane", "sphere"):
        return shape
    held = on_axis(shape, group.point, group.direction)
    if shape.kind == "torus" or shape.exact:
        return held
    p, d = held.point, held.direction
    q = points - p
    z = q @ d
    r = np.sqrt(np.maximum(row_dots(q, q) - z * z, 0))
    if shape.kind == "cylinder":
        return AnalyticSurface("cylinder", p, d, float(r.mean()))
    radius, slope = np.linalg.lstsq(np.column_stack((np.ones(len(r)), z)), r, rcond=None)[0].tolist()
    if abs(slope - held.slope) > MAX_SLOPE_CHANGE * (1 + abs(shape.slope)):
        return shape
    return AnalyticSurface("cone", p, d, radius, slope)
