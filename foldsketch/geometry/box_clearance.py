"""Boxes of words against lines: a line misses a box when it lies beyond one of its sides, or when all corners of the
box lie on one side of the line (the separating axis theorem in the plane)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.arrays import Array, Point
from foldsketch.geometry.rasterize import Ints

SegmentCoords = tuple[float, float, float, float]
"""A line from x, y to x, y, mm."""

BoxFrameLines = list[tuple[float, float, float, float, float, float, float]]
"""Lines in the frame of the boxes: bounds in x, bounds in y, run in x and in y, and the moment about the origin."""


def segment_rows(lines: Sequence[SegmentCoords]) -> Array:
    """Lines as an array (n, 4)."""
    return np.fromiter(chain.from_iterable(lines), dtype=float, count=4 * len(lines)).reshape(-1, 4)


def lines_near_box(
    lines: Sequence[SegmentCoords], low_x: float, low_y: float, high_x: float, high_y: float
) -> list[SegmentCoords]:
    """The lines whose own level bounds meet the level box between two corners."""
    return [
        (ax, ay, bx, by)
        for ax, ay, bx, by in lines
        if (ax > low_x or bx > low_x)
        and (ax < high_x or bx < high_x)
        and (ay > low_y or by > low_y)
        and (ay < high_y or by < high_y)
    ]


def lines_in_box_frame(lines: Sequence[SegmentCoords], angle: float) -> BoxFrameLines:
    """Lines as boxes turned by an angle, radians, see them."""
    made = []
    c, s = cos(angle), sin(angle)
    for ax, ay, bx, by in lines:
        if angle:
            ax, ay, bx, by = ax * c + ay * s, ay * c - ax * s, bx * c + by * s, by * c - bx * s
        low_x, high_x = (ax, bx) if ax < bx else (bx, ax)
        low_y, high_y = (ay, by) if ay < by else (by, ay)
        dx, dy = bx - ax, by - ay
        made.append((low_x, high_x, low_y, high_y, dx, dy, ax * dy - ay * dx))
    return made


def free_spots(spots: Sequence[Point], w: float, h: float, angle: float, lines: BoxFrameLines) -> Iterator[Point]:
    """Those of the spots, in order, where a box of half sides w, h, turned by an angle, meets none of the lines."""
    c, s = cos(angle), sin(angle)
    tried = lines.copy()
    for spot in spots:
        x, y = spot[0] * c + spot[1] * s, spot[1] * c - spot[0] * s
        left, right, under, over = x - w, x + w, y - h, y + h
        for k, (low_x, high_x, low_y, high_y, dx, dy, moment) in enumerate(tried):
            if (
                low_x <= right
                and high_x >= left
                and low_y <= over
                and high_y >= under
                and abs(moment - x * dy + y * dx) <= w * abs(dy) + h * abs(dx)
            ):
                # What is in the way here is as a rule in the way next to here: it is asked first.
                tried.insert(0, tried.pop(k))
                break
        else:
            yield spot


def is_box_free(lines: Sequence[SegmentCoords], x: float, y: float, w: float, h: float, angle: float = 0.0) -> bool:
    """Whether a box of half sides w, h about a point, turned by an angle, meets none of the lines."""
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


def filter_pairs_by_bounds(low: Array, high: Array, lines: Array, region: Ints, line: Ints) -> tuple[Ints, Ints]:
    """Those of the pairs of a level region, between corners (n, 2), and a line (m, 4) whose level bounds meet."""
    for k in (0, 1):
        one, two = lines[:, k], lines[:, k + 2]
        least, most = np.minimum(one, two), np.maximum(one, two)
        keep = (least[line] <= high[region, k]) & (most[line] >= low[region, k])
        region, line = region[keep], line[keep]
    return region, line


def boxes_hit_by_lines(
    spots: Array, w: Array, h: float, angles: Array, lines: Array, box: Ints, line: Ints
) -> NDArray[np.bool_]:
    """Which of the centres (n, 2) have a box, of its own half width (n,) and angle (n,) radians and of the same half
    height, that meets one of the lines (m, 4) it is paired with. box, line: positions of the pairs."""
    c, s = np.cos(angles)[box], np.sin(angles)[box]
    x, y = (spots[:, k][box] for k in (0, 1))
    ax, ay, bx, by = (lines[:, k][line] - (y if k % 2 else x) for k in range(4))
    ax, ay, bx, by = ax * c + ay * s, ay * c - ax * s, bx * c + by * s, by * c - bx * s
    w = w[box]
    dx, dy = bx - ax, by - ay
    hit = (
        (np.minimum(ax, bx) <= w)
        & (np.maximum(ax, bx) >= -w)
        & (np.minimum(ay, by) <= h)
        & (np.maximum(ay, by) >= -h)
        & (np.abs(ax * dy - ay * dx) <= w * np.abs(dy) + h * np.abs(dx))
    )
    met = np.zeros(len(spots), dtype=bool)
    met[box[hit]] = True
    return met
