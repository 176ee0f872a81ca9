"""Analytic surface: a plane, cylinder, cone, sphere or torus, its distance from points and its normals."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.geometry.measure import row_dots, row_norms

SurfaceKind = Literal["plane", "cylinder", "cone", "sphere", "torus"]


@dataclass(frozen=True, slots=True, eq=False)
class AnalyticSurface:
    """A surface of revolution, or a plane. Lengths mm.

    point (3,), direction (3,) unit: a point of the axis and its direction; plane: a point and the normal; sphere: the
    centre and any direction; torus: the centre. radius: of a cylinder, a sphere, a torus's centre circle, a cone at
    `point`; slope: growth of a cone's radius along direction; tube: radius of a torus's tube. exact: as a CAD file has
    it, so that no fit to corners makes it better.
    """

    kind: SurfaceKind
    point: Array
    direction: Array
    radius: float = 0.0
    slope: float = 0.0
    tube: float = 0.0
    exact: bool = False

    def distance(self, points: Array) -> Array:
        """Signed distance (n,) of points (n, 3), positive outside the round or on the side of a plane's normal.

        >>> drum = AnalyticSurface("cylinder", np.zeros(3), np.array([0.0, 0, 1]), 5.0)
        >>> drum.distance(np.array([[7.0, 0, 3], [0, 4, 9]])).tolist()
        [2.0, -1.0]
        """
        q = points - self.point
        if self.kind == "sphere":
            return _row_norms(q) - self.radius
        z: Array = q @ self.direction
        if self.kind == "plane":
            return z
        r = np.sqrt(np.maximum(row_dots(q, q) - z * z, 0.0))
        if self.kind == "cylinder":
            out: Array = r - self.radius
        elif self.kind == "cone":
            out = (r - self.radius - self.slope * z) / np.sqrt(1 + self.slope**2)
        else:
            out = np.sqrt((r - self.radius) ** 2 + z * z) - self.tube
        return out

    def normal(self, points: Array) -> Array:
        """Unit normals (n, 3) at points near the surface, away from the axis (torus: out of the tube)."""
        q = points - self.point
        if self.kind == "plane":
            return np.broadcast_to(self.direction, q.shape)
        if self.kind == "sphere":
            return np.asarray(q / _row_norms(q)[:, None], dtype=np.float64)
        z = q @ self.direction
        radial = q - np.outer(z, self.direction)
        r = _row_norms(radial)
        out: Array = radial / r[:, None]
        if self.kind == "cone":
            out = (out - self.slope * self.direction) / np.sqrt(1 + self.slope**2)
        elif self.kind == "torus":
            out = (r - self.radius)[:, None] * out + np.outer(z, self.direction)
            out = out / _row_norms(out)[:, None]
        return out

    def reversed(self) -> AnalyticSurface:
        """The same surface with its direction turned round."""
        return replace(self, direction=-self.direction, slope=-self.slope)


def on_axis(shape: AnalyticSurface, point: Array, direction: Array) -> AnalyticSurface:
    """The same cylinder, cone or torus about a line (point, unit direction) that is its axis but for rounding."""
    place = point + direction * float((shape.point - point) @ direction)
    slope = shape.slope if float(direction @ shape.direction) >= 0 else -shape.slope
    return replace(shape, point=place, direction=direction, slope=slope)


def _row_norms(v: Array) -> Array:
    out: Array = np.maximum(row_norms(v), 1e-300)
    return out


def perpendicular_axes(direction: Array) -> tuple[Array, Array]:
    """Two unit vectors u, v that make a right-handed frame (u, v, direction) with a unit direction (3,)."""
    x, y, z = (float(c) for c in direction)
    if abs(x) < 0.6:
        size = math.hypot(y, z)
        u = (0.0, -z / size, y / size)
    else:
        size = math.hypot(x, z)
        u = (z / size, 0.0, -x / size)
    v = (y * u[2] - z * u[1], z * u[0] - x * u[2], x * u[1] - y * u[0])
    return np.array(u), np.array(v)
