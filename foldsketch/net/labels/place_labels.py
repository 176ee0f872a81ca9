"""Many words at once: every one at the first free of its own spots, on its own panel."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np

from foldsketch.base.arrays import Array, Point
from foldsketch.base.lettering import text_width
from foldsketch.geometry.box_clearance import (
    SegmentCoords,
    boxes_hit_by_lines,
    filter_pairs_by_bounds,
    is_box_free,
    segment_rows,
)
from foldsketch.geometry.rasterize import Ints
from foldsketch.net.labels.panel_space import LABEL_CLEARANCE_MM, PanelSpace, text_height

PlacedLabel = tuple[float, float, float, list[SegmentCoords]]
"""A word: x, y, how far it reaches from there, mm, and its lines."""


def place_texts(
    spaces: Sequence[PanelSpace],
    texts: Sequence[str],
    size: float,
    spots: Array,
    angles: Array,
    clear: float = LABEL_CLEARANCE_MM,
) -> list[tuple[Point, float] | None]:
    """Put every text in its space at the first of its own spots that is free; returns where, and the angle.

    spots: (n, k, 2); angles: (n, k) or (n, 1), radians. All are tested against the lines at once.
    """
    h = text_height(1, size) / 2 + clear
    half = np.array([text_width(t, size) for t in texts]) / 2 + clear
    reach = np.hypot(half, h)
    turns = np.broadcast_to(angles, spots.shape[:2])
    lines, text, line = _gather_obstacles(spaces)
    low, high = spots.min(axis=1) - reach[:, None], spots.max(axis=1) + reach[:, None]
    text, line = filter_pairs_by_bounds(low, high, lines, text, line)
    each = spots.shape[1]
    box, line = (text[:, None] * each + np.arange(each)).ravel(), np.repeat(line, each)
    met = boxes_hit_by_lines(spots.reshape(-1, 2), np.repeat(half, each), h, turns.ravel(), lines, box, line)
    flags: list[list[bool]] = (~met).reshape(-1, each).tolist()
    taken: dict[int, list[PlacedLabel]] = {id(r): [] for r in spaces}
    result: list[tuple[Point, float] | None] = []
    rows = zip(spaces, half.tolist(), flags, spots.tolist(), turns.tolist(), strict=True)
    for space, w, open_, places, bearings in rows:
        others = taken[id(space)]
        found: tuple[Point, float] | None = None
        for ok, (x, y), angle in zip(open_, places, bearings, strict=True):
            # On a panel narrower than its own distance from the edge a word would be beside the panel.
            if ok and _is_clear_of(x, y, w, h, angle, others) and space.contains((x, y)):
                found = (x, y), angle
                before = len(space.obstacles)
                space.occupy((x, y), w - clear, h - clear, angle)
                others.append((x, y, hypot(w, h), space.obstacles[before:]))
                break
        result.append(found)
    return result


def _is_clear_of(x: float, y: float, w: float, h: float, angle: float, others: Sequence[PlacedLabel]) -> bool:
    """Whether a box of half sides w, h about a point, turned by an angle, meets none of other words."""
    reach = hypot(w, h)
    for u, v, r, lines in others:
        both = reach + r
        if -both < x - u < both and -both < y - v < both and not is_box_free(lines, x, y, w, h, angle):
            return False
    return True


def _gather_obstacles(spaces: Sequence[PanelSpace]) -> tuple[Array, Ints, Ints]:
    """The lines (m, 4) of all spaces, and every pair of a position in spaces and a line of that space.

    A space may be there several times.
    """
    first: dict[int, int] = {}
    lines: list[SegmentCoords] = []
    for r in spaces:
        if id(r) not in first:
            first[id(r)] = len(lines)
            lines += r.obstacles
    count = np.array([len(r.obstacles) for r in spaces])
    begin = np.array([first[id(r)] for r in spaces]) - (np.cumsum(count) - count)
    own = np.repeat(np.arange(len(spaces)), count)
    return segment_rows(lines), own, np.arange(len(own)) + begin[own]
