"""Circle fit: the circle, or the ellipse, nearest to points in a plane."""

from __future__ import annotations

import math

import numpy as np

from foldsketch.base.arrays import Array


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
    """Numbers a, b for which a u + b v comes nearest to right, each (n,).

    Normal equations, or singular values where those are ill-conditioned.
    """
    uu, uv, vv = float(u @ u), float(u @ v), float(v @ v)
    det = uu * vv - uv * uv
    if det > 1e-12 * (uu + vv) ** 2:
        p, q = float(u @ right), float(v @ right)
        return (p * vv - q * uv) / det, (q * uu - p * uv) / det
    a, b = np.linalg.lstsq(np.column_stack((u, v)), right, rcond=None)[0].tolist()
    return a, b


def fit_ellipse(flat: Array) -> tuple[float, float, float] | None:
    """Half axes (long, short) of the ellipse nearest to points (n >= 6, 2), and the largest misfit.

    None for no ellipse. A conic by linear least squares.

    >>> t = np.linspace(0, 6, 40)
    >>> a, b, _ = fit_ellipse(np.column_stack((21 * np.cos(t), 20 * np.sin(t))))
    >>> round(a, 6), round(b, 6)
    (21.0, 20.0)
    """
    if len(flat) < 6:
        return None
    middle = flat.mean(axis=0)
    scale = float(np.abs(flat - middle).max()) or 1.0
    x, y = ((flat - middle) / scale).T
    design = np.column_stack((x * x, x * y, y * y, x, y))
    k, *_ = np.linalg.lstsq(design, np.ones(len(x)), rcond=None)
    form = np.array([[k[0], k[1] / 2], [k[1] / 2, k[2]]])
    values, vectors = np.linalg.eigh(form)
    if values[0] <= 1e-9:
        return None
    centre = np.linalg.solve(-2 * form, k[3:])
    level = 1 + centre @ form @ centre
    half = np.sqrt(level / values)
    q = (np.column_stack((x, y)) - centre) @ vectors / half
    misfit = np.abs(np.hypot(q[:, 0], q[:, 1]) - 1) * half.min()
    return float(half[0] * scale), float(half[1] * scale), float(misfit.max() * scale)
