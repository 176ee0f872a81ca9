"""Removal of steps too small to fold on paper: they are merged into their neighbours or left out."""

from __future__ import annotations

from math import hypot

from foldsketch.base.findings import Finding, mm
from foldsketch.part.details import SAME_PLANE_TOLERANCE_MM
from foldsketch.part.messages import TINY_CUT_LEFT_OUT, TINY_STEP_MERGED
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring
from foldsketch.part.reduction import join_extents, touch_end_to_end


def remove_tiny_steps(part: Part, least: float, scale: float = 1.0) -> tuple[Part, tuple[Finding, ...]]:
    """The part without steps smaller than least mm on paper, and a note for each that was removed.

    A step is the difference in radius of two coaxial cylinders or cones that touch, or the length of one. The shorter
    takes the radius of the longer; grooves and bores as small are left out. scale: paper mm per part mm.
    """
    limit, shown = least / scale, mm(least)
    features, notes = [], []
    for f in part.features:
        if dimension := _tiny_dimension_of_cut(f, limit):
            notes.append(TINY_CUT_LEFT_OUT.at(f"feature '{f.name}'", dimension=dimension, least=shown))
        else:
            features.append(f)
    while merged := _first_merge(part, features, limit):
        f, into = merged
        grown = join_extents(into, f)
        features = [grown if g is into else g for g in features if g is not f]
        notes.append(TINY_STEP_MERGED.at(f"feature '{f.name}'", into=into.name, least=shown))
    if all(f.cut for f in features):
        return part, ()
    return part.with_features(tuple(features)), tuple(notes)


def _tiny_dimension_of_cut(f: Feature, limit: float) -> str:
    """The dimension of a cut that is below the limit, or nothing."""
    if not f.cut:
        return ""
    match f.shape:
        case Ring(d, bore):
            if (d - bore) / 2 < limit:
                return "depth"
            if f.length < limit:
                return "width"
        case Cylinder(d) if d < limit:
            return "diameter"
    return ""


def _first_merge(part: Part, features: list[Feature], limit: float) -> tuple[Feature, Feature] | None:
    """The shortest feature that can be merged into a cylinder, and that cylinder."""
    for f in sorted(features, key=lambda f: f.length):
        into = _find_absorbing_cylinder(part, f, features, limit)
        if into is not None:
            return f, into
    return None


def _find_absorbing_cylinder(part: Part, f: Feature, features: list[Feature], limit: float) -> Feature | None:
    """The longest cylinder that a cylinder or cone can be merged into.

    Coaxial, both material or both cut, touching, and with a step in radius below the limit, or f itself shorter than
    that. A thin flange that holds a feature on another axis is not merged for its length.
    """
    if not isinstance(f.shape, Cylinder | Cone):
        return None
    near = [
        g
        for g in features
        if g is not f
        and isinstance(g.shape, Cylinder)
        and g.cut == f.cut
        and g.length >= f.length
        and _coaxial(part, f, g)
        and touch_end_to_end(f, g)
        and (0 < _radius_step(f, g) < limit or (f.length < limit and not _supports_another_axis(part, f, features)))
    ]
    return max(near, key=lambda g: (g.length, g.name), default=None)


def _supports_another_axis(part: Part, f: Feature, features: list[Feature]) -> bool:
    """Whether material on another axis touches f: without f it would hang in the air."""
    if f.cut:
        return False
    a = part.axis(f.axis)
    for g in features:
        b = part.axis(g.axis)
        if g is f or g.cut or _coaxial(part, f, g):
            continue
        if not a.is_parallel_to(b):
            return True
        low, high = part.extent(g, a)
        meet = low <= f.end + SAME_PLANE_TOLERANCE_MM and high >= f.start - SAME_PLANE_TOLERANCE_MM
        # A feature on the same line by an axis of another name is a neighbour like any other.
        if meet and SAME_PLANE_TOLERANCE_MM < a.distance_to(b.point) < f.radius + g.radius:
            return True
    return False


def _radius_step(f: Feature, g: Feature) -> float:
    """Largest difference in radius between a cylinder or cone and a cylinder, mm."""
    radii = (f.shape.start_diameter / 2, f.shape.end_diameter / 2) if isinstance(f.shape, Cone) else (f.radius,)
    return max(abs(r - g.radius) for r in radii)


def _coaxial(part: Part, f: Feature, g: Feature) -> bool:
    """Whether two features are on one axis, or on two with the same direction and origin."""
    a, b = part.axis(f.axis), part.axis(g.axis)
    return a is b or (
        a.direction == b.direction and hypot(*(p - q for p, q in zip(a.point, b.point, strict=True))) < 1e-9
    )
