"""Surface fit: the plane, cylinder, cone, sphere or torus nearest to given corners.

Every fit makes the sum of the squared distances least. The corners are used as they are: on a mesh from CAD they are on
the surface, and its flat triangles are not.
"""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface, SurfaceKind, perpendicular_axes
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.measure import row_dots

MAX_STEPS = 12
"""Steps of a fit; from a fair start four are enough."""

MAX_TILT_RAD = 0.3
"""An axis is tilted by no more than this in one step."""

_FREE: dict[SurfaceKind, tuple[int, ...]] = {
    "cylinder": (0, 1, 3, 4, 5),
    "cone": (0, 1, 3, 4, 5, 6),
    "sphere": (0, 1, 2, 5),
    "torus": (0, 1, 2, 3, 4, 5, 6),
}
"""What a fit may change, by row of `distance_derivatives`."""

DIVERGED_RATIO = 1e6
"""Misfits larger than so many times the points' extent end a fit: it leads nowhere."""


def fit_plane(points: Array) -> AnalyticSurface:
    """The plane nearest to points (n >= 3, 3)."""
    centre = points.mean(axis=0)
    _, vectors = np.linalg.eigh((points - centre).T @ (points - centre))
    return AnalyticSurface("plane", centre, vectors[:, 0].copy())


def fit_sphere(points: Array) -> AnalyticSurface:
    """The sphere nearest to points (n >= 4, 3)."""
    middle = points.mean(axis=0)
    q = points - middle
    scale = max(float(np.abs(q).max()), 1e-300)
    q = q / scale
    design = np.column_stack((2 * q, np.ones(len(q))))
    solution = np.linalg.lstsq(design, row_dots(q, q), rcond=None)[0]
    radius = float(np.sqrt(max(solution[3] + solution[:3] @ solution[:3], 1e-300)))
    start = AnalyticSurface("sphere", solution[:3] * scale + middle, np.array([0.0, 0.0, 1.0]), radius * scale)
    return _descend(start, points, MAX_STEPS)


def fit_cylinder(points: Array, direction: Array) -> AnalyticSurface:
    """The cylinder nearest to points (n >= 5, 3), started from a rough direction (3,) of its axis."""
    direction = direction / np.linalg.norm(direction)
    u, v = perpendicular_axes(direction)
    centre, radius, _ = fit_circle(np.column_stack((points @ u, points @ v)))
    height = float((points @ direction).mean())
    start = AnalyticSurface("cylinder", centre[0] * u + centre[1] * v + height * direction, direction, radius)
    return refine_surface(start, points)


def refine_surface(shape: AnalyticSurface, points: Array, steps: int = MAX_STEPS) -> AnalyticSurface:
    """The surface of shape's kind nearest to points (n, 3), started at shape.

    shape itself where nothing is nearer, and where it is exact.
    """
    if shape.exact:
        return shape
    if shape.kind == "sphere":
        return fit_sphere(points)
    if shape.kind == "plane":
        return fit_plane(points)
    if shape.kind != "torus":  # a point of the axis amid the corners keeps the equations well-conditioned
        z = float(((points - shape.point) @ shape.direction).mean())
        shape = apply_step(shape, np.array([0.0, 0, z, 0, 0, shape.slope * z, 0]))
    return _descend(shape, points, steps)


def _descend(shape: AnalyticSurface, points: Array, steps: int) -> AnalyticSurface:
    """The nearest surface that Gauss-Newton steps from shape come to."""
    free = list(_FREE[shape.kind])
    misfit = shape.distance(points)
    best, least = shape, float(misfit @ misfit)
    most = DIVERGED_RATIO**2 * (least + float(np.square(np.ptp(points, axis=0)).sum()))
    for _ in range(steps):
        step = np.zeros(7)
        step[free] = solve_least_squares(distance_derivatives(shape, points)[free], -misfit)
        tilt = float(np.hypot(step[3], step[4]))
        shape = apply_step(shape, step * min(1.0, MAX_TILT_RAD / max(tilt, 1e-300)))
        misfit = shape.distance(points)
        total = float(misfit @ misfit)
        gain = least - total
        if not total < most or shape.radius < 0 or shape.tube < 0:
            break
        if gain > 0:
            best, least = shape, least - gain
        if abs(gain) <= 1e-9 * least + 1e-30:
            break
    return best


def distance_derivatives(shape: AnalyticSurface, points: Array) -> Array:
    """How the distances of points (n, 3) change with a round surface: (7, n).

    Rows: its shift along u, v (see `perpendicular_axes`) and its direction d, the tilt of d towards u and v, its
    radius, and the slope of a cone or the tube radius of a torus.
    """
    frame = np.array([*perpendicular_axes(shape.direction), shape.direction])
    x, y, z = frame @ (points - shape.point).T
    r = np.maximum(np.sqrt(x * x + y * y), 1e-12)
    radial, axial = np.ones(len(r)), np.zeros(len(r))
    growth: Array | float = -1.0
    last: Array | float = -1.0
    if shape.kind == "cone":
        radial /= np.sqrt(1 + shape.slope**2)
        axial, growth = -shape.slope * radial, -radial
        last = -z * radial - (r - shape.radius - shape.slope * z) * shape.slope * radial**3
    elif shape.kind == "torus":
        off = np.maximum(np.hypot(r - shape.radius, z), 1e-12)
        radial, axial = (r - shape.radius) / off, z / off
        growth = -radial
    elif shape.kind == "sphere":
        off = np.hypot(r, z)
        radial, axial = r / off, z / off
    nx, ny = radial * x / r, radial * y / r
    out = np.empty((7, len(r)))
    for k, row in enumerate((-nx, -ny, -axial, x * axial - z * nx, y * axial - z * ny, growth, last)):
        out[k] = row
    return out


def solve_least_squares(rows: Array, right: Array) -> Array:
    """The x (k,) for which x times rows (k, n) is nearest to right (n,).

    Normal equations in rows of equal length, which for thousands of columns take a tenth of the time of a
    decomposition.
    """
    square = rows @ rows.T
    size = np.sqrt(square.diagonal())
    size[size == 0] = 1.0
    out: Array = np.linalg.lstsq(square / np.outer(size, size), rows @ right / size, rcond=None)[0] / size
    return out


def apply_step(shape: AnalyticSurface, step: Array) -> AnalyticSurface:
    """The surface after a step (7,) in the order of `distance_derivatives`."""
    u, v = perpendicular_axes(shape.direction)
    d = shape.direction + step[3] * u + step[4] * v
    d = d / np.linalg.norm(d)
    point = shape.point + step[0] * u + step[1] * v + step[2] * d
    slope = shape.slope + (float(step[6]) if shape.kind == "cone" else 0.0)
    tube = shape.tube + (float(step[6]) if shape.kind == "torus" else 0.0)
    return AnalyticSurface(shape.kind, point, d, shape.radius + float(step[5]), slope, tube)
