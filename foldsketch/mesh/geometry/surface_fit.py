"""Fit: the line, circle, cylinder, cone, sphere or torus that lies nearest to given corners.

All fits are orthogonal distances in the least squares sense, by Gauss-Newton steps in a frame that moves with the
axis; the corners are used as they are, since on a mesh from CAD they lie on the surface.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from foldsketch.base.arrays import Array

SurfaceKind = Literal["plane", "cylinder", "cone", "sphere", "torus"]


@dataclass(frozen=True, slots=True, eq=False)
class AnalyticSurface:
    """A surface of revolution, or a plane.

    point (3,), direction (3,) unit: its axis, or a plane's point and normal; sphere: the centre, any direction.
    radius: of a cylinder, a sphere, a torus's centre circle, a cone at `point`; slope: growth of a cone's radius along
    direction; tube: radius of a torus's tube. All mm.
    """

    kind: SurfaceKind
    point: Array
    direction: Array
    radius: float = 0.0
    slope: float = 0.0
    tube: float = 0.0

    def distance(self, points: Array) -> Array:
        """Signed distance (n,) of points (n, 3), positive outside of the round or on the normal's side."""
        q = points - self.point
        if self.kind == "sphere":
            return _row_norms(q) - self.radius
        z = q @ self.direction
        if self.kind == "plane":
            return np.asarray(z, dtype=np.float64)
        r = np.sqrt(np.maximum(np.einsum("ij,ij->i", q, q) - z * z, 0.0))
        if self.kind == "cylinder":
            out: Array = r - self.radius
        elif self.kind == "cone":
            out = (r - self.radius - self.slope * z) / np.sqrt(1 + self.slope**2)
        else:
            out = np.sqrt((r - self.radius) ** 2 + z * z) - self.tube
        return out

    def normal(self, points: Array) -> Array:
        """Unit normals (n, 3) at points near the surface, away from the axis (or out of a torus's tube)."""
        q = points - self.point
        if self.kind == "plane":
            return np.broadcast_to(self.direction, q.shape)
        if self.kind == "sphere":
            return np.asarray(q / _row_norms(q)[:, None], dtype=np.float64)
        z = q @ self.direction
        radial = q - np.outer(z, self.direction)
        r = _row_norms(radial)
        radial = radial / r[:, None]
        if self.kind == "cylinder":
            return np.asarray(radial, dtype=np.float64)
        out: Array
        if self.kind == "cone":
            out = (radial - self.slope * self.direction) / np.sqrt(1 + self.slope**2)
            return out
        out = (r - self.radius)[:, None] * radial + np.outer(z, self.direction)
        out = out / _row_norms(out)[:, None]
        return out


def _row_norms(v: Array) -> Array:
    out: Array = np.maximum(np.sqrt(np.einsum("ij,ij->i", v, v)), 1e-300)
    return out


def perpendicular_axes(direction: Array) -> tuple[Array, Array]:
    """Two unit vectors that make a right-handed frame (u, v, direction)."""
    x, y, z = (float(c) for c in direction)
    if abs(x) < 0.6:
        size = math.hypot(y, z)
        u = (0.0, -z / size, y / size)
    else:
        size = math.hypot(x, z)
        u = (z / size, 0.0, -x / size)
    v = (y * u[2] - z * u[1], z * u[0] - x * u[2], x * u[1] - y * u[0])
    return np.array(u), np.array(v)


def fit_plane(points: Array) -> AnalyticSurface:
    """Total least squares plane. points: (n >= 3, 3)."""
    centre = points.mean(axis=0)
    _, vectors = np.linalg.eigh((points - centre).T @ (points - centre))
    return AnalyticSurface("plane", centre, vectors[:, 0].copy())


