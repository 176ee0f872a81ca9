"""Webs: hulls of circles, as bosses on these have them; slim in a quick model, where what stands there leaves room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from foldsketch.part.model import Feature, Plate
from foldsketch.solid.faceting.polygon import RegularPolygon
from foldsketch.solid.faceting.prism import Array, Prism
from foldsketch.solid.faceting.rolled_walls import rolled_side_count
from foldsketch.solid.faceting.sides import FacetChoice, side_count

MIN_WEB_END_SIDES = 4
"""Sides that a round at the end of a slim web has at least."""

MIN_WEB_CLEARANCE_RATIO = 0.5
"""Share of the room between a web's outline and what stands on it or goes through it that stays at least."""


def coarsen_webs(prisms: Sequence[Prism], slim: Callable[[Prism], Prism]) -> tuple[Prism, ...]:
    """The prisms, webs among them slim where that saves faces and nothing comes too near to their outlines. slim: a web
    with as few sides at its ends as the chord error allows."""
    found = list(prisms)
    for k, web in enumerate(prisms):
        if not isinstance(web.feature.shape, Plate) or not web.feature.shape.hull:
            continue
        other = slim(web)
        if len(other.faces) < len(web.faces) and all(
            _keeps_clearance(web, other, p) for p in found if p.index != web.index
        ):
            found[k] = other
    return tuple(found)


def _keeps_clearance(web: Prism, slim: Prism, other: Prism) -> bool:
    """Whether another prism is away from a web both ways, or lies on it with enough room both ways."""
    low, high = np.minimum(web.low, slim.low), np.maximum(web.high, slim.high)
    if (other.low > high + 1e-6).any() or (other.high < low - 1e-6).any():
        return True
    if not web.frame.along_z:
        return False
    thick, thin, own = (_outline_along_z(p) for p in (web, slim, other))
    if thick.contains(own) != thin.contains(own):
        return False
    if thick.contains(own):
        return bool(thin.exterior.distance(own) >= MIN_WEB_CLEARANCE_RATIO * thick.exterior.distance(own) > 0)
    return bool(thick.distance(own) > 0 and thin.distance(own) > 0)


def _outline_along_z(prism: Prism) -> Any:
    """What a prism covers, seen along z."""
    from shapely import MultiPoint

    return MultiPoint(prism.corners[:, :2]).convex_hull


def web_corners(
    f: Feature,
    circles: tuple[tuple[float, float, float], ...],
    scale: float,
    turn: float,
    choice: FacetChoice,
    rolled: bool,
) -> tuple[tuple[tuple[Array, Array], ...], float]:
    """Corners (n, 2) of a web, both ends, mm: the hull of the polygons of its circles (x, y, radius), which are those
    that a boss on the same circle gets, unless it is slim; and the largest chord error."""
    from shapely import MultiPoint, get_coordinates, remove_repeated_points

    points, chord = [], 0.0
    for x, y, r in circles:
        centre = np.array([[x, y]]) * scale
        if r == 0:
            points.append(centre)
            continue
        n = f.sides or choice.sides or side_count(r * scale, r * scale, choice)
        p = RegularPolygon.of(n, r * scale, choice.radius)
        if rolled:
            p = RegularPolygon.of(rolled_side_count(r * scale), r * scale, "equal-perimeter")
        chord = max(chord, p.chord_error)
        points.append(p.corners(turn) + centre)
    hull = MultiPoint(np.concatenate(points)).convex_hull
    corners = get_coordinates(remove_repeated_points(hull.exterior, 1e-6))[:-1]
    corners = _remove_nearly_collinear(
        corners[::-1] if _signed_area(corners) < 0 else corners, min(0.02, choice.chord_error / 25)
    )
    return ((corners,) * 2,), chord


def _signed_area(corners: Array) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _remove_nearly_collinear(corners: Array, sag: float) -> Array:
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
