"""What can be said of a part from its dimensions alone. Never more than can be proved."""

from __future__ import annotations

from itertools import combinations
from math import hypot

from foldsketch.base.findings import Finding
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Ring, Vec3


def check_part(part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> tuple[Finding, ...]:
    """Notes, warnings and errors about a part, in the order of its axes and features."""
    return (
        *_check_axes(part, tolerance),
        *_check_overall_size(part),
        *(f for feature in part.features if feature.cut for f in _check_cut(part, feature, tolerance)),
        *_check_hidden_cylinders(part, tolerance),
    )


def _check_axes(part: Part, tolerance: Tolerance) -> list[Finding]:
    found = []
    used = {f.axis for f in part.features}
    for a in part.axes[1:]:
        if a.name not in used:
            found.append(Finding("note", f"axis {a.name}", "carries no feature", "take it out, or put a feature on it"))
    for a, b in combinations(part.axes, 2):
        if _same_line(a.point, a.direction, b.point, b.direction, tolerance):
            found.append(
                Finding("note", f"axes {a.name} and {b.name}", "lie on the same line", "one letter would do for both")
            )
    return found


def _same_line(p: Vec3, u: Vec3, q: Vec3, v: Vec3, tolerance: Tolerance) -> bool:
    if abs(abs(sum(a * b for a, b in zip(u, v, strict=True))) - 1) > 1e-12:
        return False
    w = [b - a for a, b in zip(p, q, strict=True)]
    along = sum(a * b for a, b in zip(w, u, strict=True))
    return hypot(*(a - along * b for a, b in zip(w, u, strict=True))) < tolerance.length


def _check_overall_size(part: Part) -> list[Finding]:
    largest = max(max(2 * f.radius, f.length) for f in part.features)
    units = part.units
    if largest > 2000:
        cure = 'units = "mm" would make it smaller' if units == "in" else "check the numbers"
        return [Finding("note", "part", f"is {largest / 1000:.1f} m across", cure)]
    if largest < 2:
        cure = 'were they inches? then write units = "in"' if units == "mm" else "check the numbers"
        return [Finding("note", "part", f"is only {largest:.2g} mm across", cure)]
    return []


def _extent_along_datum(part: Part, f: Feature) -> tuple[float, float]:
    """Extent along the datum's direction of a feature whose axis is parallel to it."""
    a, d = part.axis(f.axis), part.datum.direction
    level = sum(x * y for x, y in zip(a.point, d, strict=True))
    sense = 1.0 if sum(x * y for x, y in zip(a.direction, d, strict=True)) > 0 else -1.0
    low, high = sorted((level + sense * f.start, level + sense * f.end))
    return low, high


def _is_parallel_to_datum(part: Part, f: Feature) -> bool:
    return (
        abs(abs(sum(x * y for x, y in zip(part.axis(f.axis).direction, part.datum.direction, strict=True))) - 1) < 1e-12
    )


def _axis_distance(part: Part, f: Feature, g: Feature) -> float:
    """Distance of the axes of two features that are both parallel to the datum."""
    a, b, d = part.axis(f.axis), part.axis(g.axis), part.datum.direction
    w = [y - x for x, y in zip(a.point, b.point, strict=True)]
    along = sum(x * y for x, y in zip(w, d, strict=True))
    return hypot(*(x - along * y for x, y in zip(w, d, strict=True)))


def _check_cut(part: Part, cut: Feature, tolerance: Tolerance) -> list[Finding]:
    """A cut must be able to reach material written before it."""
    before = part.features[: part.features.index(cut)]
    materials = [f for f in before if not f.cut]
    where = f"feature '{cut.name}'"
    if not materials:
        return [Finding("warning", where, "cuts before there is any material", "write it below the material it cuts")]
    if not _is_parallel_to_datum(part, cut):
        return []
    found = []
    reached = False
    for m in materials:
        if not _is_parallel_to_datum(part, m):
            reached = True
            continue
        (a, b), (c, d) = _extent_along_datum(part, cut), _extent_along_datum(part, m)
        if b <= c + tolerance.length or d <= a + tolerance.length:
            continue
        if _axis_distance(part, cut, m) >= cut.radius + m.radius - tolerance.length:
            continue
        reached = True
        swallows = isinstance(cut.shape, Cylinder) and isinstance(m.shape, Cylinder | Cone | Ring)
        if swallows and _axis_distance(part, cut, m) + m.radius <= cut.radius + tolerance.length and a <= c and d <= b:
            cure = "make it smaller or shorter"
            found.append(Finding("error", where, f"the cut swallows '{m.name}' whole", cure))
    if not reached:
        found.append(Finding("warning", where, "cuts no material", "check its axis, start and end"))
    return found


def _check_hidden_cylinders(part: Part, tolerance: Tolerance) -> list[Finding]:
    """A cylinder wholly inside another on parallel axes adds nothing, unless a cut stands between them in the file."""
    found = []
    for k, inner in enumerate(part.features):
        if inner.cut or not isinstance(inner.shape, Cylinder) or not _is_parallel_to_datum(part, inner):
            continue
        for outer in part.features[:k]:
            if outer.cut or not isinstance(outer.shape, Cylinder) or not _is_parallel_to_datum(part, outer):
                continue
            if any(f.cut for f in part.features[part.features.index(outer) : k]):
                continue
            (a, b), (c, d) = _extent_along_datum(part, inner), _extent_along_datum(part, outer)
            deep = _axis_distance(part, inner, outer) + inner.radius <= outer.radius + tolerance.length
            if deep and c - tolerance.length <= a and b <= d + tolerance.length:
                where = f"feature '{inner.name}'"
                cure = "take it out, or check its start and end"
                found.append(Finding("warning", where, f"lies wholly inside '{outer.name}' and adds nothing", cure))
                break
    return found
