"""Naming: pieces become measured features with the trade's names, on the axes that they share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.axes import CoaxialGroup
from foldsketch.mesh.features.merge_rounds import MergedSurface, are_coaxial
from foldsketch.mesh.features.mesh_reading import FeatureRole, MeasuredFeature
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import corners_used, row_dots
from foldsketch.mesh.segmentation.segment import Segmentation
from foldsketch.part.model import Vec3


def measure_surfaces(
    segmentation: Segmentation, merged: list[MergedSurface], roles: list[FeatureRole], groups: list[CoaxialGroup]
) -> tuple[MeasuredFeature, ...]:
    """Every piece in the mesh's own frame; pieces on a shared axis are measured from that axis."""
    body = segmentation.body
    letter_of = {k: line for line in groups for k in line.pieces}
    out = []
    for k, piece in enumerate(merged):
        f = piece.surface
        points = segmentation.fit_points(f.triangles)
        line = letter_of.get(k) or _find_coaxial_group(segmentation, piece, groups)
        shape = _refit_about_axis(f.shape, line, points)
        z = (body.corners[corners_used(len(body.corners), body.triangles[f.triangles])] - shape.point) @ shape.direction
        origin = _axis_origin(shape, body.origin_shift, body.size)
        base = float((origin - shape.point) @ shape.direction)
        start, end = float(z.min()), float(z.max())
        if shape.kind == "plane":
            start = end = base = 0.0
            origin = shape.point
        radii = [max(0.0, shape.radius + shape.slope * s) for s in (start, end)]
        misfit = np.abs(shape.distance(points))
        out.append(
            MeasuredFeature(
                "",
                f.shape.kind,
                f.inner,
                2 * radii[0],
                2 * radii[1],
                to_vec3(origin + body.origin_shift),
                to_vec3(shape.direction),
                start - base,
                end - base,
                float(misfit.max()),
                float(np.sqrt((misfit**2).mean())),
                f.covered_degrees,
                float(body.areas[f.triangles].sum()),
                f.sides,
                2 * shape.tube,
                roles[k],
                line.letter if line is not None else "",
                piece.source_indices,
            )
        )
    return tuple(out)


def to_vec3(v: Array) -> Vec3:
    """A vector as plain numbers, for the frozen reading."""
    return (float(v[0]), float(v[1]), float(v[2]))


def _axis_origin(shape: AnalyticSurface, shift: Array, size: float) -> Array:
    """The point of the axis next to the mesh's own origin, or next to the part when that is far away."""
    to = -shift if float(np.linalg.norm(shift)) < 3 * size else np.zeros(3)
    if shape.kind in ("sphere", "torus"):
        return shape.point
    return shape.point + shape.direction * float((to - shape.point) @ shape.direction)


def _find_coaxial_group(
    segmentation: Segmentation, piece: MergedSurface, groups: list[CoaxialGroup]
) -> CoaxialGroup | None:
    """The line that a fillet, a chamfer or a rounding turns about, if it is one of those known."""
    f = piece.surface
    if f.shape.kind in ("plane", "sphere"):
        return None
    for line in groups:
        other = AnalyticSurface("cylinder", line.point, line.direction)
        if are_coaxial(other, f.shape, 40 * segmentation.tolerance + 1e-5 * f.shape.radius, 2e-3, 0.0):
            return line
    return None


def _refit_about_axis(shape: AnalyticSurface, group: CoaxialGroup | None, points: Array) -> AnalyticSurface:
    """The same surface about its line, its sizes fitted again with the axis held."""
    if group is None or shape.kind in ("plane", "sphere"):
        return shape
    d = group.direction
    flip = float(d @ shape.direction) < 0
    p = group.point + d * float((shape.point - group.point) @ d)
    if shape.kind == "torus":
        return AnalyticSurface("torus", p, d, shape.radius, 0.0, shape.tube)
    q = points - p
    z = q @ d
    r = np.sqrt(np.maximum(row_dots(q, q) - z * z, 0))
    if shape.kind == "cylinder":
        return AnalyticSurface("cylinder", p, d, float(r.mean()))
    design = np.column_stack((np.ones(len(r)), z))
    radius, slope = np.linalg.lstsq(design, r, rcond=None)[0]
    if abs(slope - (-shape.slope if flip else shape.slope)) > 1e-3 * (1 + abs(shape.slope)):
        return shape
    return AnalyticSurface("cone", p, d, float(radius), float(slope))


def name_features(
    features: tuple[MeasuredFeature, ...], tolerance: float, bolts: set[int]
) -> tuple[MeasuredFeature, ...]:
    """Features with names, ordered by axis, then along it; faces last. bolts: indices of those in bolt circles."""
    words = [
        "bolt hole" if i in bolts and m.kind == "cylinder" else _feature_word(m, features, tolerance)
        for i, m in enumerate(features)
    ]
    order = sorted(range(len(features)), key=lambda i: _sort_key(features[i]))
    total = {w: words.count(w) for w in words}
    count: dict[str, int] = {}
    out = []
    for i in order:
        w = words[i]
        count[w] = count.get(w, 0) + 1
        out.append(replace(features[i], name=w if total[w] == 1 and features[i].kind != "plane" else f"{w} {count[w]}"))
    return tuple(out)


def _sort_key(m: MeasuredFeature) -> tuple[int, int, str, float, float]:
    late = 0 if m.role in ("feature", "draft") else 1
    if m.kind == "plane":
        return (2, 0, "", -m.area, 0.0)
    return (late, len(m.axis) or 99, m.axis, m.start, -m.diameter)


def _feature_word(m: MeasuredFeature, features: tuple[MeasuredFeature, ...], tolerance: float) -> str:
    if m.kind == "plane":
        return "face"
    if m.role == "rounding":
        return "rounded edge"
    if m.role in ("fillet", "chamfer"):
        return m.role
    if m.kind == "sphere":
        return "hollow ball" if m.inner else "ball"
    if m.kind == "torus":
        return "torus groove" if m.inner else "torus"
    if m.kind == "cone":
        if m.role == "draft":
            return "drafted bore" if m.inner else "drafted spigot"
        if min(m.diameter, m.end_diameter) < 0.12 * max(m.diameter, m.end_diameter):
            return "drill point" if m.inner else "point"
        return "countersink" if m.inner else "taper"
    if m.covered_degrees < 200:
        return "slot end" if m.inner else "round end"
    if _is_groove(m, features, tolerance):
        return "groove"
    if m.inner:
        return "bore"
    return "disc" if m.length < 0.35 * m.diameter else "spigot"


def _is_groove(m: MeasuredFeature, features: tuple[MeasuredFeature, ...], tolerance: float) -> bool:
    """A floor that lies within another cylinder of its axis, deeper in the material."""
    for other in features:
        if other is m or other.kind != "cylinder" or other.axis != m.axis or not m.axis or other.inner != m.inner:
            continue
        deeper = m.diameter > other.diameter if m.inner else m.diameter < other.diameter
        inside = other.start + tolerance < m.start and m.end < other.end - tolerance
        if deeper and inside and other.covered_degrees > 300 and m.length < 0.7 * other.length:
            return True
    return False
