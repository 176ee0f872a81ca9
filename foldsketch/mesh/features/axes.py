"""Axes: lines that features share, the datum among them, bolt circles, and a letter for each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.merge_rounds import MergedSurface, are_coaxial
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, perpendicular_axes
from foldsketch.mesh.segmentation.segment import Segmentation

AXIS_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""I and O are passed over: they read as figures."""


@dataclass(slots=True, eq=False)
class CoaxialGroup:
    """An axis in the making: pieces (indices), its line, and how much round surface it carries, mm2."""

    pieces: list[int]
    point: Array
    direction: Array
    weight: float
    letter: str = ""


def axis_letter(n: int) -> str:
    """The n-th axis name: A, B, … Z, AA, AB, …

    >>> axis_letter(0), axis_letter(8), axis_letter(24)
    ('A', 'J', 'AA')
    """
    if n < len(AXIS_LETTERS):
        return AXIS_LETTERS[n]
    return axis_letter(n // len(AXIS_LETTERS) - 1) + AXIS_LETTERS[n % len(AXIS_LETTERS)]


def group_coaxial_surfaces(
    segmentation: Segmentation, merged: list[MergedSurface], wanted: list[int]
) -> list[CoaxialGroup]:
    """Lines through the wanted pieces, the datum first, then those parallel to it, then the others."""
    body = segmentation.body
    area = {k: float(body.areas[merged[k].surface.triangles].sum()) for k in wanted}
    order = sorted(wanted, key=lambda k: -_axis_reliability(merged[k]))
    lines: list[CoaxialGroup] = []
    for k in order:
        shape = merged[k].surface.shape
        home = None
        for line in lines:
            if _is_coaxial(segmentation, merged[k], line):
                home = line
                break
        if home is None:
            lines.append(CoaxialGroup([k], shape.point, shape.direction, 0.0))
        else:
            home.pieces.append(k)
    for line in lines:
        line.weight = sum(
            area[k] * _mean_radius(merged[k]) * min(1.0, merged[k].surface.covered_degrees / 300) ** 2
            for k in line.pieces
        )
        line.point, line.direction = fit_common_axis(segmentation, [merged[k] for k in line.pieces], line)
    lines.sort(key=lambda line: -line.weight)
    if lines:
        datum = lines[0]
        parallel = [n for n in lines[1:] if abs(float(n.direction @ datum.direction)) > 1 - 1e-8]
        others = [n for n in lines[1:] if not any(n is p for p in parallel)]
        for n in parallel:
            if n.direction @ datum.direction < 0:
                n.direction = -n.direction
        lines = [datum, *parallel, *others]
    for i, line in enumerate(lines):
        line.letter = axis_letter(i)
    return lines


def _mean_radius(piece: MergedSurface) -> float:
    """Radius in the middle of a piece: the datum is where most of the part turns, and stout counts more than long."""
    f = piece.surface
    if f.shape.kind == "sphere":
        return 1e-6
    return abs(f.shape.radius + f.shape.slope * (f.low + f.high) / 2)


def _axis_reliability(piece: MergedSurface) -> float:
    """How well a piece holds its axis: by length and by how much of the turn it covers."""
    f = piece.surface
    if f.shape.kind == "sphere":
        return 0.0
    return (f.high - f.low) * f.shape.radius * f.covered_degrees**2 + 1e-9 * len(f.triangles)


def _is_coaxial(segmentation: Segmentation, piece: MergedSurface, group: CoaxialGroup) -> bool:
    f = piece.surface
    if f.shape.kind == "sphere":
        off = f.shape.point - group.point
        off = off - group.direction * float(off @ group.direction)
        return bool(np.linalg.norm(off) < 10 * segmentation.tolerance)
    loose = 1.0 if f.covered_degrees > 150 else 6.0
    length = max(f.high - f.low, 1e-9)
    tilt = max(1e-6, loose * 2 * segmentation.tolerance / length)
    here = f.shape.point + f.shape.direction * (f.low + f.high) / 2
    line_shape = AnalyticSurface("cylinder", group.point, group.direction)
    return are_coaxial(
        line_shape,
        AnalyticSurface("cylinder", here, f.shape.direction),
        loose * 5 * segmentation.tolerance,
        min(tilt, 0.02),
        0.0,
    )


def fit_common_axis(segmentation: Segmentation, merged: list[MergedSurface], line: CoaxialGroup) -> tuple[Array, Array]:
    """The line nearest to all corners of coaxial cylinders at once, each with a radius of its own.

    Gauss-Newton; cones and tori keep no say where there is a cylinder.
    """
    chosen = [p for p in merged if p.surface.shape.kind == "cylinder" and p.surface.covered_degrees > 60]
    first = max(merged, key=_axis_reliability)
    if len(chosen) < 2:
        return first.surface.shape.point, first.surface.shape.direction
    clouds = [segmentation.fit_points(p.surface.triangles) for p in chosen]
    clouds = [c[:: 1 + len(c) // 4000] for c in clouds]
    points = np.concatenate(clouds)
    group = np.repeat(np.arange(len(clouds)), [len(c) for c in clouds])
    count = np.bincount(group)
    p, d = line.point, line.direction
    p = p + d * float(((points - p) @ d).mean())
    for _ in range(5):
        u, v = perpendicular_axes(d)
        q = points - p
        x, y, z = q @ u, q @ v, q @ d
        r = np.sqrt(x * x + y * y)
        misfit = r - (np.bincount(group, weights=r) / count)[group]
        columns = np.column_stack((-x / r, -y / r, -z * x / r, -z * y / r))
        mean = np.column_stack([np.bincount(group, weights=columns[:, k]) / count for k in range(4)])
        jacobian = columns - mean[group]
        scale = np.maximum(np.sqrt((jacobian**2).sum(axis=0)), 1e-300)
        step = np.linalg.lstsq(jacobian / scale, -misfit, rcond=1e-12)[0] / scale
        p = p + step[0] * u + step[1] * v
        d = d + step[2] * u + step[3] * v
        d = d / np.linalg.norm(d)
    return p, d


@dataclass(frozen=True, slots=True)
class HolePattern:
    """Equal holes about a line: index of the line they turn about, diameter, hole diameter, indices of their lines."""

    centre_index: int
    diameter: float
    hole: float
    members: tuple[int, ...]


def find_hole_patterns(groups: list[CoaxialGroup], merged: list[MergedSurface], slack: float) -> list[HolePattern]:
    """Three or more equal bores, evenly spaced about one of the parallel lines (the datum first)."""
    if not groups:
        return []
    datum = groups[0].direction
    u, v = perpendicular_axes(datum)
    parallel = [i for i, n in enumerate(groups) if abs(float(n.direction @ datum)) > 1 - 1e-8]
    at = {i: np.array([groups[i].point @ u, groups[i].point @ v]) for i in parallel}
    holes: dict[tuple[float, ...], list[int]] = {}
    for i in parallel:
        inner = [
            merged[k].surface
            for k in groups[i].pieces
            if merged[k].surface.inner and merged[k].surface.covered_degrees > 250
        ]
        if inner and len(inner) == len(groups[i].pieces):
            sizes = sorted({round(2 * f.shape.radius, 2) for f in inner if f.shape.kind == "cylinder"})
            holes.setdefault(tuple(sizes), []).append(i)
    out: list[HolePattern] = []
    for bores, members in holes.items():
        left = set(members)
        for centre in [*parallel, -1]:
            if len(left) < 3 or not bores:
                break
            middle = at[centre] if centre >= 0 else np.mean([at[i] for i in left], axis=0)
            for ring in _evenly_spaced_rings([i for i in sorted(left) if i != centre], at, middle, slack):
                radius = float(np.mean([np.hypot(*(at[i] - middle)) for i in ring]))
                out.append(HolePattern(max(centre, 0), 2 * radius, bores[0], tuple(ring)))
                left -= set(ring)
    return out


def _evenly_spaced_rings(members: list[int], at: dict[int, Array], middle: Array, slack: float) -> list[list[int]]:
    distance = {i: float(np.hypot(*(at[i] - middle))) for i in members}
    found = []
    todo = sorted(members, key=lambda i: distance[i])
    while todo:
        ring = [i for i in todo if distance[i] - distance[todo[0]] < max(4 * slack, 1e-4 * distance[todo[0]] + 1e-3)]
        todo = [i for i in todo if i not in ring]
        if len(ring) < 3 or distance[ring[0]] < 10 * slack:
            continue
        angle = {i: float(np.arctan2(*(at[i] - middle)[::-1])) for i in ring}
        ring.sort(key=lambda i: angle[i])
        steps = np.diff([*(angle[i] for i in ring), angle[ring[0]] + 2 * np.pi])
        if np.ptp(steps) < 2e-3:
            found.append(ring)
    return found
