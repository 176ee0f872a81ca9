"""Roles: what a surface is on the part — a feature, a fillet, a rounding, a chamfer, or draft."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.merge_rounds import MergedSurface, are_coaxial
from foldsketch.mesh.features.mesh_reading import FeatureRole
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import row_dots
from foldsketch.mesh.segmentation.segment import Segmentation

MAX_TANGENT_ANGLE_RAD = np.radians(2.5)
MAX_DRAFT_ANGLE_RAD = np.radians(3.6)
"""Half angle up to which a taper counts as draft: foundry practice is 0.5 to 3 degrees [C]."""


@dataclass(frozen=True, slots=True)
class AdjacentSurface:
    """Two pieces that share a border: its length, mm, and the angle between them there, radians (0 is tangent)."""

    other: int
    length: float
    angle: float


def find_adjacent_surfaces(segmentation: Segmentation, merged: list[MergedSurface]) -> list[list[AdjacentSurface]]:
    """For every piece, the pieces that it borders on."""
    body = segmentation.body
    owner = np.full(len(body.triangles), -1, dtype=np.int64)
    for k, piece in enumerate(merged):
        owner[piece.surface.triangles] = k
    one, other = owner[body.face_adjacency[:, 0]], owner[body.face_adjacency[:, 1]]
    rows = np.flatnonzero((one != other) & (one >= 0) & (other >= 0))
    low, high = np.minimum(one[rows], other[rows]), np.maximum(one[rows], other[rows])
    key = low * len(merged) + high
    order = np.argsort(key, kind="stable")
    rows, key = rows[order], key[order]
    starts = np.flatnonzero(np.r_[True, key[1:] != key[:-1]]) if len(key) else np.empty(0, dtype=np.int64)
    out: list[list[AdjacentSurface]] = [[] for _ in merged]
    for a, b in zip(starts.tolist(), [*starts[1:].tolist(), len(key)] if len(starts) else [], strict=True):
        i, j = divmod(int(key[a]), len(merged))
        ends = body.corners[body.face_adjacency_edges[rows[a:b]]]
        length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        at = ends[:, 0]
        cosine = row_dots(_outward_normals(merged[i], at), _outward_normals(merged[j], at))
        angle = float(np.average(np.arccos(np.clip(cosine, -1, 1)), weights=np.maximum(length, 1e-12)))
        out[i].append(AdjacentSurface(j, float(length.sum()), angle))
        out[j].append(AdjacentSurface(i, float(length.sum()), angle))
    return out


def _outward_normals(piece: MergedSurface, points: Array) -> Array:
    normal = piece.surface.shape.normal(points)
    return -normal if piece.surface.inner else normal


def assign_roles(
    segmentation: Segmentation, merged: list[MergedSurface], near: list[list[AdjacentSurface]]
) -> list[FeatureRole]:
    """The role of every piece."""
    size = segmentation.body.size
    roles: list[FeatureRole] = [
        _role_by_shape(k, merged, near, size, segmentation.tolerance) for k in range(len(merged))
    ]
    soft = {k for k, r in enumerate(roles) if r in ("fillet", "rounding")}
    for k, piece in enumerate(merged):
        f = piece.surface
        if f.shape.kind == "sphere" and roles[k] == "feature":
            like = [c for c in near[k] if c.other in soft and c.angle < 4 * MAX_TANGENT_ANGLE_RAD]
            if like and any(
                abs(_fillet_radius(merged[c.other]) - f.shape.radius) < 0.02 * f.shape.radius for c in like
            ):
                roles[k] = "fillet" if f.inner else "rounding"
    return roles


def _fillet_radius(piece: MergedSurface) -> float:
    """The small radius of a fillet."""
    return piece.surface.shape.tube if piece.surface.shape.kind == "torus" else piece.surface.shape.radius


def _role_by_shape(
    k: int, merged: list[MergedSurface], near: list[list[AdjacentSurface]], size: float, tolerance: float
) -> FeatureRole:
    f = merged[k].surface
    kind = f.shape.kind
    tangent = [c for c in near[k] if c.angle < MAX_TANGENT_ANGLE_RAD]
    if kind == "plane":
        return "face"
    if kind == "torus":
        small = f.shape.tube < 0.6 * f.shape.radius and f.shape.tube < 0.15 * size
        return ("fillet" if f.inner else "rounding") if tangent and small else "feature"
    if kind == "cylinder":
        sides = [c for c in tangent if c.length > 0.4 * (f.high - f.low)]
        if f.covered_degrees <= 100 and len(sides) >= 1 and len(tangent) >= 2 and f.shape.radius < 0.2 * size:
            return "fillet" if f.inner else "rounding"
        return "feature"
    if kind == "cone":
        return _cone_role(k, merged, near, tolerance)
    return "feature"


def _cone_role(k: int, merged: list[MergedSurface], near: list[list[AdjacentSurface]], tolerance: float) -> FeatureRole:
    f = merged[k].surface
    half = abs(np.arctan(f.shape.slope))
    length = f.high - f.low
    r_low, r_high = (f.shape.radius + f.shape.slope * z for z in (f.low, f.high))
    wide = abs(r_high - r_low)
    if half <= MAX_DRAFT_ANGLE_RAD:
        return "draft"
    if np.radians(12) < half < np.radians(78) and wide <= 0.25 * min(max(r_low, 0), max(r_high, 0)):
        square = coaxial = False
        for c in near[k]:
            other = merged[c.other].surface
            if other.shape.kind == "plane":
                square |= abs(float(other.shape.direction @ f.shape.direction)) > 0.9999
            elif other.shape.kind in ("cylinder", "cone"):
                coaxial |= _are_nearly_coaxial(f.shape, other.shape, tolerance)
            if other.shape.kind == "cone" and abs(abs(float(np.arctan(other.shape.slope))) - half) > 0.02:
                coaxial |= _are_nearly_coaxial(f.shape, other.shape, tolerance)
        if square and coaxial and length < 0.5 * min(r_low, r_high) + wide:
            return "chamfer"
    return "feature"


def _are_nearly_coaxial(a: AnalyticSurface, b: AnalyticSurface, tolerance: float) -> bool:
    return are_coaxial(a, b, max(40 * tolerance, 1e-3 * a.radius), 1e-3, 0.0)
