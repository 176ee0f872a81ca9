"""Facet: how many sides a round gets, how large they are and how they are turned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import acos, ceil, cos, pi, sin, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.findings import Finding, refuse
from foldsketch.base.tolerance import DEFAULT, Tolerance
from foldsketch.base.units import plain
from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.frame import Frame, frames, reference_direction, upright
from foldsketch.solid.prism import Prism, loft

Array = NDArray[np.float64]
RadiusRule = Literal["inside", "equal-area", "outside"]

FEWEST, MOST = 3, 120
"""Bounds for a number of sides that a hand can fold."""


@dataclass(frozen=True, slots=True)
class FacetChoice:
    """What the user chose. chord_error and smallest: mm on paper; sides: the same number for every round, or None."""

    chord_error: float = 0.5
    smallest: float = 5.0
    sides: int | None = None
    radius: RadiusRule = "equal-area"

    def __post_init__(self) -> None:
        if self.sides is not None and not FEWEST <= self.sides <= MOST:
            raise refuse("--sides", f"{self.sides} sides cannot be folded", f"give {FEWEST} to {MOST}")
        if not 0.01 <= self.chord_error <= 50:
            raise refuse("--chord-error", f"{self.chord_error:g} mm is out of range", "give 0.01 to 50 mm")


@dataclass(frozen=True, slots=True, eq=False)
class Faceted:
    """Prisms in the model frame (datum along z). turn: (3, 3), model frame to the part's frame."""

    prisms: tuple[Prism, ...]
    datum_direction: Array
    turn: Array
    part: Part
    findings: tuple[Finding, ...] = ()

    @property
    def prisms_by_name(self) -> dict[str, Prism]:
        """The prism of every feature, by the feature's name."""
        return {p.feature.name: p for p in self.prisms}


def polygon_table(n: int) -> dict[str, float]:
    """The regular n-gon's measures, by Machinery's Handbook 31, p. 82.

    Keys: A/S2, A/R2, A/r2, R/S, R/r, S/R, S/r, r/R, r/S, with S side, R circumradius, r inradius.
    """
    corner = Polygon.of(n, 1.0, "inside")
    R, r, S = corner.circumradius, corner.inradius, corner.side
    A = n / 2 * S * r
    return {
        "A/S2": A / S**2,
        "A/R2": A / R**2,
        "A/r2": A / r**2,
        "R/S": R / S,
        "R/r": R / r,
        "S/R": S / R,
        "S/r": S / r,
        "r/R": r / R,
        "r/S": r / S,
    }


@dataclass(frozen=True, slots=True)
class Polygon:
    """A regular polygon that stands for a circle of radius nominal. All mm."""

    n: int
    nominal: float
    circumradius: float

    @staticmethod
    def of(n: int, radius: float, rule: RadiusRule) -> Polygon:
        """inside: corners on the circle; outside: flats on it; equal-area: the same area as the circle.

        >>> round(Polygon.of(6, 1.0, "equal-area").circumradius, 6)
        1.099636
        """
        return Polygon(n, radius, radius * circumfactor(n, rule))

    @property
    def inradius(self) -> float:
        """Half across flats."""
        return self.circumradius * cos(pi / self.n)

    @property
    def side(self) -> float:
        """Length of a side."""
        return 2 * self.circumradius * sin(pi / self.n)

    @property
    def chord_error(self) -> float:
        """Largest distance between a side and the circle, inside or outside of it."""
        return max(self.nominal - self.inradius, self.circumradius - self.nominal)

    def corners(self, turn: float) -> Array:
        """(n, 2), anticlockwise; the middle of a side lies at the angle turn."""
        if self.circumradius == 0:
            return np.zeros((1, 2))
        t = turn + (np.arange(self.n) * 2 + 1) * (pi / self.n)
        return np.column_stack((np.cos(t), np.sin(t))) * self.circumradius


def circumfactor(n: int, rule: RadiusRule) -> float:
    """Circumradius over the nominal radius."""
    if rule == "inside":
        return 1.0
    if rule == "outside":
        return 1 / cos(pi / n)
    return sqrt(2 * pi / (n * sin(2 * pi / n)))


def sides_for(radius: float, smallest_radius: float, choice: FacetChoice) -> int:
    """An even number of sides: enough for the chord error, no more than keep a side at the smallest foldable width.

    radius: the largest on the feature; smallest_radius: the smallest round that gets the same number of sides.
    """
    e = min(choice.chord_error / radius, 1.0)
    n = max(4, ceil(pi / acos(1 - e) / 2) * 2 if e < 1 else 4)
    while n > 4 and Polygon.of(n - 2, radius, choice.radius).chord_error <= choice.chord_error:
        n -= 2
    if choice.radius != "inside":
        while n < MOST and Polygon.of(n, radius, choice.radius).chord_error > choice.chord_error:
            n += 2
    while n > 4 and Polygon.of(n, smallest_radius, choice.radius).side < 0.9 * choice.smallest:
        n -= 2
    return min(n, MOST)


