"""Boxes of words against lines: a line misses a box when it lies beyond one of its sides, or when all corners of the
box lie on one side of the line (the separating axis theorem in the plane)."""

from __future__ import annotations

from math import cos, sin

import numpy as np

from foldsketch.net.model import Array
from foldsketch.net.raster import Flags


def crossed(spots: Array, w: float, h: float, angle: float, starts: Array, ends: Array) -> Flags:
    """For which centres (n, 2) a box of half sides w, h, all turned by one angle, meets any of the lines (m, 2)."""
    turn = np.array([(cos(angle), -sin(angle)), (sin(angle), cos(angle))])
    p, a, b = spots @ turn, starts @ turn, ends @ turn
    x, y = p[:, :1], p[:, 1:]
    low, high = np.minimum(a, b), np.maximum(a, b)
    near = (low[:, 0] - w <= x) & (high[:, 0] + w >= x) & (low[:, 1] - h <= y) & (high[:, 1] + h >= y)
    d = b - a
    level = a[:, 0] * d[:, 1] - a[:, 1] * d[:, 0]
    room = w * np.abs(d[:, 1]) + h * np.abs(d[:, 0])
    hit = near & (np.abs(level - (x * d[:, 1] - y * d[:, 0])) <= room)
    met: Flags = hit.any(axis=1)
    return met


def crossed_each(spots: Array, w: Array, h: float, angles: Array, starts: Array, ends: Array) -> Flags:
    """The same for boxes of their own half widths (n,) and angles (n,), radians."""
    # Only lines within reach of a box are looked at closely.
    reach = np.hypot(w, h)[:, None]
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    x, y = spots[:, :1], spots[:, 1:]
    near = (low[:, 0] - reach <= x) & (high[:, 0] + reach >= x) & (low[:, 1] - reach <= y) & (high[:, 1] + reach >= y)
    i, j = np.nonzero(near)
    c, s = np.cos(angles)[i], np.sin(angles)[i]
    ax, ay = (starts[j] - spots[i]).T
    bx, by = (ends[j] - spots[i]).T
    ax, ay, bx, by = ax * c + ay * s, ay * c - ax * s, bx * c + by * s, by * c - bx * s
    w = w[i]
    dx, dy = bx - ax, by - ay
    hit = (
        (np.minimum(ax, bx) <= w)
        & (np.maximum(ax, bx) >= -w)
        & (np.minimum(ay, by) <= h)
        & (np.maximum(ay, by) >= -h)
        & (np.abs(ax * dy - ay * dx) <= w * np.abs(dy) + h * np.abs(dx))
    )
    met = np.zeros(len(spots), dtype=bool)
    met[i[hit]] = True
    return met
