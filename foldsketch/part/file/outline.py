"""Tests whether corners make a simple polygon, and circles a hull, from which a plate can be cut."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, pi

from foldsketch.base.findings import Finding, mm
from foldsketch.base.points import Point
from foldsketch.geometry.polygon_loops import signed_area
from foldsketch.part.file import messages
from foldsketch.part.file.value_reader import MIN_LENGTH_MM

MIN_OUTLINE_AREA_MM2 = 1e-6
"""An outline of less area, mm2, encloses nothing."""


def outline_fault(corners: Sequence[Point]) -> Finding | None:
    """Why corners, mm, make no simple polygon; None if they do. Corners and sides are counted from 1."""
    n = len(corners)
    if n < 3:
        return messages.OUTLINE_TOO_FEW.at()
    if abs(signed_area(corners)) < MIN_OUTLINE_AREA_MM2:
        return messages.OUTLINE_NO_AREA.at()
    for i in range(n):
        a, b, c = corners[i - 1], corners[i], corners[(i + 1) % n]
        arriving, leaving = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
        if hypot(*leaving) < MIN_LENGTH_MM:
            return messages.OUTLINE_SAME_CORNERS.at(first=i + 1, second=(i + 1) % n + 1)
        bend = atan2(_cross(arriving, leaving), arriving[0] * leaving[0] + arriving[1] * leaving[1])
        if abs(bend) > pi - 1e-9:
            return messages.OUTLINE_TURNS_BACK.at(corner=i + 1)
    crossing = _first_crossing_sides(corners)
    return messages.OUTLINE_CROSSES.at(first=crossing[0] + 1, second=crossing[1] + 1) if crossing else None


def hull_fault(circles: Sequence[tuple[float, float, float]]) -> Finding | None:
    """Why circles (x, y, radius), mm, make no plate; None if they do. Circles are counted from 1."""
    for k, (_, _, r) in enumerate(circles, 1):
        if r < 0:
            return messages.HULL_NEGATIVE_RADIUS.at(entry=k)
        if 0 < r < MIN_LENGTH_MM:
            return messages.HULL_SMALL_RADIUS.at(entry=k, least=mm(MIN_LENGTH_MM, 3))
    if any(r > 0 for _, _, r in circles):
        return None
    x, y, _ = circles[0]
    spread = [(cx - x, cy - y) for cx, cy, _ in circles]
    far = max(spread, key=lambda d: hypot(*d))
    return messages.HULL_NO_AREA.at() if all(abs(_cross(far, d)) < 2 * MIN_OUTLINE_AREA_MM2 for d in spread) else None


def _cross(u: Point, v: Point) -> float:
    return u[0] * v[1] - u[1] * v[0]


def _first_crossing_sides(corners: Sequence[Point]) -> tuple[int, int] | None:
    """The first two sides, counted from 0, that have a point in common and are not neighbours."""
    import numpy as np

    p = np.array(corners)
    q = np.roll(p, -1, axis=0)
    n = len(p)
    low, high = np.minimum(p, q), np.maximum(p, q)
    near = ((low[:, None] <= high) & (low <= high[:, None])).all(axis=2)
    i, j = np.nonzero(np.triu(near, 2))
    apart = (i > 0) | (j < n - 1)
    i, j = i[apart], j[apart]

    def side(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> np.ndarray:
        """On which side of a line from a to b c lies: 1 left, -1 right, 0 on it."""
        u, v = b - a, c - a
        turn = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        return np.where(np.abs(turn) < 1e-9, 0.0, np.sign(turn))

    # Two sides have a point in common if each separates, or touches, the ends of the other. So do two sides on one
    # line, and for them the test of their bounds above decides.
    across = side(p[i], q[i], p[j]) * side(p[i], q[i], q[j]) <= 0
    across &= side(p[j], q[j], p[i]) * side(p[j], q[j], q[i]) <= 0
    found = np.flatnonzero(across)
    return (int(i[found[0]]), int(j[found[0]])) if len(found) else None