def facet(part: Part, scale: float, choice: FacetChoice, tolerance: Tolerance = DEFAULT) -> Faceted:
    """Prisms for every feature, at scale paper mm per part mm. Raises FoldsketchError when no prism is possible."""
    turned, turn = upright(part)
    direction = reference_direction(turned)
    plans = _resolve([_plan(f, scale, choice) for f in turned.features], turned, scale, choice, tolerance)
    heights = _Planes(tolerance.length)
    own = frames(part, turn, scale)
    prisms = tuple(
        _prism(i, f, own[f.axis], scale, plan, direction, heights, choice)
        for i, (f, plan) in enumerate(zip(turned.features, plans, strict=True))
    )
    findings = [
        Finding(
            "note",
            f"feature '{p.feature.name}'",
            f"its {p.sides} sides stray {plain(p.chord_error, 2)} mm from the round on paper, "
            f"more than the {plain(choice.chord_error, 2)} mm asked for",
            "more sides would be narrower than a hand can fold; print larger, or give sides",
        )
        for p in prisms
        if p.sides and p.chord_error > choice.chord_error * 1.001 and choice.sides is None and p.feature.sides is None
    ]
    return Faceted(prisms, direction, turn, part, tuple(findings))


@dataclass(slots=True)
class _Plan:
    """How one feature will be faceted; n is 0 where there is no round."""

    n: int
    rule: RadiusRule
    radii: tuple[float, ...]
    fixed: bool = False


def _plan(f: Feature, scale: float, choice: FacetChoice) -> _Plan:
    match f.shape:
        case Cylinder(d):
            radii: tuple[float, ...] = (d / 2 * scale,)
        case Cone(a, b):
            radii = (a / 2 * scale, b / 2 * scale)
        case Ring(d, bore):
            radii = (d / 2 * scale, bore / 2 * scale)
        case _:
            return _Plan(0, choice.radius, ())
    given = f.sides or choice.sides
    large = max(radii)
    small = min(radii) if isinstance(f.shape, Ring) else large
    n = given or sides_for(large, small, choice)
    return _Plan(n, choice.radius, radii, fixed=bool(given))


def _resolve(plans: list[_Plan], part: Part, scale: float, choice: FacetChoice, tolerance: Tolerance) -> list[_Plan]:
    """Mating and nested rounds get sides that fit: what is apart, inside or equal on the part stays so on paper."""
    rounds = [i for i, p in enumerate(plans) if p.n]
    axes = [part.axis(f.axis) for f in part.features]
    span = [(f.start * scale, f.end * scale) for f in part.features]
    for _ in range(12):
        changed = False
        for k, i in enumerate(rounds):
            for j in rounds[k + 1 :]:
                a, b = plans[i], plans[j]
                distance = _apart(axes[i], axes[j])
                if distance is None:
                    continue
                distance *= scale
                if distance < tolerance.length:
                    changed |= _fit_coaxial(a, b)
                elif _meet(span[i], span[j], axes[i], axes[j], scale):
                    changed |= _fit_apart(a, b, distance)
        if not changed:
            break
    return plans


def _fit_coaxial(a: _Plan, b: _Plan) -> bool:
    """Rounds on one axis: equal radii share the number of sides, and so do rounds whose polygons would cross."""
    if a.n == b.n:
        return False
    cross = any(_cross(a, x, b, y) for x in a.radii for y in b.radii)
    if not cross:
        return False
    if a.fixed and not b.fixed:
        b.n = a.n
    elif b.fixed and not a.fixed:
        a.n = b.n
    elif not a.fixed:
        a.n = b.n = max(a.n, b.n)
    else:
        return False
    return True


def _cross(a: _Plan, x: float, b: _Plan, y: float) -> bool:
    if abs(x - y) < 1e-9:
        return True
    p, q = Polygon.of(a.n, x, a.rule), Polygon.of(b.n, y, b.rule)
    small, large = (p, q) if x < y else (q, p)
    return small.circumradius > large.inradius


def _fit_apart(a: _Plan, b: _Plan, distance: float) -> bool:
    """Rounds on parallel axes that clear each other on the part, side by side or one inside the other."""
    x, y = max(a.radii), max(b.radii)
    p, q = Polygon.of(a.n, x, a.rule), Polygon.of(b.n, y, b.rule)
    if distance >= x + y - 1e-9:
        if distance >= p.circumradius + q.circumradius - 1e-9:
            return False
    else:
        small, large = (p, q) if x < y else (q, p)
        if distance + small.nominal > large.nominal - 1e-9 or distance + small.circumradius < large.inradius:
            return False
    return _finer(a, x, b, y)


def _finer(a: _Plan, x: float, b: _Plan, y: float) -> bool:
    """Two more sides on the coarser of two rounds; at 24 sides on each, corners on the circle instead."""
    options = [(Polygon.of(p.n, r, p.rule).chord_error, p) for p, r in ((a, x), (b, y)) if not p.fixed and p.n < 24]
    if options:
        max(options, key=lambda o: o[0])[1].n += 2
        return True
    if a.rule == b.rule == "inside":
        return False
    a.rule = b.rule = "inside"
    return True