def fit_circle(xy: Array) -> tuple[Array, float, float]:
    """Centre (2,), radius and largest misfit of the circle nearest to points (n >= 3, 2).

    Starts from the algebraic circle (linear least squares) and takes a few Gauss-Newton steps.

    >>> t = np.linspace(0, 1, 9)
    >>> centre, radius, _ = fit_circle(np.column_stack((3 + 5 * np.cos(t), 4 + 5 * np.sin(t))))
    >>> centre.round(9).tolist(), round(radius, 9)
    ([3.0, 4.0], 5.0)
    """
    # Means are taken off, so that the equations are two by two: for the centre alone.
    mx, my = xy.mean(axis=0).tolist()
    x, y = xy[:, 0] - mx, xy[:, 1] - my
    scale = max(float(np.abs(x).max()), float(np.abs(y).max()), 1e-300)
    x, y = x / scale, y / scale
    n = max(len(x), 1)
    square = x * x + y * y
    mean = float(square.sum()) / n
    cx, cy = _least_squares_2(x, y, (square - mean) / 2)
    radius = math.sqrt(max(mean + cx * cx + cy * cy, 1e-300))
    for _ in range(4):
        dx, dy = x - cx, y - cy
        r = np.maximum(np.sqrt(dx * dx + dy * dy), 1e-300)
        off = r - radius
        ux, uy = dx / r, dy / r
        ax, ay, level = float(ux.sum()) / n, float(uy.sum()) / n, float(off.sum()) / n
        sx, sy = _least_squares_2(ux - ax, uy - ay, off - level)
        sr = level - ax * sx - ay * sy
        largest = max(abs(sx), abs(sy), abs(sr))
        if not math.isfinite(largest) or largest > 1e6:
            break
        cx, cy, radius = cx + sx, cy + sy, radius + sr
        if largest < 1e-13:
            break
    dx, dy = x - cx, y - cy
    misfit = float(np.abs(np.sqrt(dx * dx + dy * dy) - radius).max()) if len(x) else 0.0
    return np.array((cx * scale + mx, cy * scale + my)), abs(radius) * scale, misfit * scale


def _least_squares_2(u: Array, v: Array, right: Array) -> tuple[float, float]:
    """Numbers a, b for which a u + b v comes nearest to right, each (n,): normal equations, or singular values where
    those are ill-conditioned."""
    uu, uv, vv = float(u @ u), float(u @ v), float(v @ v)
    det = uu * vv - uv * uv
    if det > 1e-12 * (uu + vv) ** 2:
        p, q = float(u @ right), float(v @ right)
        return (p * vv - q * uv) / det, (q * uu - p * uv) / det
    a, b = np.linalg.lstsq(np.column_stack((u, v)), right, rcond=None)[0].tolist()
    return a, b


def fit_sphere(points: Array) -> AnalyticSurface:
    """The sphere nearest to points (n >= 4, 3)."""
    middle = points.mean(axis=0)
    q = points - middle
    scale = max(float(np.abs(q).max()), 1e-300)
    q = q / scale
    design = np.column_stack((2 * q, np.ones(len(q))))
    solution = np.linalg.lstsq(design, np.einsum("ij,ij->i", q, q), rcond=None)[0]
    centre = solution[:3]
    radius = float(np.sqrt(max(solution[3] + centre @ centre, 1e-300)))
    for _ in range(4):
        d = q - centre
        r = _row_norms(d)
        step = np.linalg.lstsq(np.column_stack((-d / r[:, None], -np.ones(len(q)))), -(r - radius), rcond=None)[0]
        if np.abs(step).max() > 1e6:
            break
        centre, radius = centre + step[:3], radius + float(step[3])
    return AnalyticSurface("sphere", centre * scale + middle, np.array([0.0, 0.0, 1.0]), abs(radius) * scale)


