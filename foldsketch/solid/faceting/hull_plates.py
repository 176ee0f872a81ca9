"""Webs: plates that are the hull of circles, with fewer sides, for few minutes, where bosses and holes allow it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.part.model import Feature, Plate
from foldsketch.solid.faceting.polygon import RegularPolygon
from foldsketch.solid.faceting.prism import Prism
from foldsketch.solid.faceting.rolled_walls import rolled_side_count
from foldsketch.solid.faceting.sides import FacetChoice, side_count

MIN_WEB_END_SIDES = 4
"""Fewest sides for the circles of a web in a model for few minutes."""

MIN_WEB_CLEARANCE_RATIO = 0.5
"""Least share of the gap between a web's outline and a boss or hole in it that a web with fewer sides keeps."""

MAX_OMITTED_SAG_MM = 0.02
"""Corners of a web nearer than this, mm on paper, to the line between their neighbours are left out."""


def coarsen_webs(prisms: Sequence[Prism], coarsen: Callable[[Prism], Prism]) -> tuple[Prism, ...]:
    """The prisms, with fewer sides on webs where that saves faces and leaves clearance to bosses and holes.

    coarsen: makes the prism of a web with as few sides as the chord error allows.
    """
    found = list(prisms)
    for k, web in enumerate(prisms):
        if not isinstance(web.feature.shape, Plate) or not web.feature.shape.hull:
            continue
        coarse = coarsen(web)
        if len(coarse.faces) < len(web.faces) and all(
            _keeps_clearance(web, coarse, p) for p in found if p.index != web.index
        ):
            found[k] = coarse
    return tuple(found)


def _keeps_clearance(web: Prism, coarse: Prism, other: Prism) -> bool:
    """True if another prism is clear of both forms of a web, or inside both outlines with enough clearance."""
    low, high = np.minimum(web.low, coarse.low), np.maximum(web.high, coarse.high)
    if (other.low > high + 1e-6).any() or (other.high < low - 1e-6).any():
        return True
    if not web.frame.along_z:
        return False
    before, after, own = (_hull_along_z(p) for p in (web, coarse, other))
    inside = before.contains(own)
    if after.contains(own) != inside:
        return False
    if inside:
        return bool(after.exterior.distance(own) >= MIN_WEB_CLEARANCE_RATIO * before.exterior.distance(own) > 0)
    return bool(before.distance(own) > 0 and after.distance(own) > 0)


def _hull_along_z(prism: Prism) -> Any:
    """Convex hull of a prism seen along z."""
    from shapely import MultiPoint

    return MultiPoint(prism.corners[:, :2]).convex_hull


def web_outline(
    f: Feature,
    circles: tuple[tuple[float, float, float], ...],
    scale: float,
    angle: float,
    choice: FacetChoice,
    rolled: bool,
) -> tuple[Array, float]:
    """Outline (n, 2) of a web, mm on paper, anticlockwise, and its largest chord error, mm.

    It is the hull of polygons on its circles (x, y, radius; part mm), the same polygons that bosses on them get unless
    choice asks for fewer sides. angle: of the middle of a side, radians.
    """
    from shapely import MultiPoint, get_coordinates, orient_polygons, remove_repeated_points

    points, chord_error = [], 0.0
    for x, y, r in circles:
        centre = np.array([[x, y]]) * scale
        if r == 0:
            points.append(centre)
            continue
        n = f.sides or choice.sides or side_count(r * scale, r * scale, choice)
        p = RegularPolygon.of(n, r * scale, choice.radius_rule)
        if rolled:
            p = RegularPolygon.of(rolled_side_count(r * scale), r * scale, "equal-perimeter")
        chord_error = max(chord_error, p.chord_error)
        points.append(p.corners(angle) + centre)
    hull = orient_polygons(remove_repeated_points(MultiPoint(np.concatenate(points)).convex_hull, 1e-6))
    sag = min(MAX_OMITTED_SAG_MM, choice.chord_error / 25)
    return _remove_nearly_collinear(get_coordinates(hull)[1:], sag), chord_error


def _remove_nearly_collinear(corners: Array, sag: float) -> Array:
    """Without the corners less than sag mm from the line between their neighbours."""
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
