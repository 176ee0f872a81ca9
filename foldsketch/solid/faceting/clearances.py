"""Clearances: round features that touch, nest or clear each other on the part do so on paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import combinations
from math import atan2, hypot

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.tolerance import Tolerance
from foldsketch.part.model import Axis, Part
from foldsketch.solid.faceting.sides import FacetPlan

MIN_NESTED_CLEARANCE_RATIO = 0.5
"""Least share of the gap between a circle and one inside it that their polygons keep."""

ROUNDING_MM = 1e-9
"""Lengths on paper that differ by less than this, mm, differ by rounding only."""

MAX_CLEARANCE_SIDES = 24
"""Clearance is made by more sides up to this number on each polygon, then by corners on the circle."""

MAX_FIT_PASSES = 12
"""Passes over all pairs of round features: one pair changed may be one more to change."""


def preserve_clearances(
    plans: Sequence[FacetPlan], part: Part, scale: float, direction: Array, tolerance: Tolerance
) -> None:
    """Change the plans so that round features that are equal, apart or one inside another on the part are so on paper.

    plans: one for each feature; scale: paper mm per part mm; direction: (3,) in which polygons have the middle of a
    side.
    """
    axes = [part.axis(f.axis) for f in part.features]
    spans = [(f.start * scale, f.end * scale) for f in part.features]
    fits: list[Callable[[], bool]] = []
    for i, j in combinations([i for i, p in enumerate(plans) if p.n], 2):
        distance = parallel_axis_distance(axes[i], axes[j])
        if distance is None:
            continue
        distance *= scale
        if distance < tolerance.length:
            fits.append(partial(_fit_coaxial, plans[i], plans[j]))
        elif _share_height(spans[i], spans[j], axes[i], axes[j], scale):
            bearing = _bearing(axes[i], axes[j], direction)
            fits.append(partial(_fit_parallel, plans[i], plans[j], distance, bearing))
    for _ in range(MAX_FIT_PASSES):
        changed = [fit() for fit in fits]
        if not any(changed):
            break


def _fit_coaxial(a: FacetPlan, b: FacetPlan) -> bool:
    """Give two features on one axis the same sides if their polygons would cross; True if a plan changed."""
    if (a.n, a.rolled, a.rule) == (b.n, b.rolled, b.rule):
        return False
    if not any(_polygons_cross(a, x, b, y) for x in a.radii for y in b.radii):
        return False
    if a.rule != b.rule and _yield_flats(a, b):
        return True
    if a.n == b.n and a.rolled == b.rolled:
        return False
    if a.rolled != b.rolled:
        # A folded wall does not fit a rolled one: fold both.
        (a if a.rolled else b).fold()
        return True
    if a.fixed and b.fixed:
        return False
    a.n = b.n = a.n if a.fixed else b.n if b.fixed else max(a.n, b.n)
    return True


def _polygons_cross(a: FacetPlan, x: float, b: FacetPlan, y: float) -> bool:
    if abs(x - y) < ROUNDING_MM:
        return True
    p, q = a.polygon(x), b.polygon(y)
    small, large = (p, q) if x < y else (q, p)
    return small.circumradius > large.inradius


def _fit_parallel(a: FacetPlan, b: FacetPlan, distance: float, bearing: float) -> bool:
    """Keep two features on parallel axes clear of each other, side by side or one inside the other.

    distance: of the axes, mm on paper; bearing: direction from the first axis to the second, radians from the middle of
    a side. Returns True if a plan changed.
    """
    x, y = max(a.radii), max(b.radii)
    p, q = a.polygon(x), b.polygon(y)
    if distance >= x + y - ROUNDING_MM:
        if distance >= p.circumradius + q.circumradius - ROUNDING_MM:
            return False
    else:
        # Seen from the large circle, the small one is towards the bearing or opposite.
        small, large, towards = (q, p, distance) if y < x else (p, q, -distance)
        gap = large.nominal_radius - distance - small.nominal_radius
        if gap < ROUNDING_MM or large.inner_clearance(small, towards, bearing) >= MIN_NESTED_CLEARANCE_RATIO * gap:
            return False
    return _add_sides(a, x, b, y)


def _add_sides(a: FacetPlan, x: float, b: FacetPlan, y: float) -> bool:
    """Give the coarser of two polygons two more sides or, if neither may have more, both their corners on the circle.

    Flats that may yield do so first. x, y: radii, mm on paper. Returns True if a plan changed.
    """
    if _yield_flats(a, b):
        return True
    options = [(p, r) for p, r in ((a, x), (b, y)) if not p.fixed and p.n < MAX_CLEARANCE_SIDES]
    if options:
        coarser, _ = max(options, key=lambda o: o[0].polygon(o[1]).chord_error)
        coarser.n += 2
        return True
    if a.rule == b.rule == "inside":
        return False
    a.rule = b.rule = "inside"
    return True


def _yield_flats(a: FacetPlan, b: FacetPlan) -> bool:
    """Give up flats on the round where that is allowed; True if a plan changed."""
    yielding = [p for p in (a, b) if p.yields and p.rule == "outside"]
    for p in yielding:
        p.rule = "equal-area"
    return bool(yielding)


def parallel_axis_distance(a: Axis, b: Axis) -> float | None:
    """Distance between two parallel axes, mm; None if they are not parallel."""
    u = a.direction
    if abs(abs(_dot(u, b.direction)) - 1) > 1e-9:
        return None
    w = [q - p for p, q in zip(a.point, b.point, strict=True)]
    along = _dot(w, u)
    return hypot(*(x - along * y for x, y in zip(w, u, strict=True)))


def _bearing(a: Axis, b: Axis, direction: Array) -> float:
    """Direction from an axis to a parallel one, radians from the middle of a side of the polygons on both."""
    z = np.array(a.direction)
    v = direction if abs(abs(z[2]) - 1) < 1e-12 else np.array([0.0, 0.0, 1.0])  # as AxisFrame.side_angle
    way = np.subtract(b.point, a.point)
    return atan2(float(way @ np.cross(z, v)), float(way @ (v - (v @ z) * z)))


def _share_height(s: tuple[float, float], t: tuple[float, float], a: Axis, b: Axis, scale: float) -> bool:
    """True if features on parallel axes overlap or touch in height. s, t: start and end on each axis, paper mm."""
    shift = (_dot(b.point, a.direction) - _dot(a.point, a.direction)) * scale
    sign = _dot(b.direction, a.direction)
    lo, hi = sorted((shift + sign * t[0], shift + sign * t[1]))
    return lo < s[1] + ROUNDING_MM and hi > s[0] - ROUNDING_MM


def _dot(u: Sequence[float], v: Sequence[float]) -> float:
    return u[0] * v[0] + u[1] * v[1] + u[2] * v[2]
