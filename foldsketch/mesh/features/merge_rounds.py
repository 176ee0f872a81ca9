"""Merge: pieces of one round, parted by a groove, a keyway or the exporter, become one feature."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, perpendicular_axes
from foldsketch.mesh.geometry.surface_fit import refine_surface
from foldsketch.mesh.segmentation.angular_coverage import degrees_covered
from foldsketch.mesh.segmentation.region_growing import FittedSurface
from foldsketch.mesh.segmentation.segment import Segmentation


@dataclass(frozen=True, slots=True, eq=False)
class MergedSurface:
    """A surface made of one or more of those found; low and high lie along its shape's direction from its point."""

    surface: FittedSurface
    source_indices: tuple[int, ...]


def merge_split_surfaces(segmentation: Segmentation) -> list[MergedSurface]:
    """Pieces of one axis and radius put together, refitted to all of their corners; the largest first."""
    pieces = [MergedSurface(f, (k,)) for k, f in enumerate(segmentation.surfaces)]
    area = [float(segmentation.body.areas[p.surface.triangles].sum()) for p in pieces]
    out: list[MergedSurface] = []
    for i in np.argsort(-np.array(area)).tolist():
        piece = pieces[i]
        home = next((k for k, big in enumerate(out) if _is_same_surface(segmentation, big, piece)), None)
        if home is None:
            out.append(piece)
        else:
            out[home] = _combine(segmentation, out[home], piece)
    again = True
    while again:  # a piece may bridge two that were too far apart
        again = False
        for i in range(len(out) - 1, 0, -1):
            home = next((k for k in range(i) if _is_same_surface(segmentation, out[k], out[i])), None)
            if home is not None:
                out[home] = _combine(segmentation, out[home], out.pop(i))
                again = True
    return [_refit(segmentation, p) for p in out]


def _fit_points(segmentation: Segmentation, triangles: Ints) -> Array:
    return segmentation.fit_points(triangles)


def _is_same_surface(segmentation: Segmentation, big: MergedSurface, small: MergedSurface) -> bool:
    a, b = big.surface, small.surface
    if a.shape.kind != b.shape.kind or a.shape.kind == "plane" or a.inner != b.inner:
        return False
    if abs(a.shape.radius - b.shape.radius) > 0.05 * a.shape.radius and a.shape.kind != "cone":
        return False
    slack = 3 * segmentation.tolerance
    if np.abs(a.shape.distance(_fit_points(segmentation, b.triangles))).max() > slack * (
        1 + _extrapolation_factor(a, b)
    ):
        return False
    if a.shape.kind in ("sphere", "torus"):
        return True
    low, high = _axial_extent(segmentation, a.shape, b.triangles)
    if low <= a.high + slack and high >= a.low - slack:
        return True
    gap = (a.high, low) if low > a.high else (high, a.low)
    width, shorter = gap[1] - gap[0], max(min(a.high - a.low, high - low), 0.3 * a.shape.radius)
    return width <= min(shorter, a.shape.radius) and _is_groove_gap(segmentation, a, gap)


def _extrapolation_factor(a: FittedSurface, b: FittedSurface) -> float:
    """How much a small piece may stray because the large one's axis is known only so well."""
    return min(3.0, 0.2 * abs(b.high - b.low) / max(a.high - a.low, 1e-9))


def _axial_extent(segmentation: Segmentation, shape: AnalyticSurface, triangles: Ints) -> tuple[float, float]:
    z = (_fit_points(segmentation, triangles) - shape.point) @ shape.direction
    return float(z.min()), float(z.max())


def _is_groove_gap(segmentation: Segmentation, a: FittedSurface, gap: tuple[float, float]) -> bool:
    """Whether the gap between two pieces is a groove: a floor round the same axis, and nothing beyond the round."""
    slack = 4 * segmentation.tolerance
    floor = False
    for f in segmentation.surfaces:
        if f.shape.kind != "cylinder" or f.inner != a.inner:
            continue
        if abs(float(f.shape.direction @ a.shape.direction)) < 1 - 1e-8:
            continue
        off = f.shape.point - a.shape.point
        off = off - a.shape.direction * float(off @ a.shape.direction)
        if np.linalg.norm(off) > max(10 * slack, 1e-4 * a.shape.radius):
            continue
        low, high = _axial_extent(segmentation, a.shape, f.triangles)
        if low >= gap[0] - slack and high <= gap[1] + slack:
            deeper = f.shape.radius < a.shape.radius if not a.inner else f.shape.radius > a.shape.radius
            if not deeper:
                return False
            floor = True
    return floor


def _combine(segmentation: Segmentation, big: MergedSurface, small: MergedSurface) -> MergedSurface:
    triangles = np.concatenate((big.surface.triangles, small.surface.triangles))
    low, high = _axial_extent(segmentation, big.surface.shape, triangles)
    found = replace(big.surface, triangles=triangles, low=low, high=high)
    return MergedSurface(found, (*big.source_indices, *small.source_indices))


def _refit(segmentation: Segmentation, piece: MergedSurface) -> MergedSurface:
    """Fitted once more to all corners; direction as near to +z, then +y, then +x as it can be."""
    f = piece.surface
    points = _fit_points(segmentation, f.triangles)
    if f.shape.kind == "plane":
        return piece
    shape = refine_surface(f.shape, points)
    if f.shape.kind != "sphere":
        shape = shape.reversed() if _points_backwards(shape.direction) else shape
    misfit = np.abs(shape.distance(points))
    z = (points - shape.point) @ shape.direction
    wrap = (
        f.covered_degrees if len(piece.source_indices) == 1 else degrees_covered(shape, segmentation.body, f.triangles)
    )
    if shape.kind == "sphere":
        shape = AnalyticSurface("sphere", shape.point, f.shape.direction, shape.radius)
        z = (points - shape.point) @ shape.direction
    found = replace(
        f,
        shape=shape,
        covered_degrees=wrap,
        misfit_max=float(misfit.max()),
        misfit_rms=float(np.sqrt((misfit**2).mean())),
        low=float(z.min()),
        high=float(z.max()),
    )
    return MergedSurface(found, piece.source_indices)


def _points_backwards(d: Array) -> bool:
    k = int(np.argmax(np.abs(d) > np.abs(d).max() - 1e-6))
    for i in (2, 1, 0):
        if abs(d[i]) > np.abs(d).max() - 1e-6:
            k = i
            break
    return bool(d[k] < 0)


def are_coaxial(a: AnalyticSurface, b: AnalyticSurface, slack: float, tilt: float, tolerance: float) -> bool:
    """Whether two axes are one line: within slack mm of each other over `reach` mm, or parallel within tilt."""
    cosine = abs(float(a.direction @ b.direction))
    if cosine < np.cos(max(tilt, 1e-7)):
        return False
    off = b.point - a.point
    u, v = perpendicular_axes(a.direction)
    return bool(np.hypot(off @ u, off @ v) <= slack + tolerance * np.sqrt(max(0.0, 2 - 2 * cosine)))
