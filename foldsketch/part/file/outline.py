"""Whether corners make a simple polygon, and circles a hull, that a plate can be cut from."""

from __future__ import annotations

from math import atan2, hypot, pi

from foldsketch.part.file.reader import MIN_LENGTH_MM
from foldsketch.part.model import Point2

MIN_OUTLINE_AREA_MM2 = 1e-6
"""mm2 below which an outline encloses nothing."""


def signed_area(corners: list[Point2]) -> float:
    """Signed area of a polygon, mm2; above 0 when its corners run anticlockwise.

    >>> signed_area([(0, 0), (4, 0), (4, 3)])
    6.0
    """
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)) / 2


def outline_fault(corners: list[Point2]) -> str:
    """Why corners make no simple polygon, or nothing. Corners and sides are counted from 1."""
    n = len(corners)
    if n < 3:
        return "fewer than three corners"
    if abs(signed_area(corners)) < MIN_OUTLINE_AREA_MM2:
        return "it encloses no area"
    for i in range(n):
        a, b, c = corners[i - 1], corners[i], corners[(i + 1) % n]
        if hypot(c[0] - b[0], c[1] - b[1]) < MIN_LENGTH_MM:
            return f"corners {i + 1} and {(i + 1) % n + 1} are the same"
        bend = atan2(
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]),
            (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]),
        )
        if abs(bend) > pi - 1e-9:
            return f"it turns back on itself at corner {i + 1}"
    crossing = _first_crossing_sides(corners)
    return f"its sides {crossing[0] + 1} and {crossing[1] + 1} cross or touch" if crossing else ""


def _first_crossing_sides(corners: list[Point2]) -> tuple[int, int] | None:
    """The first two sides, not neighbours, that have a point in common."""
    import numpy as np

    p = np.array(corners)
    q = np.roll(p, -1, axis=0)
    n = len(p)
    boxes = [(np.minimum(p[:, k], q[:, k]), np.maximum(p[:, k], q[:, k])) for k in (0, 1)]
    near = np.ones((n, n), bool)
    for low, high in boxes:
        near &= low[:, None] <= high
        near &= low <= high[:, None]
    i, j = np.nonzero(near)
    apart = (j > i + 1) & ~((i == 0) & (j == n - 1))
    i, j = i[apart], j[apart]

    def side(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> np.ndarray:
        u, v = b - a, c - a
        turn = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        return np.where(np.abs(turn) < 1e-9, 0.0, np.sign(turn))

    # Two sides have a point in common when each separates, or touches, the ends of the other; sides in one line
    # pass this test too, and for them the boxes above decide.
    across = side(p[i], q[i], p[j]) * side(p[i], q[i], q[j]) <= 0
    across &= side(p[j], q[j], p[i]) * side(p[j], q[j], q[i]) <= 0
    found = np.flatnonzero(across)
    return (int(i[found[0]]), int(j[found[0]])) if len(found) else None


def hull_fault(circles: tuple[tuple[float, float, float], ...]) -> tuple[str, str]:
    """Why circles (x, y, radius) make no plate, and the cure; or nothing twice."""
    for k, circle in enumerate(circles):
        if circle[2] < 0:
            return f"the radius of entry {k + 1} is below 0", "use 0 for a sharp corner"
        if 0 < circle[2] < MIN_LENGTH_MM:
            return f"the radius of entry {k + 1} is below {MIN_LENGTH_MM:g} mm", "use 0 for a sharp corner"
    if any(r > 0 for _, _, r in circles):
        return "", ""
    x, y, _ = circles[0]
    spread = [(cx - x, cy - y) for cx, cy, _ in circles[1:]]
    far = max(spread, key=lambda d: hypot(*d), default=(0.0, 0.0))
    if all(abs(far[0] * d[1] - far[1] * d[0]) < 2 * MIN_OUTLINE_AREA_MM2 for d in spread):
        return "it encloses no area", "give radii, or three corners that make a triangle"
    return "", ""
