"""How two prisms lie to each other: whether they overlap, touch, or stand on one another. Lengths paper mm."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations
from math import hypot

import numpy as np

from foldsketch.part.model import Ring
from foldsketch.solid.faceting.prism import Prism

MIN_OVERLAP_MM = 1e-6
"""Less than this is touching, mm."""

_SLACK_MM = 0.5
"""By how much a foot may seem to reach beyond a plate's box, mm."""


def paper_scale(p: Prism) -> float:
    """Paper over part."""
    low, high = span_along_axis(p)
    return (high - low) / p.feature.length


def span_along_axis(p: Prism) -> tuple[float, float]:
    """Lowest and highest point along its own axis."""
    along = (p.corners - p.frame.origin) @ p.frame.z
    return float(along.min()), float(along.max())


def shared_height(p: Prism, c: Prism) -> float:
    """By how much two prisms overlap along the axis of the second."""
    along = (p.corners - c.frame.origin) @ c.frame.z
    low, high = span_along_axis(c)
    return min(float(along.max()), high) - max(float(along.min()), low)


def overlap(p: Prism, q: Prism) -> bool:
    """Whether two prisms have room in common: by their boxes, and by their circles where their axes are parallel."""
    if (p.low > q.high - MIN_OVERLAP_MM).any() or (q.low > p.high - MIN_OVERLAP_MM).any():
        return False
    if abs(float(p.frame.z @ q.frame.z)) < 1 - 1e-9 or not (p.sides and q.sides):
        return True
    away = axis_distance(p, q)
    for a, b in ((p, q), (q, p)):
        bore = a.feature.shape.bore / 2 * paper_scale(a) if isinstance(a.feature.shape, Ring) else 0.0
        if away + paper_radius(b) <= bore + MIN_OVERLAP_MM:
            return False
    return away < paper_radius(p) + paper_radius(q) - MIN_OVERLAP_MM


def paper_radius(p: Prism) -> float:
    """Radius on paper, mm."""
    return p.feature.radius * paper_scale(p)


def axis_distance(p: Prism, q: Prism) -> float:
    """Distance of the second axis from the first, mm."""
    away = q.frame.origin - p.frame.origin
    away = away - (away @ p.frame.z) * p.frame.z
    return float(np.linalg.norm(away))


def breaks_out(c: Prism, material: Sequence[Prism]) -> bool:
    """Whether a cut is more than a bore from end to end of what it cuts: it goes across, or through an outer wall."""
    for p in material:
        if p.index > c.index or not overlap(p, c):
            continue
        if abs(float(p.frame.z @ c.frame.z)) < 1 - 1e-9:
            return True
        if p.sides and c.sides and axis_distance(p, c) + paper_radius(c) > paper_radius(p) - MIN_OVERLAP_MM:
            return True
    return False


def footprints_meet(p: Prism, q: Prism) -> bool:
    """Whether the ends of two prisms on parallel axes share area."""
    if p.sides and q.sides:
        return axis_distance(p, q) < paper_radius(p) + paper_radius(q) - MIN_OVERLAP_MM
    gaps = np.maximum(p.low - q.high, q.low - p.high)
    across = gaps - (gaps @ p.frame.z) * p.frame.z
    return hypot(*np.maximum(across, 0.0).tolist()) < MIN_OVERLAP_MM


def standing_prisms(prisms: Sequence[Prism]) -> frozenset[int]:
    """Numbers of the prisms of material that stand with a whole face without holes on another one's face.

    A round one inside the circle of another one, for polygons are turned alike; or inside the box of a plate.
    """
    material = [p for p in prisms if not p.cut]
    bored = {p.index for p in material if isinstance(p.feature.shape, Ring)}
    bored |= {p.index for p in material for c in prisms if c.cut and c.index > p.index and overlap(p, c)}
    found: set[int] = set()
    for p, q in permutations(material, 2):
        if p.index in found or p.index in bored or not p.sides or not touch(p, q):
            continue
        if q.sides:
            within = axis_distance(p, q) + paper_radius(p) <= paper_radius(q)
            equal = axis_distance(p, q) < MIN_OVERLAP_MM and p.sides == q.sides
            within |= equal and abs(paper_radius(p) - paper_radius(q)) < MIN_OVERLAP_MM and p.index > q.index
        else:
            within = bool(((p.low > q.low - _SLACK_MM) & (p.high < q.high + _SLACK_MM)).sum() >= 2)
        if within:
            found.add(p.index)
    return frozenset(found)


def touch(p: Prism, q: Prism) -> bool:
    """Whether two prisms on parallel axes meet with their faces."""
    return (
        abs(float(p.frame.z @ q.frame.z)) > 1 - 1e-9
        and abs(shared_height(p, q)) < MIN_OVERLAP_MM
        and footprints_meet(p, q)
    )
