"""Mating: rounds that touch, nest or clear each other on the part do so on paper."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot

import numpy as np

from foldsketch.base.tolerance import Tolerance
from foldsketch.part.model import Axis, Part
from foldsketch.solid.faceting.polygon import Array, RegularPolygon
from foldsketch.solid.faceting.sides import FacetPlan

MIN_NESTED_CLEARANCE_RATIO = 0.5
"""Share of the room between a round and one inside it that their polygons leave at least."""


def preserve_clearances(
    plans: list[FacetPlan], part: Part, scale: float, direction: Array, tolerance: Tolerance
) -> list[FacetPlan]:
    """Mating and nested rounds get sides that fit: what is apart, inside or equal on the part stays so on paper.
    direction: (3,), to which every polygon turns the middle of a side."""
    rounds = [i for i, p in enumerate(plans) if p.n]
    axes = [part.axis(f.axis) for f in part.features]
    span = [(f.start * scale, f.end * scale) for f in part.features]
    for _ in range(12):
        changed = False
        for k, i in enumerate(rounds):
            for j in rounds[k + 1 :]:
                a, b = plans[i], plans[j]
                distance = parallel_axis_distance(axes[i], axes[j])
                if distance is None:
                    continue
                distance *= scale
                if distance < tolerance.length:
                    changed |= _fit_coaxial(a, b)
                elif _share_height(span[i], span[j], axes[i], axes[j], scale):
                    changed |= _fit_parallel(a, b, distance, _bearing(axes[i], axes[j], direction))
        if not changed:
            break
    return plans


def _fit_coaxial(a: FacetPlan, b: FacetPlan) -> bool:
    """Rounds on one axis: equal radii share the number of sides, and so do rounds whose polygons would cross."""
    if a.n == b.n and a.rolled == b.rolled:
        return False
    cross = any(_polygons_cross(a, x, b, y) for x in a.radii for y in b.radii)
    if not cross:
        return False
    if a.rolled != b.rolled:
        # One that is folded and one that is rolled do not lie on each other: both are folded.
        (a if a.rolled else b).fold()
        return True
    if a.fixed and not b.fixed:
        b.n = a.n
    elif b.fixed and not a.fixed:
        a.n = b.n
    elif not a.fixed:
        a.n = b.n = max(a.n, b.n)
    else:
        return False
    return True


def _polygons_cross(a: FacetPlan, x: float, b: FacetPlan, y: float) -> bool:
    if abs(x - y) < 1e-9:
        return True
    p, q = RegularPolygon.of(a.n, x, a.rule), RegularPolygon.of(b.n, y, b.rule)
    small, large = (p, q) if x < y else (q, p)
    return small.circumradius > large.inradius


def _fit_parallel(a: FacetPlan, b: FacetPlan, distance: float, bearing: float) -> bool:
    """Rounds on parallel axes that clear each other on the part, side by side or one inside the other. bearing: from
    the first to the second, radians from where their polygons turn the middle of a side."""
    x, y = max(a.radii), max(b.radii)
    p, q = RegularPolygon.of(a.n, x, a.rule), RegularPolygon.of(b.n, y, b.rule)
    if distance >= x + y - 1e-9:
        if distance >= p.circumradius + q.circumradius - 1e-9:
            return False
    else:
        # From the large one the small one lies towards the bearing, or away from it.
        small, large, towards = (q, p, distance) if y < x else (p, q, -distance)
        room = large.nominal - distance - small.nominal
        if room < 1e-9 or large.room_around(small, towards, bearing) >= MIN_NESTED_CLEARANCE_RATIO * room:
            return False
    return _add_sides(a, x, b, y)


def _add_sides(a: FacetPlan, x: float, b: FacetPlan, y: float) -> bool:
    """Two more sides on the coarser of two rounds; at 24 sides on each, corners on the circle instead."""
    options = [
        (RegularPolygon.of(p.n, r, p.rule).chord_error, p) for p, r in ((a, x), (b, y)) if not p.fixed and p.n < 24
    ]
    if options:
        max(options, key=lambda o: o[0])[1].n += 2
        return True
    if a.rule == b.rule == "inside":
        return False
    a.rule = b.rule = "inside"
    return True


def parallel_axis_distance(a: Axis, b: Axis) -> float | None:
    """Distance of two parallel axes, or None when they are not parallel."""
    u = a.direction
    if abs(abs(_dot(u, b.direction)) - 1) > 1e-9:
        return None
    w = [q - p for p, q in zip(a.point, b.point, strict=True)]
    along = _dot(w, u)
    return hypot(*(x - along * y for x, y in zip(w, u, strict=True)))


def _bearing(a: Axis, b: Axis, direction: Array) -> float:
    """The angle from where polygons on two parallel axes turn the middle of a side to the way from the first axis to
    the second, radians."""
    z = np.array(a.direction)
    v = direction if abs(abs(z[2]) - 1) < 1e-12 else np.array([0.0, 0.0, 1.0])  # as frames turn them
    way = np.subtract(b.point, a.point)
    return atan2(float(way @ np.cross(z, v)), float(way @ (v - (v @ z) * z)))


def _share_height(s: tuple[float, float], t: tuple[float, float], a: Axis, b: Axis, scale: float) -> bool:
    """True when two features on parallel axes share a height."""
    shift = (_dot(b.point, a.direction) - _dot(a.point, a.direction)) * scale
    sign = _dot(b.direction, a.direction)
    lo, hi = sorted((shift + sign * t[0], shift + sign * t[1]))
    return lo < s[1] + 1e-9 and hi > s[0] - 1e-9


def _dot(u: Sequence[float], v: Sequence[float]) -> float:
    return u[0] * v[0] + u[1] * v[1] + u[2] * v[2]
