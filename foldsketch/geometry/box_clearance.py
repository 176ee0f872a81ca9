"""Boxes of words against lines.

A line misses a box if it is beyond one of its sides, or if all corners of the box are on one side of the line (the
separating axis theorem in the plane).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, sin

from foldsketch.geometry.polygon_loops import SegmentCoords


def lines_near_box(
    lines: Sequence[SegmentCoords], low_x: float, low_y: float, high_x: float, high_y: float
) -> list[SegmentCoords]:
    """The lines whose bounds meet the level box between two corners."""
    return [
        (ax, ay, bx, by)
        for ax, ay, bx, by in lines
        if (ax > low_x or bx > low_x)
        and (ax < high_x or bx < high_x)
        and (ay > low_y or by > low_y)
        and (ay < high_y or by < high_y)
    ]


def is_box_free(lines: Sequence[SegmentCoords], x: float, y: float, w: float, h: float, angle: float = 0.0) -> bool:
    """Whether a box of half sides w, h around a point, turned by an angle (radians), meets none of the lines.

    >>> is_box_free([(0, 0, 9, 0)], 4, 3, 2, 2), is_box_free([(0, 0, 9, 0)], 4, 3, 4, 2, 1.0)
    (True, False)
    """
    c, s = cos(angle), sin(angle)
    across, up = w * abs(c) + h * abs(s), w * abs(s) + h * abs(c)
    left, right, under, over = x - across, x + across, y - up, y + up
    for ax, ay, bx, by in lines:
        if (
            (ax >= left or bx >= left)
            and (ax <= right or bx <= right)
            and (ay >= under or by >= under)
            and (ay <= over or by <= over)
        ):
            if not angle:
                if abs((ax - x) * (by - ay) - (ay - y) * (bx - ax)) <= w * abs(by - ay) + h * abs(bx - ax):
                    return False
                continue
            ax, ay, bx, by = ax - x, ay - y, bx - x, by - y
            ax, ay, bx, by = ax * c + ay * s, ay * c - ax * s, bx * c + by * s, by * c - bx * s
            if (
                (ax >= -w or bx >= -w)
                and (ax <= w or bx <= w)
                and (ay >= -h or by >= -h)
                and (ay <= h or by <= h)
                and abs(ax * by - ay * bx) <= w * abs(by - ay) + h * abs(bx - ax)
            ):
                return False
    return True
