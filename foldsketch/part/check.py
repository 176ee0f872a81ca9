"""Checks of a part from its dimensions alone. Only what is certain is reported."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from foldsketch.base.findings import Finding, mm
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part import messages
from foldsketch.part.collisions import find_collisions
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring

USUAL_SIZES_MM = (12.0, 2000.0)
"""Largest dimension of a part, mm, outside of which the units may be wrong."""

THINNEST_WALL_MM = 0.1
"""A wall or floor thinner than this, mm, is a slip of the pen [common practice: none is turned so thin]."""


def check_part(part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> tuple[Finding, ...]:
    """Notes, warnings and errors about a part, in the order of its axes and features."""
    return (
        *_check_axes(part, tolerance),
        *_check_overall_size(part),
        *(f for feature in part.features if feature.cut for f in _check_cut(part, feature, tolerance)),
        *_check_hidden_cylinders(part, tolerance),
        *(f for feature in part.features if feature.cut for f in _check_walls(part, feature, tolerance)),
        *find_collisions(part),
    )


def _check_axes(part: Part, tolerance: Tolerance) -> Iterator[Finding]:
    used = {f.axis for f in part.features}
    for a in part.axes[1:]:
        if a.name not in used:
            yield messages.AXIS_UNUSED.at(f"axis {a.name}")
    for a, b in combinations(part.axes, 2):
        if a.is_parallel_to(b) and a.distance_to(b.point) < tolerance.length:
            yield messages.AXES_ON_ONE_LINE.at(f"axes {a.name} and {b.name}")


def _check_overall_size(part: Part) -> Iterator[Finding]:
    largest = max(max(2 * f.radius, f.length) for f in part.features)
    low, high = USUAL_SIZES_MM
    if largest > high:
        yield messages.PART_VERY_LARGE.at("part", size=mm(largest, 0))
    elif largest < low:
        yield messages.PART_VERY_SMALL.at("part", size=mm(largest))


def _check_cut(part: Part, cut: Feature, tolerance: Tolerance) -> Iterator[Finding]:
    """A cut must reach material that comes before it, and not remove all of a feature."""
    where = f"feature '{cut.name}'"
    materials = [f for f in part.features[: part.features.index(cut)] if not f.cut]
    if not materials:
        yield messages.CUT_BEFORE_MATERIAL.at(where)
        return
    if not _is_parallel_to_datum(part, cut):
        return
    low, high = part.extent(cut, part.datum)
    reached = False
    for m in materials:
        if not _is_parallel_to_datum(part, m):
            reached = True
            continue
        bottom, top = part.extent(m, part.datum)
        apart = _axis_distance(part, cut, m)
        beside = apart >= cut.radius + m.radius - tolerance.length
        if beside or high <= bottom + tolerance.length or top <= low + tolerance.length:
            continue
        reached = True
        round_ = isinstance(cut.shape, Cylinder) and isinstance(m.shape, Cylinder | Cone | Ring)
        if round_ and apart + m.radius <= cut.radius + tolerance.length and low <= bottom and top <= high:
            yield messages.CUT_REMOVES_FEATURE.at(where, feature=m.name)
    if not reached:
        yield messages.CUT_MISSES_MATERIAL.at(where)


def _check_walls(part: Part, cut: Feature, tolerance: Tolerance) -> Iterator[Finding]:
    """A bore in a cylinder that nothing else touches must not leave a wall or a floor as thin as foil."""
    if not isinstance(cut.shape, Cylinder) or not _is_parallel_to_datum(part, cut):
        return
    near = [m for m in part.features if not m.cut and _may_touch(part, cut, m, THINNEST_WALL_MM)]
    if len(near) != 1 or not _is_solid_cylinder(part, near[0]):
        return
    (m,) = near
    (low, high), (bottom, top) = part.extent(cut, part.datum), part.extent(m, part.datum)
    wall = m.radius - cut.radius - _axis_distance(part, cut, m)
    if wall <= tolerance.length:
        return
    for place, thickness in (("wall", wall), ("floor", low - bottom), ("floor", top - high)):
        if tolerance.length < thickness < THINNEST_WALL_MM:
            shown = mm(thickness, 6)
            yield messages.WALL_VERY_THIN.at(f"feature '{cut.name}'", place=place, thickness=shown, feature=m.name)


def _may_touch(part: Part, f: Feature, g: Feature, slack: float) -> bool:
    """Whether two features may come as near as slack, mm; those on slanted axes may."""
    if not (_is_parallel_to_datum(part, f) and _is_parallel_to_datum(part, g)):
        return True
    (low, high), (bottom, top) = part.extent(f, part.datum), part.extent(g, part.datum)
    level = low < top + slack and bottom < high + slack
    return level and _axis_distance(part, f, g) < f.radius + g.radius + slack


def _check_hidden_cylinders(part: Part, tolerance: Tolerance) -> Iterator[Finding]:
    """A cylinder inside an earlier one adds nothing, unless a cut comes between them in the file."""
    for k, inner in enumerate(part.features):
        for outer in _solid_cylinders_before(part, k):
            (low, high), (bottom, top) = part.extent(inner, part.datum), part.extent(outer, part.datum)
            deep = _axis_distance(part, inner, outer) + inner.radius <= outer.radius + tolerance.length
            if deep and bottom - tolerance.length <= low and high <= top + tolerance.length:
                yield messages.FEATURE_HIDDEN.at(f"feature '{inner.name}'", outer=outer.name)
                break


def _solid_cylinders_before(part: Part, k: int) -> list[Feature]:
    """The cylinders before feature k and after the last cut before it, if that feature is one of them itself."""
    if not _is_solid_cylinder(part, part.features[k]):
        return []
    last_cut = max((j for j, f in enumerate(part.features[:k]) if f.cut), default=-1)
    return [f for f in part.features[last_cut + 1 : k] if _is_solid_cylinder(part, f)]


def _is_solid_cylinder(part: Part, f: Feature) -> bool:
    return not f.cut and isinstance(f.shape, Cylinder) and _is_parallel_to_datum(part, f)


def _is_parallel_to_datum(part: Part, f: Feature) -> bool:
    return part.axis(f.axis).is_parallel_to(part.datum)


def _axis_distance(part: Part, f: Feature, g: Feature) -> float:
    """Distance of the parallel axes of two features, mm."""
    return part.axis(f.axis).distance_to(part.axis(g.axis).point)