def refine_surface(
    shape: AnalyticSurface, points: Array, steps: int = 12, weights: Array | None = None
) -> AnalyticSurface:
    """The cylinder, cone or torus nearest to points (n, 3), started at shape. Returns shape when it cannot be bettered.

    weights: (n,) or None for equal ones.
    """
    if shape.kind == "sphere":
        return fit_sphere(points)
    if shape.kind == "plane":
        return fit_plane(points)
    p, d = shape.point, shape.direction
    z = (points - p) @ d
    if shape.kind != "torus":  # a point of the axis amid the corners keeps the equations well-conditioned
        p = p + d * float(z.mean())
    r0, s, tube = shape.radius + shape.slope * float(z.mean()), shape.slope, shape.tube
    if shape.kind == "torus":
        r0 = shape.radius
    best, best_cost = shape, float((shape.distance(points) ** 2).sum())
    root = None if weights is None else np.sqrt(weights)
    for _ in range(steps):
        u, v = perpendicular_axes(d)
        q = points - p
        x, y, z = q @ u, q @ v, q @ d
        r = np.maximum(np.sqrt(x * x + y * y), 1e-12)
        cx, cy = x / r, y / r
        if shape.kind == "cylinder":
            misfit = r - r0
            columns = [-cx, -cy, -z * cx, -z * cy, -np.ones(len(r))]
        elif shape.kind == "cone":
            f = 1 / np.sqrt(1 + s * s)
            misfit = (r - r0 - s * z) * f
            columns = [-cx * f, -cy * f, (-z * cx - s * x) * f, (-z * cy - s * y) * f, -f * np.ones(len(r)), -z * f]
        else:
            w = np.maximum(np.hypot(r - r0, z), 1e-12)
            a, b = (r - r0) / w, z / w
            misfit = w - tube
            columns = [-cx * a, -cy * a, a * -z * cx + b * x, a * -z * cy + b * y, -a, -b, -np.ones(len(r))]
        jacobian = np.column_stack(columns)
        right = -misfit
        if root is not None:
            jacobian, right = jacobian * root[:, None], right * root
        size = np.maximum(np.sqrt((jacobian**2).sum(axis=0)), 1e-300)
        scaled = jacobian / size
        square = scaled.T @ scaled
        square.flat[:: len(square) + 1] += 1e-14
        try:
            step = np.linalg.solve(square, scaled.T @ right) / size
        except np.linalg.LinAlgError:
            break
        tilt = np.hypot(step[2], step[3])
        if not np.isfinite(step).all():
            break
        if tilt > 0.3:
            step = step * (0.3 / tilt)
        p = p + step[0] * u + step[1] * v
        d = d + step[2] * u + step[3] * v
        d = d / np.linalg.norm(d)
        r0 += float(step[4])
        if shape.kind == "cone":
            s += float(step[5])
        if shape.kind == "torus":
            p = p + step[5] * d
            tube += float(step[6])
        trial = AnalyticSurface(shape.kind, p, d, r0, s, tube)
        cost = float((trial.distance(points) ** 2).sum())
        if not np.isfinite(cost) or r0 < 0 or tube < 0:
            break
        gain = best_cost - cost
        if cost < best_cost:
            best, best_cost = trial, cost
        if abs(gain) <= 1e-9 * cost + 1e-30:
            break
    return best


def fit_cylinder(points: Array, direction: Array) -> AnalyticSurface:
    """The cylinder nearest to points (n >= 5, 3), started from its rough direction (3,)."""
    direction = direction / np.linalg.norm(direction)
    u, v = perpendicular_axes(direction)
    centre, radius, _ = fit_circle(np.column_stack((points @ u, points @ v)))
    height = float((points @ direction).mean())
    start = AnalyticSurface("cylinder", centre[0] * u + centre[1] * v + height * direction, direction, radius)
    return refine_surface(start, points)


def reverse_direction(shape: AnalyticSurface) -> AnalyticSurface:
    """The same surface with its direction reversed."""
    return AnalyticSurface(shape.kind, shape.point, -shape.direction, shape.radius, -shape.slope, shape.tube)
