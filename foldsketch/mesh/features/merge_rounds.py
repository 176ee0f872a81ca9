"""Merge rounds: surfaces of one round, separated by a groove, a keyway or the exporter, become one."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, perpendicular_axes
from foldsketch.mesh.geometry.surface_fit import refine_surface
from foldsketch.mesh.segmentation.angular_coverage import degrees_covered
from foldsketch.mesh.segmentation.model import FittedSurface, Segmentation


@dataclass(frozen=True, slots=True, eq=False)
class MergedSurface:
    """A surface made of one or more of those of a segmentation. source_indices: their numbers."""

    surface: FittedSurface
    source_indices: tuple[int, ...]


def merge_split_surfaces(segmentation: Segmentation) -> list[MergedSurface]:
    """Surfaces of one axis and radius put together, fitted again to all of their corners; the largest first."""
    area = np.array([segmentation.area_of(f) for f in segmentation.surfaces])
    out: list[MergedSurface] = []
    for i in np.argsort(-area).tolist():
        out.append(MergedSurface(segmentation.surfaces[i], (i,)))
        _merge_into_earlier(segmentation, out, len(out) - 1)
    # One may bridge two that were too far apart.
    while sum(_merge_into_earlier(segmentation, out, i) for i in range(len(out) - 1, 0, -1)):
        pass
    return [_refit(segmentation, p) for p in out]


def _merge_into_earlier(segmentation: Segmentation, out: list[MergedSurface], i: int) -> bool:
    """Merge a surface of a list into the first one before it that is the same, if there is one."""
    for k in range(i):
        if _is_same_surface(segmentation, out[k].surface, out[i].surface):
            out[k] = _combine(segmentation, out[k], out.pop(i))
            return True
    return False


def _is_same_surface(segmentation: Segmentation, big: FittedSurface, small: FittedSurface) -> bool:
    shape = big.shape
    if shape.kind != small.shape.kind or shape.kind == "plane" or big.inner != small.inner:
        return False
    if abs(shape.radius - small.shape.radius) > 0.05 * shape.radius and shape.kind != "cone":
        return False
    slack = 3 * segmentation.tolerance
    off = np.abs(shape.distance(segmentation.fit_points(small.triangles))).max()
    if off > slack * (1 + _extrapolation_factor(big, small)):
        return False
    if shape.kind in ("sphere", "torus"):
        return True
    low, high = _axial_extent(segmentation, shape, small.triangles)
    if low <= big.high + slack and high >= big.low - slack:
        return True
    gap = (big.high, low) if low > big.high else (high, big.low)
    widest = min(max(min(big.high - big.low, high - low), 0.3 * shape.radius), shape.radius)
    return gap[1] - gap[0] <= widest and _is_groove_gap(segmentation, big, gap)


def _extrapolation_factor(big: FittedSurface, small: FittedSurface) -> float:
    """How far off a small surface may be because the axis of the large one is known only so well, in slacks."""
    return min(3.0, 0.2 * abs(small.high - small.low) / max(big.high - big.low, 1e-9))


def _axial_extent(segmentation: Segmentation, shape: AnalyticSurface, triangles: Ints) -> tuple[float, float]:
    z = (segmentation.fit_points(triangles) - shape.point) @ shape.direction
    return float(z.min()), float(z.max())


def _is_groove_gap(segmentation: Segmentation, round_: FittedSurface, gap: tuple[float, float]) -> bool:
    """Whether the gap between two surfaces of a round is a groove.

    Coaxial cylinders in it, all deeper in the material than the round.
    """
    slack = 4 * segmentation.tolerance
    shape = round_.shape
    floors = []
    for f in segmentation.surfaces:
        if f.shape.kind != "cylinder" or f.inner != round_.inner:
            continue
        if abs(float(f.shape.direction @ shape.direction)) < 1 - 1e-8:
            continue
        off = f.shape.point - shape.point
        off = off - shape.direction * float(off @ shape.direction)
        if np.linalg.norm(off) > max(10 * slack, 1e-4 * shape.radius):
            continue
        low, high = _axial_extent(segmentation, shape, f.triangles)
        if low >= gap[0] - slack and high <= gap[1] + slack:
            floors.append(f.shape.radius > shape.radius if round_.inner else f.shape.radius < shape.radius)
    return bool(floors) and all(floors)


def _combine(segmentation: Segmentation, big: MergedSurface, small: MergedSurface) -> MergedSurface:
    triangles = np.concatenate((big.surface.triangles, small.surface.triangles))
    low, high = _axial_extent(segmentation, big.surface.shape, triangles)
    surface = replace(big.surface, triangles=triangles, low=low, high=high)
    return MergedSurface(surface, (*big.source_indices, *small.source_indices))


def _refit(segmentation: Segmentation, merged: MergedSurface) -> MergedSurface:
    """Fitted once more to all corners; the direction as near to +z, then +y, then +x as it can be."""
    f = merged.surface
    if f.shape.kind == "plane":
        return merged
    points = segmentation.fit_points(f.triangles)
    shape = refine_surface(f.shape, points)
    if shape.kind == "sphere":
        shape = replace(shape, direction=f.shape.direction)
    elif _points_backwards(shape.direction):
        shape = shape.reversed()
    covered = f.covered_degrees
    if len(merged.source_indices) > 1:
        covered = degrees_covered(shape, segmentation.body, f.triangles)
    misfit = np.abs(shape.distance(points))
    z = (points - shape.point) @ shape.direction
    surface = replace(
        f,
        shape=shape,
        covered_degrees=covered,
        misfit_max=float(misfit.max()),
        misfit_rms=float(np.sqrt((misfit**2).mean())),
        low=float(z.min()),
        high=float(z.max()),
    )
    return MergedSurface(surface, merged.source_indices)


def _points_backwards(d: Array) -> bool:
    """Whether the largest part of a direction, of equal ones that along z, then along y, is negative."""
    largest = np.abs(d).max() - 1e-6
    k = next(k for k in (2, 1, 0) if abs(d[k]) > largest)
    return bool(d[k] < 0)


def are_coaxial(a: AnalyticSurface, b: AnalyticSurface, slack: float, tilt: float) -> bool:
    """Whether two axes are one line: parallel within tilt, radians, and within slack mm at b's point."""
    if abs(float(a.direction @ b.direction)) < np.cos(max(tilt, 1e-7)):
        return False
    u, v = perpendicular_axes(a.direction)
    off = b.point - a.point
    return bool(np.hypot(off @ u, off @ v) <= slack)
