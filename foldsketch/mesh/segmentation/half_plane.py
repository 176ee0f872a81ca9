"""Half-plane: triangles seen by their distance r from an axis and their place z along it, and surfaces about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import reindex_corners, row_dots, row_norms
from foldsketch.mesh.segmentation.evaluate import MAX_RADIUS_RATIO, MIN_STEPS
from foldsketch.mesh.segmentation.model import FittedSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.surface_hypotheses import try_surface


@dataclass(frozen=True, slots=True, eq=False)
class HalfPlane:
    """An axis (point (3,), unit direction (3,)) and the triangles in which surfaces about it are looked for."""

    grower: RegionGrower
    pool: Ints
    point: Array
    direction: Array

    def coordinates(self, triangles: Ints) -> tuple[Array, Array, Array]:
        """R (m, 3) and z (m, 3) of the corners of triangles, mm, and the radial part (m,) of their normals."""
        body = self.grower.body
        used, local = reindex_corners(len(body.corners), body.triangles[triangles])
        q = body.corners[used] - self.point
        z = q @ self.direction
        radial = q - np.outer(z, self.direction)
        middle = radial[local].sum(axis=1)
        outward = row_dots(middle, body.normals[triangles]) / np.maximum(row_norms(middle), 1e-300)
        return row_norms(radial)[local], z[local], outward

    def try_torus_or_sphere(self, centre: Array, tube: float, seeds: Ints) -> FittedSurface | None:
        """The torus of an arc about centre (r, z) with radius tube, or a sphere where its centre is on the axis."""
        size, tolerance = self.grower.body.size, self.grower.tolerance
        point, r = self.point + centre[1] * self.direction, float(centre[0])
        if tube > MAX_RADIUS_RATIO * size:
            return None
        if abs(r) < max(20 * tolerance, 1e-3 * tube):
            found = self._try(AnalyticSurface("sphere", point, self.direction, tube), seeds, 0.0)
            if found is not None:
                return found
        if not 0 < r <= MAX_RADIUS_RATIO * size:
            return None
        return self._try(AnalyticSurface("torus", point, self.direction, r, 0.0, tube), seeds, 0.0)

    def try_cone_or_cylinder(self, a: Array, b: Array, seeds: Ints) -> FittedSurface | None:
        """The cone, or cylinder, whose profile runs from (r, z) a to b."""
        growth, rise = float(b[0] - a[0]), float(b[1] - a[1])
        if abs(rise) < 1e-3 * abs(growth):
            return None
        point, r = self.point + a[1] * self.direction, float(a[0])
        if abs(growth) < 4 * self.grower.tolerance:
            return self._try(AnalyticSurface("cylinder", point, self.direction, r), seeds)
        return self._try(AnalyticSurface("cone", point, self.direction, r, growth / rise), seeds)

    def try_cylinder(self, radius: float, seeds: Ints) -> FittedSurface | None:
        """The cylinder of a radius."""
        return self._try(AnalyticSurface("cylinder", self.point, self.direction, radius), seeds)

    def _try(self, shape: AnalyticSurface, seeds: Ints, least_steps: float = MIN_STEPS) -> FittedSurface | None:
        return try_surface(self.grower, shape, seeds, self.pool, least_steps)
