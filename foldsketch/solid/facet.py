"""Facet: every feature of a part becomes a prism in the model frame, at paper scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, pi

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.findings import Finding
from foldsketch.base.tolerance import DEFAULT, Tolerance
from foldsketch.base.units import plain
from foldsketch.part.model import Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring
from foldsketch.solid.frame import Frame, frames, reference_direction, upright
from foldsketch.solid.mating import resolve
from foldsketch.solid.polygon import Polygon, circumfactor
from foldsketch.solid.prism import Prism, loft
from foldsketch.solid.roll import crossing, rolled_sides, told
from foldsketch.solid.sides import FacetChoice, Plan, plan_of, sides_for
from foldsketch.solid.webs import slimmed

Array = NDArray[np.float64]

BAR = 4
"""Sides at the ends of a web that is a bar."""


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


def facet(part: Part, scale: float, choice: FacetChoice, tolerance: Tolerance = DEFAULT) -> Faceted:
    """Prisms for every feature, at scale paper mm per part mm. Raises FoldsketchError when no prism is possible."""
    turned, turn = upright(part)
    direction = reference_direction(turned)
    roll = choice.walls == "rolled"
    crossed = crossing(turned) if roll else {}
    first = [plan_of(f, scale, choice, roll and f.name not in crossed) for f in turned.features]
    plans = resolve(first, turned, scale, direction, tolerance)
    heights = Planes(tolerance.length)
    own = frames(part, turn, scale)
    prisms = tuple(
        _prism(i, f, own[f.axis], scale, plan, direction, heights, choice)
        for i, (f, plan) in enumerate(zip(turned.features, plans, strict=True))
    )
    if choice.fewest > BAR:

        def bar(web: Prism) -> Prism | None:
            if not _may_be_bar(web, choice):
                return None
            plan, few = plans[web.index], replace(choice, fewest=BAR)
            slim = _prism(web.index, web.feature, web.frame, scale, plan, direction, heights, few)
            return slim if slim.chord_error <= choice.chord_error else None

        prisms = slimmed(prisms, bar)
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
    if roll:
        findings += told(part.features, frozenset(p.feature.name for p in prisms if p.rolled), crossed, scale)
    return Faceted(prisms, direction, turn, part, tuple(findings))


def _may_be_bar(web: Prism, choice: FacetChoice) -> bool:
    shape = web.feature.shape
    given = web.feature.sides or choice.sides
    return isinstance(shape, Plate) and bool(shape.hull) and not given and not web.rolled


class Planes:
    """End planes that are the same within the tolerance become the same number."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self.known: list[float] = []

    def snap(self, value: float) -> float:
        """The number of the plane at a height: the one that is known already, if one is near."""
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
    plan: Plan,
    direction: Array,
    heights: Planes,
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
    return loft(index, f, frame, rings, z, plan.n, factor, chord, plan.rolled)


def _rings(
    f: Feature, plan: Plan, scale: float, turn: float, choice: FacetChoice
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
            return _hull(f, hull, scale, turn, choice, plan.rolled)


def _hull(
    f: Feature,
    circles: tuple[tuple[float, float, float], ...],
    scale: float,
    turn: float,
    choice: FacetChoice,
    rolled: bool,
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
        if rolled:
            p = Polygon.of(rolled_sides(r * scale), r * scale, "equal-perimeter")
        chord = max(chord, p.chord_error)
        points.append(p.corners(turn) + centre)
    hull = MultiPoint(np.concatenate(points)).convex_hull
    corners = get_coordinates(remove_repeated_points(hull.exterior, 1e-6))[:-1]
    corners = _straightened(corners[::-1] if _area(corners) < 0 else corners, min(0.02, choice.chord_error / 25))
    return ((corners,) * 2,), chord


def _area(corners: Array) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _straightened(corners: Array, sag: float) -> Array:
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
