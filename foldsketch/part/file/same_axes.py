"""Axes that are one line although the file has them twice, and directions that differ by less than anyone can set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import hypot, radians, sin

from foldsketch.part.model import Axis, Feature, Vec3

NO_TILT = radians(0.001)
"""A tilt below this, radians, is a rounded number and not meant: 2 micrometres on 100 mm."""

SAME_LINE_MM = 1e-3
"""Parallel axes nearer than this, mm, are one axis: no machine sets such an offset."""

COORDINATE_DIRECTIONS: tuple[Vec3, ...] = ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def straighten_direction(direction: Vec3, others: Iterable[Vec3]) -> Vec3:
    """A unit direction; that of z, x, y or others, in either sense, if it is tilted from it by less than NO_TILT."""
    for u in (*COORDINATE_DIRECTIONS, *others):
        along = sum(a * b for a, b in zip(direction, u, strict=True))
        sense = 1.0 if along > 0 else -1.0
        if hypot(*(a - sense * b for a, b in zip(direction, u, strict=True))) < 2 * sin(NO_TILT / 2):
            x, y, z = (sense * b + 0.0 for b in u)
            return (x, y, z)
    return direction


def find_same_axes(axes: Sequence[Axis]) -> dict[str, Axis]:
    """The axes that lie on the line of an earlier one and run the same way: name -> that earlier one."""
    own: list[Axis] = []
    same: dict[str, Axis] = {}
    for a in axes:
        first = next((o for o in own if o.direction == a.direction and o.distance_to(a.point) < SAME_LINE_MM), None)
        if first:
            same[a.name] = first
        else:
            own.append(a)
    return same


def move_to_axis(f: Feature, old: Axis, new: Axis) -> Feature:
    """The feature with the axis new, on the line of old, as its own."""
    up = new.height_of(old.point)
    return replace(f, axis=new.name, start=f.start + up, end=f.end + up)
