"""Axes: the lines that round features share, the datum first, and a letter for each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.features.merge_rounds import MergedSurface, are_coaxial
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.surface_fit import apply_step, distance_derivatives, solve_least_squares
from foldsketch.mesh.segmentation.model import FittedSurface, Segmentation

AXIS_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""I and O are left out: they read as figures."""

MIN_PARALLEL_COSINE = 1 - 1e-8
"""Axes whose directions agree better than this are parallel."""

MAX_FIT_CORNERS = 4000
"""Corners of each cylinder that a common axis is fitted to."""

MIN_AXIS_DEGREES = 60.0
"""A cylinder that covers less of the turn has no say in where a common axis is."""


@dataclass(slots=True, eq=False)
class CoaxialGroup:
    """Surfaces on one axis.

    members: their numbers; point (3,), direction (3,): of the axis, mm; weight: how much is turned about it, area times
    radius, mm3; letter: name of the axis.
    """

    members: list[int]
    point: Array
    direction: Array
    weight: float = 0.0
    letter: str = ""

    def is_parallel(self, other: CoaxialGroup) -> bool:
        """Whether two axes are parallel."""
        return abs(float(self.direction @ other.direction)) > MIN_PARALLEL_COSINE


def axis_letter(n: int) -> str:
    """The n-th axis name: A, B, … Z, AA, AB and so on.

    >>> axis_letter(0), axis_letter(8), axis_letter(24)
    ('A', 'J', 'AA')
    """
    if n < len(AXIS_LETTERS):
        return AXIS_LETTERS[n]
    return axis_letter(n // len(AXIS_LETTERS) - 1) + AXIS_LETTERS[n % len(AXIS_LETTERS)]


def group_coaxial_surfaces(
    segmentation: Segmentation, merged: list[MergedSurface], wanted: list[int]
) -> list[CoaxialGroup]:
    """The axes of the wanted surfaces: the datum, those parallel to it, the others; each by how much turns about it."""
    groups: list[CoaxialGroup] = []
    for k in sorted(wanted, key=lambda k: -_axis_reliability(merged[k].surface)):
        surface = merged[k].surface
        home = next((g for g in groups if _is_coaxial(surface, g, segmentation.tolerance)), None)
        if home is None:
            groups.append(CoaxialGroup([k], surface.shape.point, surface.shape.direction))
        else:
            home.members.append(k)
    for group in groups:
        surfaces = [merged[k].surface for k in group.members]
        group.weight = sum(
            segmentation.area_of(f) * _mean_radius(f) * min(1.0, f.covered_degrees / 300) ** 2 for f in surfaces
        )
        group.point, group.direction = _fit_common_axis(segmentation, surfaces, group)
    groups.sort(key=lambda g: -g.weight)
    for datum in groups[:1]:
        groups.sort(key=lambda g: not g.is_parallel(datum))
        for group in groups:
            if group.is_parallel(datum) and group.direction @ datum.direction < 0:
                group.direction = -group.direction
    for i, group in enumerate(groups):
        group.letter = axis_letter(i)
    return groups


def _mean_radius(f: FittedSurface) -> float:
    """Radius half-way along, mm: the datum is where most of the part turns, and stout counts more than long."""
    if f.shape.kind == "sphere":
        return 1e-6
    return abs(f.shape.radius + f.shape.slope * (f.low + f.high) / 2)


def _axis_reliability(f: FittedSurface) -> float:
    """How well a surface fixes its axis: by its length and by how much of the turn it covers."""
    if f.shape.kind == "sphere":
        return 0.0
    return (f.high - f.low) * f.shape.radius * f.covered_degrees**2 + 1e-9 * len(f.triangles)


def _is_coaxial(f: FittedSurface, group: CoaxialGroup, tolerance: float) -> bool:
    if f.shape.kind == "sphere":
        off = f.shape.point - group.point
        off = off - group.direction * float(off @ group.direction)
        return bool(np.linalg.norm(off) < 10 * tolerance)
    loose = 1.0 if f.covered_degrees > 150 else 6.0
    tilt = max(1e-6, loose * 2 * tolerance / max(f.high - f.low, 1e-9))
    middle = f.shape.point + f.shape.direction * (f.low + f.high) / 2
    axis = AnalyticSurface("cylinder", group.point, group.direction)
    own = AnalyticSurface("cylinder", middle, f.shape.direction)
    return are_coaxial(axis, own, loose * 5 * tolerance, min(tilt, 0.02))


def _fit_common_axis(
    segmentation: Segmentation, surfaces: list[FittedSurface], group: CoaxialGroup
) -> tuple[Array, Array]:
    """Point and direction of the line nearest to the corners of all coaxial cylinders, each with a radius of its own.

    Where there is only one cylinder, or none, the axis of the surface that fixes it best; of exact ones the best.
    """
    exact = [f for f in surfaces if f.shape.exact and f.shape.kind != "sphere"]
    if exact:
        best = max(exact, key=_axis_reliability)
        return best.shape.point, best.shape.direction
    cylinders = [f for f in surfaces if f.shape.kind == "cylinder" and f.covered_degrees > MIN_AXIS_DEGREES]
    if len(cylinders) < 2:
        best = max(surfaces, key=_axis_reliability)
        return best.shape.point, best.shape.direction
    clouds = [segmentation.fit_points(f.triangles) for f in cylinders]
    clouds = [c[:: 1 + len(c) // MAX_FIT_CORNERS] for c in clouds]
    points = np.concatenate(clouds)
    starts = np.cumsum([0] + [len(c) for c in clouds[:-1]])
    counts = [len(c) for c in clouds]
    height = float(((points - group.point) @ group.direction).mean())
    axis = AnalyticSurface("cylinder", group.point + group.direction * height, group.direction)
    for _ in range(5):
        rows = np.vstack((distance_derivatives(axis, points)[[0, 1, 3, 4]], axis.distance(points)))
        rows -= np.repeat(np.add.reduceat(rows, starts, axis=1) / counts, counts, axis=1)  # takes off each radius
        step = np.zeros(7)
        step[[0, 1, 3, 4]] = solve_least_squares(rows[:4], -rows[4])
        axis = apply_step(axis, step)
    return axis.point, axis.direction
