"""Which polygons overlap, and by what area: panels and tabs on paper, and tabs behind their targets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.geometry.ragged_polygons import (
    MAX_OVERLAP_DEPTH_MM,
    RaggedPolygons,
    inset_polygons,
    make_valid_polygons,
)

Overlap = tuple[int, int, float]
"""Positions of two polygons, and the area that they share, mm2."""

OVERLAP_GRID_MM = 1e-6
"""Grid in mm on which areas in common are formed. Without one, two panels whose common edge differs in the last bits
can be reported to cover each other."""

SEPARATION_MM = 50.0
"""mm between groups of polygons that are tested at once but must not meet: more than a tab is wide."""


def find_overlaps(polygons: RaggedPolygons, inset: Any = None) -> list[Overlap]:
    """Every pair whose polygons reach into each other by twice TOUCH_TOLERANCE_MM or more, in rising order.

    inset: the polygons made a little smaller, if known already.
    """
    left, right = intersecting_pairs(polygons.inset if inset is None else inset)
    return overlaps_between(polygons.shapes, polygons.shapes, left, right) if len(left) else []


def total_area(overlaps: Sequence[Overlap]) -> float:
    """Area of all overlaps, mm2."""
    return sum((area for _, _, area in overlaps), 0.0)


def intersecting_pairs(shapes: Any) -> tuple[Ints, Ints]:
    """Positions of inset shapes that meet, each pair once, the lower position first."""
    import shapely

    left, right = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    keep = left < right
    return left[keep], right[keep]


def overlaps_between(one: Any, two: Any, left: Ints, right: Ints) -> list[Overlap]:
    """Of the pairs one[left], two[right] those that share an area, in rising order."""
    if not len(left):
        return []
    area = _common_area(one[left], two[right])
    large = area > 0
    return sorted(zip(left[large].tolist(), right[large].tolist(), area[large].tolist(), strict=True))


def _common_area(one: Any, two: Any) -> Array:
    """Area in common of shapes, pair by pair, mm2."""
    import shapely

    try:
        area: Array = shapely.area(shapely.intersection(one, two, grid_size=OVERLAP_GRID_MM))
    except shapely.errors.GEOSException:
        # A hole that touches its outline within the last bits makes a shape invalid.
        valid = [np.array([make_valid_polygons(s) for s in shapes], dtype=object) for shapes in (one, two)]
        area = shapely.area(shapely.intersection(*valid, grid_size=OVERLAP_GRID_MM))
    return area


ROUNDING_MM = 1e-6
"""What rounding moves a panel by at most, mm."""

DEPTH_STEP_MM = 1e-5
"""How closely the depth of an overlap is measured, mm."""


def measure_overlaps(polygons: RaggedPolygons) -> tuple[float, float]:
    """Area of all overlaps, mm2, and depth of the deepest one, mm; 0 for what is within ROUNDING_MM.

    The depth is twice the distance by which two polygons can be made smaller all round before they are apart.
    """
    import shapely

    left, right = intersecting_pairs(inset_polygons(polygons.shapes, ROUNDING_MM))
    found = overlaps_between(polygons.shapes, polygons.shapes, left, right) if len(left) else []
    if not found:
        return 0.0, 0.0
    one, two = (polygons.shapes[[o[k] for o in found]] for k in (0, 1))

    def meet(depth: float) -> bool:
        return bool(shapely.intersects(*(inset_polygons(s, depth / 2) for s in (one, two))).any())

    low, high = 0.0, MAX_OVERLAP_DEPTH_MM
    while meet(high):
        low, high = high, 2 * high
    while high - low > DEPTH_STEP_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if meet(middle) else (low, middle)
    return total_area(found), high


def separating_shifts(x: Array, group: Ints) -> Array:
    """Shift to the right for every group, mm, that leaves SEPARATION_MM between one group and the next.

    So that all can be tested at once. x: (n,) positions, mm; group: (n,) the group of each, 0, 1, ...

    >>> separating_shifts(np.array([0.0, 4.0, 1.0, 3.0]), np.array([0, 0, 1, 1])).tolist()
    [0.0, 53.0]
    """
    count = int(group.max()) + 1
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, group, x)
    np.maximum.at(high, group, x)
    wide = high - low + SEPARATION_MM
    shift: Array = np.cumsum(wide) - wide - low
    return shift
