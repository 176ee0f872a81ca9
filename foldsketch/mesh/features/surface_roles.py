"""Surface roles: what a surface is on the part: a feature, a fillet, a rounding, a chamfer, or draft."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.merge_rounds import MergedSurface, are_coaxial
from foldsketch.mesh.features.mesh_reading import FeatureRole
from foldsketch.mesh.geometry.measure import row_dots, row_norms, rows_by_value
from foldsketch.mesh.segmentation.model import FittedSurface, Segmentation

MAX_TANGENT_ANGLE_RAD = np.radians(2.5)
"""Surfaces that meet at less than this are tangent."""

MAX_DRAFT_ANGLE_RAD = np.radians(3.6)
"""Half angle up to which a taper counts as draft: foundry practice is 0.5 to 3 degrees [C]."""

MIN_CHAMFER_ANGLE_RAD, MAX_CHAMFER_ANGLE_RAD = np.radians(12), np.radians(78)
"""Half angles of a cone that may be a chamfer."""

MAX_CHAMFER_WIDTH_RATIO = 0.25
"""Width of a chamfer over its smaller radius."""

MAX_FILLET_DEGREES = 100.0
"""A fillet along a straight edge covers no more of the turn."""

MAX_FILLET_RADIUS_RATIO, MAX_TUBE_RADIUS_RATIO = 0.2, 0.15
"""Radius of a fillet over body size, along a straight edge and round a corner."""


@dataclass(frozen=True, slots=True)
class AdjacentSurface:
    """A surface (its number) that shares a border: its length, mm, and the angle there, radians (0 is tangent)."""

    other: int
    length: float
    angle: float

    @property
    def tangent(self) -> bool:
        """Whether the two are tangent along their border."""
        return bool(self.angle < MAX_TANGENT_ANGLE_RAD)


def find_adjacent_surfaces(segmentation: Segmentation, merged: list[MergedSurface]) -> list[list[AdjacentSurface]]:
    """For every surface, those that share a border with it."""
    body = segmentation.body
    owner = np.full(len(body.triangles), -1, dtype=np.int64)
    for k, m in enumerate(merged):
        owner[m.surface.triangles] = k
    pairs = np.sort(owner[body.face_adjacency], axis=1)
    borders = np.flatnonzero((pairs[:, 0] >= 0) & (pairs[:, 0] != pairs[:, 1]))
    out: list[list[AdjacentSurface]] = [[] for _ in merged]
    for rows in rows_by_value(pairs[borders] @ np.array([len(merged), 1])):
        i, j = pairs[borders[rows[0]]].tolist()
        ends = body.corners[body.face_adjacency_edges[borders[rows]]]
        length = row_norms(ends[:, 1] - ends[:, 0])
        cosine = row_dots(*(_outward_normals(merged[k].surface, ends[:, 0]) for k in (i, j)))
        angle = float(np.average(np.arccos(np.clip(cosine, -1, 1)), weights=np.maximum(length, 1e-12)))
        out[i].append(AdjacentSurface(j, float(length.sum()), angle))
        out[j].append(AdjacentSurface(i, float(length.sum()), angle))
    return out


def _outward_normals(f: FittedSurface, points: Array) -> Array:
    normal = f.shape.normal(points)
    return -normal if f.inner else normal


def assign_roles(
    segmentation: Segmentation, merged: list[MergedSurface], adjacent: list[list[AdjacentSurface]]
) -> list[FeatureRole]:
    """The role of every surface. A ball that continues fillets of its radius, as at a corner, is a fillet too."""
    roles = [_role_by_shape(segmentation, merged, k, adjacent[k]) for k in range(len(merged))]
    soft = {k for k, role in enumerate(roles) if role in ("fillet", "rounding")}
    for k, m in enumerate(merged):
        f = m.surface
        if f.shape.kind == "sphere" and any(
            c.other in soft
            and c.angle < 4 * MAX_TANGENT_ANGLE_RAD
            and abs(_fillet_radius(merged[c.other].surface) - f.shape.radius) < 0.02 * f.shape.radius
            for c in adjacent[k]
        ):
            roles[k] = "fillet" if f.inner else "rounding"
    return roles


def _fillet_radius(f: FittedSurface) -> float:
    return f.shape.tube if f.shape.kind == "torus" else f.shape.radius


def _role_by_shape(
    segmentation: Segmentation, merged: list[MergedSurface], k: int, adjacent: list[AdjacentSurface]
) -> FeatureRole:
    f, size = merged[k].surface, segmentation.body.size
    shape = f.shape
    tangent = [c for c in adjacent if c.tangent]
    is_fillet = False
    match shape.kind:
        case "plane":
            return "face"
        case "cone":
            return _cone_role(f, [merged[c.other].surface for c in adjacent], segmentation.tolerance)
        case "torus":
            small = shape.tube < min(0.6 * shape.radius, MAX_TUBE_RADIUS_RATIO * size)
            is_fillet = small and len(tangent) > 0
        case "cylinder":
            alongside = any(c.length > 0.4 * (f.high - f.low) for c in tangent)
            small = shape.radius < MAX_FILLET_RADIUS_RATIO * size and f.covered_degrees <= MAX_FILLET_DEGREES
            is_fillet = small and alongside and len(tangent) >= 2
    if is_fillet:
        return "fillet" if f.inner else "rounding"
    return "feature"


def _cone_role(f: FittedSurface, adjacent: list[FittedSurface], tolerance: float) -> FeatureRole:
    """Draft, a chamfer between a face across its axis and a coaxial round, or a feature."""
    shape = f.shape
    half = abs(np.arctan(shape.slope))
    if half <= MAX_DRAFT_ANGLE_RAD:
        return "draft"
    low, high = (shape.radius + shape.slope * z for z in (f.low, f.high))
    width = abs(high - low)
    narrow = width <= MAX_CHAMFER_WIDTH_RATIO * max(min(low, high), 0.0)
    if not narrow or not MIN_CHAMFER_ANGLE_RAD < half < MAX_CHAMFER_ANGLE_RAD:
        return "feature"
    slack = max(40 * tolerance, 1e-3 * shape.radius)
    square = any(n.shape.kind == "plane" and abs(float(n.shape.direction @ shape.direction)) > 0.9999 for n in adjacent)
    coaxial = any(n.shape.kind in ("cylinder", "cone") and are_coaxial(shape, n.shape, slack, 1e-3) for n in adjacent)
    short = f.high - f.low < 0.5 * min(low, high) + width
    return "chamfer" if square and coaxial and short else "feature"
