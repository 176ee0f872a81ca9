"""The bodies that are folded by hand: a part's features as prisms with their edges parallel, one beside another.

A diameter becomes eight sides with their flats on the round, a small one four, a plate the rectangle around it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import isclose, pi, tan

import shapely
from shapely import Polygon

from foldsketch.base.findings import Finding, mm
from foldsketch.base.points import Point
from foldsketch.part.details import axis_lines
from foldsketch.part.model import Axis, Cone, Feature, FeatureShape, Part, Plate, PrismShape, Vec3
from foldsketch.part.reduction import split_part
from foldsketch.sheet.by_hand.model import Body, Kind
from foldsketch.sheet.messages import (
    BY_HAND_CROSSED,
    BY_HAND_DETAIL,
    BY_HAND_FLATS,
    BY_HAND_INSIDE,
    BY_HAND_PLATE,
    BY_HAND_RUNS_INTO,
    BY_HAND_TAPER,
    BY_HAND_TOO_SMALL,
)

MIN_EIGHT_SIDED_MM = 15.0
"""Below this diameter a body has four sides: eight would be narrower than 6 mm [C]."""

MIN_WIDTH_MM, MIN_HEIGHT_MM = 6.0, 3.0
"""Smallest body that fingers can fold [C]."""

MIN_COMMON_AREA_MM2 = 1.0
"""Bodies that share less of the plane touch at most."""

SAME_LEVEL_MM = 0.01
"""Planes nearer to each other than this are one."""

FLUSH_MM = 0.3
"""By so much an outline may stick out of another one and still count as inside: less than a rounded edge shows."""

MAX_TURN_SHARE = 1e-6
"""A prism turned by less than this share of one side is not turned."""


def find_bodies(part: Part, drawn: Sequence[Feature], scale: float) -> tuple[list[Body], list[Finding]]:
    """The bodies of a part, none within another one, and what is left out or changed for them.

    drawn: the features that the model shows as lines only; scale: paper over part.
    """
    reduced = split_part(part, "no details")
    findings = [BY_HAND_DETAIL.at(_of(f)) for f in (*drawn, *reduced.drawn) if not f.cut]
    lines, datum = axis_lines(part), part.datum
    bodies: list[Body] = []
    for f in reduced.built.features:
        own = part.axis(f.axis)
        if f.cut:
            continue
        if not own.is_parallel_to(datum):
            findings.append(BY_HAND_CROSSED.at(_of(f), axis=datum.name))
            continue
        findings += _changes(f, scale)
        bodies.append(_body(part, f, lines[f.axis], scale))
    exact = {f.name for f in reduced.built.features if _is_rectangle(f)}
    bodies = _merge_plates(bodies)
    findings += [BY_HAND_PLATE.at(_of(b)) for b in bodies if b.box and b.name not in exact]
    bodies, hidden = _apart(bodies)
    large = [b for b in bodies if _least_size(b) is None]
    small = [BY_HAND_TOO_SMALL.at(_of(b), size=mm(size, 1)) for b in bodies if (size := _least_size(b)) is not None]
    return large, [*findings, *hidden, *small]


def outline(b: Body) -> Polygon:
    """A body seen along its axis: the rectangle around it, of eight sides without its corners."""
    (x0, y0), (x1, y1) = b.low_corner, b.high_corner
    if b.sides == 4:
        return shapely.box(x0, y0, x1, y1)
    s = (x1 - x0) * (1 - tan(pi / 8)) / 2
    return Polygon(
        [(x0 + s, y0), (x1 - s, y0), (x1, y0 + s), (x1, y1 - s), (x1 - s, y1), (x0 + s, y1), (x0, y1 - s), (x0, y0 + s)]
    )


def contains(outer: Body, inner: Body) -> bool:
    """Whether the outline of one body lies inside that of another."""
    return bool(outline(outer).buffer(FLUSH_MM, join_style="mitre").contains(outline(inner)))


def in_plan(datum: Axis, p: Vec3, scale: float) -> Point:
    """A point of the part in the plane of the datum axis, mm on paper."""
    away = [v - o for v, o in zip(p, datum.point, strict=True)]
    x, y = (sum(u * v for u, v in zip(away, e, strict=True)) * scale for e in datum.frame[:2])
    return (x, y)


def _of(f: Feature | Body) -> str:
    return f"feature '{f.name}'"


def _body(part: Part, f: Feature, line: str, scale: float) -> Body:
    own, datum = part.axis(f.axis), part.datum
    centre = in_plan(datum, own.point, scale)
    low, high = (v * scale for v in part.extent(f, datum))
    index = next(k for k, g in enumerate(part.features) if g.name == f.name)
    if isinstance(f.shape, Plate):
        corners = [in_plan(datum, own.to_part_frame(x, y, f.start), scale) for x, y in _plate_outline(f.shape)]
        x, y = zip(*corners, strict=True)
        return Body(f.name, line, centre, (min(x), min(y)), (max(x), max(y)), low, high, 4, "plate", index)
    across = f.shape.across_flats if isinstance(f.shape, PrismShape) else 2 * f.radius
    r = across * scale / 2
    corners = [(centre[0] - r, centre[1] - r), (centre[0] + r, centre[1] + r)]
    kind: Kind = "flats" if isinstance(f.shape, PrismShape) else "round"
    return Body(f.name, line, centre, corners[0], corners[1], low, high, _sides(f.shape, 2 * r), kind, index)


def _plate_outline(shape: Plate) -> list[Point]:
    """Corners of an outline; of a hull the outermost points of its circles, along x and y."""
    if shape.outline:
        return list(shape.outline)
    return [p for x, y, r in shape.hull for p in ((x - r, y), (x + r, y), (x, y - r), (x, y + r))]


def _changes(f: Feature, scale: float) -> Iterator[Finding]:
    """What a round body is, where it is not what the feature is."""
    match f.shape:
        case Cone(start, end):
            yield BY_HAND_TAPER.at(_of(f), start=mm(start), end=mm(end))
        case PrismShape(flats, across, turn):
            sides = _sides(f.shape, across * scale)
            turned = turn / (2 * pi / flats)
            if flats != sides or abs(turned - round(turned)) > MAX_TURN_SHARE:
                yield BY_HAND_FLATS.at(_of(f), sides=sides, flats=flats)


def _sides(shape: FeatureShape, across: float) -> int:
    four = across < MIN_EIGHT_SIDED_MM or (isinstance(shape, PrismShape) and shape.flats == 4)
    return 4 if four else 8


def _is_rectangle(f: Feature) -> bool:
    """Whether a plate is a rectangle along x and y."""
    if not isinstance(f.shape, Plate) or not f.shape.outline:
        return False
    x, y = zip(*f.shape.outline, strict=True)
    return isclose(Polygon(f.shape.outline).area, (max(x) - min(x)) * (max(y) - min(y)))


def _merge_plates(bodies: Sequence[Body]) -> list[Body]:
    """The bodies, with plates between the same planes that run into each other as one rectangle."""
    found = list(bodies)
    while pair := next((p for p in combinations(found, 2) if _is_one_plate(*p)), None):
        a, b = pair
        merged = replace(
            a,
            name=f"{a.name} + {b.name}",
            low_corner=(min(a.low_corner[0], b.low_corner[0]), min(a.low_corner[1], b.low_corner[1])),
            high_corner=(max(a.high_corner[0], b.high_corner[0]), max(a.high_corner[1], b.high_corner[1])),
            index=max(a.index, b.index),
        )
        found = [merged if c is a else c for c in found if c is not b]
    return found


def _is_one_plate(a: Body, b: Body) -> bool:
    same = abs(a.low - b.low) < SAME_LEVEL_MM and abs(a.high - b.high) < SAME_LEVEL_MM
    return a.box and b.box and same and common_area(a, b) > MIN_COMMON_AREA_MM2


def common_area(a: Body, b: Body) -> float:
    """What the outlines of two bodies share, mm2."""
    return float(outline(a).intersection(outline(b)).area)


def _apart(bodies: Sequence[Body]) -> tuple[list[Body], list[Finding]]:
    """The bodies without what lies inside a wider one, and without those that run into a wider one."""
    done: list[Body] = []
    findings: list[Finding] = []
    for b in sorted(bodies, key=lambda b: -b.area):
        left = [b]
        for wide in done:
            meets = [p for p in left if _levels_meet(p, wide) and common_area(p, wide) > MIN_COMMON_AREA_MM2]
            if not meets:
                continue
            if not contains(wide, b):
                findings.append(BY_HAND_RUNS_INTO.at(_of(b), other=wide.name))
                left = []
                break
            left = [q for p in left for q in (_without(p, wide) if p in meets else [p])]
            if not left:
                findings.append(BY_HAND_INSIDE.at(_of(b), other=wide.name))
                break
        more = len(left) > 1
        done += [replace(p, name=f"{p.name} ({k})") if more else p for k, p in enumerate(left, 1)]
    return done, findings


def _levels_meet(a: Body, b: Body) -> bool:
    return min(a.high, b.high) - max(a.low, b.low) > SAME_LEVEL_MM


def _without(b: Body, wide: Body) -> list[Body]:
    """What of a body is below and above a wider one."""
    found = [replace(b, high=wide.low), replace(b, low=wide.high)]
    return [p for p in found if p.high - p.low > SAME_LEVEL_MM]


def _least_size(b: Body) -> float | None:
    """Width or height of a body that is too small to be folded; else None."""
    width = min(b.high_corner[0] - b.low_corner[0], b.high_corner[1] - b.low_corner[1])
    if width < MIN_WIDTH_MM:
        return width
    return b.high - b.low if b.high - b.low < MIN_HEIGHT_MM else None