def _apart(a: Axis, b: Axis) -> float | None:
    """Distance of two parallel axes, or None when they are not parallel."""
    u, v = np.array(a.direction), np.array(b.direction)
    if abs(abs(float(u @ v)) - 1) > 1e-9:
        return None
    w = np.array(b.point) - np.array(a.point)
    return float(np.linalg.norm(w - (w @ u) * u))


def _meet(s: tuple[float, float], t: tuple[float, float], a: Axis, b: Axis, scale: float) -> bool:
    """True when two features on parallel axes share a height."""
    u = np.array(a.direction)
    shift = float((np.array(b.point) - np.array(a.point)) @ u) * scale
    sign = float(np.array(b.direction) @ u)
    lo, hi = sorted((shift + sign * t[0], shift + sign * t[1]))
    return lo < s[1] + 1e-9 and hi > s[0] - 1e-9


class _Planes:
    """End planes that are the same within the tolerance become the same number."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self.known: list[float] = []

    def snap(self, value: float) -> float:
        for k in self.known:
            if abs(k - value) <= self.tolerance:
                return k
        self.known.append(value)
        return value


def _prism(
    index: int,
    f: Feature,
    frame: Frame,
    scale: float,
    plan: _Plan,
    direction: Array,
    heights: _Planes,
    choice: FacetChoice,
) -> Prism:
    z = (f.start * scale, f.end * scale)
    if frame.along_z:
        # Planes are counted from the model's 0, so that features on axes of different origins share them.
        sense = float(np.sign(frame.z[2]))
        level = float(frame.origin[2])
        z = (sense * heights.snap(level + sense * z[0]), sense * heights.snap(level + sense * z[1]))
        frame = replace(frame, origin=np.array([frame.origin[0], frame.origin[1], 0.0]))
    rings, chord = _rings(f, plan, scale, frame.turn(direction), choice)
    factor = circumfactor(plan.n, plan.rule) if plan.n else 1.0
    return loft(index, f, frame, rings, z, plan.n, factor, chord)


def _rings(
    f: Feature, plan: _Plan, scale: float, turn: float, choice: FacetChoice
) -> tuple[tuple[tuple[Array, Array], ...], float]:
    match f.shape:
        case Cylinder(_):
            p = Polygon.of(plan.n, plan.radii[0], plan.rule)
            return ((p.corners(turn),) * 2,), p.chord_error
        case Cone(_, _):
            pair = [Polygon.of(plan.n, r, plan.rule) for r in plan.radii]
            return ((pair[0].corners(turn), pair[1].corners(turn)),), max(p.chord_error for p in pair)
        case Ring(_, _):
            outer, inner = (Polygon.of(plan.n, r, plan.rule) for r in plan.radii)
            return ((outer.corners(turn),) * 2, (inner.corners(turn),) * 2), outer.chord_error
        case PrismShape(n, across, own):
            flat = Polygon(n, across / 2 * scale, across / 2 * scale / cos(pi / n))
            return ((flat.corners(own),) * 2,), 0.0
        case Plate(outline, hull):
            if outline:
                return ((np.array(outline) * scale,) * 2,), 0.0
            return _hull(f, hull, scale, turn, choice)


def _hull(
    f: Feature, circles: tuple[tuple[float, float, float], ...], scale: float, turn: float, choice: FacetChoice
) -> tuple[tuple[tuple[Array, Array], ...], float]:
    """The hull of the circles' polygons, which are those that a boss on the same circle gets."""
    from shapely import MultiPoint, get_coordinates, remove_repeated_points

    points, chord = [], 0.0
    for x, y, r in circles:
        centre = np.array([[x, y]]) * scale
        if r == 0:
            points.append(centre)
            continue
        n = f.sides or choice.sides or sides_for(r * scale, r * scale, choice)
        p = Polygon.of(n, r * scale, choice.radius)
        chord = max(chord, p.chord_error)
        points.append(p.corners(turn) + centre)
    hull = MultiPoint(np.concatenate(points)).convex_hull
    corners = get_coordinates(remove_repeated_points(hull.exterior, 1e-6))[:-1]
    corners = _straightened(corners[::-1] if _area(corners) < 0 else corners)
    return ((corners,) * 2,), chord


def _area(corners: Array) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _straightened(corners: Array, sag: float = 0.02) -> Array:
    """Without the corners that stand less than sag mm proud of the line between their neighbours."""
    keep = list(range(len(corners)))
    i = 0
    while len(keep) > 3 and i < len(keep):
        a, b, c = corners[keep[i - 1]], corners[keep[i]], corners[keep[(i + 1) % len(keep)]]
        d = c - a
        if abs(d[0] * (b - a)[1] - d[1] * (b - a)[0]) < sag * float(np.hypot(*d)):
            keep.pop(i)
        else:
            i += 1
    return corners[keep]
