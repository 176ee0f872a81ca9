"""Ellipse: the one nearest to points in a plane."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array


def fit_ellipse(flat: Array) -> tuple[float, float, float] | None:
    """Half axes (long, short) of the ellipse nearest to points (n >= 6, 2), and the largest misfit; None for no
    ellipse. A conic by linear least squares.

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
