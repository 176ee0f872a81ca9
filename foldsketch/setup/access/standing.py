"""Where a tool can stand: the one rule for grooves, bores, faces, cones and both ends.

A tool may not stand with its tip at a place from which one of its points lies in what is in the way. These places are
the Minkowski sum of that region with the tool turned about its tip; both are cut into convex pieces, whose sums are
the convex hulls of the sums of their corners. [M. de Berg et al., Computational Geometry, ch. 13: motion planning]
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.setup.access.surfaces import Line
from foldsketch.setup.access.swept_region import FAR_MM
from foldsketch.setup.access.tools import Piece, Stance

if TYPE_CHECKING:
    from shapely import Geometry

FIT_MM = 1e-4
"""How much wider than its gap a tool may be, mm: what fits exactly fits."""

LEVEL_MM = 1e-6
"""Corners that are nearer to one another in height count as level."""

CURVE_PIECES = 8
"""Straight pieces for the curve that a slanted edge becomes under the thickness of a tool."""

Span = tuple[float, float]
"""From and to along a line, mm."""

Regions = tuple["Geometry", ...]
"""What is in the way: the material, and perhaps the chuck."""


def covered_spans(line: Line, regions: Regions, stances: Iterable[Stance]) -> list[Span]:
    """The stretches of a surface's line at which a tool can stand and to which it can come, mm from its first point.

    regions: all that is in the way; stances: in which the tool may stand, one after another.
    """
    (x0, z0), (x1, z1) = line
    length = hypot(x1 - x0, z1 - z0)
    along = ((x1 - x0) / length, (z1 - z0) / length)
    made: list[Span] = []
    for stance in stances:
        if made and sum(b - a for a, b in gaps_between(merged_spans(made), 0.0, length)) < LEVEL_MM:
            break
        ex, ez = stance.edge
        width = ex * along[0] + ez * along[1]
        if width and abs(ex * along[1] - ez * along[0]) < 1e-9 * abs(width):
            # The whole cutting edge lies on the line: what is cut begins at the tip and ends at the other corner.
            low, high = min(0.0, -width), max(0.0, -width)
            free = _free_spans(line, low, length + high, regions, stance)
            made += [(a + min(0.0, width), b + max(0.0, width)) for a, b in free]
            continue
        made += _free_spans(line, 0.0, length, regions, stance)
        if (ex, ez) != (0.0, 0.0):
            shifted = ((x0 - ex, z0 - ez), (x1 - ex, z1 - ez))
            made += _free_spans(shifted, 0.0, length, regions, stance)
    spans = merged_spans((max(a, 0.0), min(b, length)) for a, b in made if b > 0 and a < length)
    return [(a, b) for a, b in spans if b - a > 2 * FIT_MM]


def merged_spans(spans: Iterable[Span], slack: float = 0.0) -> list[Span]:
    """The same stretches in order; those that meet, or nearly, as one."""
    made: list[Span] = []
    for a, b in sorted(spans):
        if made and a <= made[-1][1] + slack:
            made[-1] = (made[-1][0], max(made[-1][1], b))
        else:
            made.append((a, b))
    return made


def gaps_between(spans: Sequence[Span], low: float, high: float) -> list[Span]:
    """What of a stretch none of the others covers; they are in order and apart."""
    edges = [low, *(v for span in spans for v in span), high]
    return [(max(a, low), min(b, high)) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > a]


def footprint_hits(region: Geometry, piece: Piece, at: tuple[float, float]) -> float:
    """Area, mm2, by which a piece of a tool with its tip at a place meets a region."""
    from shapely import Polygon, polygons, union_all

    made = union_all(polygons(convex_pieces(region, piece.height)))
    return float(made.intersection(Polygon([(at[0] + x, at[1] + z) for x, z in piece.corners])).area)


def _free_spans(line: Line, low: float, high: float, regions: Regions, stance: Stance) -> list[Span]:
    """Where on a line, from low to high, the tip may be."""
    from shapely import LineString, get_coordinates, intersection, intersects

    (x0, z0), (x1, z1) = line
    length = hypot(x1 - x0, z1 - z0)
    dx, dz = (x1 - x0) / length, (z1 - z0) / length
    ray = LineString([(x0 + low * dx, z0 + low * dz), (x0 + high * dx, z0 + high * dz)])
    hulls = barred_places(regions, stance)
    cuts, of = get_coordinates(intersection(hulls[intersects(hulls, ray)], ray), return_index=True)
    barred: list[Span] = []
    if len(cuts):
        # Each hull cuts the line once: from the least to the greatest of its points.
        t, firsts = (cuts - (x0, z0)) @ (dx, dz), np.flatnonzero(np.diff(of, prepend=-1))
        barred = list(zip(np.minimum.reduceat(t, firsts), np.maximum.reduceat(t, firsts), strict=True))
    free = gaps_between(merged_spans(barred), low, high)
    if free and not stance.straight:
        outer = _open_places(regions, stance)
        ways = [
            intersection(outer, LineString([(x0 + a * dx, z0 + a * dz), (x0 + b * dx, z0 + b * dz)])) for a, b in free
        ]
        spans = [(get_coordinates(w) - (x0, z0)) @ (dx, dz) for w in ways]
        free = [(float(t.min()), float(t.max())) for t in spans if len(t) > 1]
    return free


def barred_places(regions: Regions, stance: Stance) -> Array:
    """Places at which the tip may not be, as convex polygons in an array (n,)."""
    return np.concatenate([_barred_by(region, piece) for region in regions for piece in stance.pieces])


@lru_cache(maxsize=512)
def _barred_by(region: Geometry, piece: Piece) -> Array:
    from shapely import convex_hull, linestrings

    bodies, corners = convex_pieces(region, piece.height), np.array(_shrunk(piece.corners))
    if corners[:, 0].min() > 0:
        bodies = bodies[bodies[:, :, 0].max(axis=1) > 0]  # a radial tool does not come to the far side
    sums = bodies[:, :, None, :] - corners[None, None, :, :]
    return np.asarray(convex_hull(linestrings(sums.reshape(len(bodies), bodies.shape[1] * len(corners), 2))))


@lru_cache(maxsize=256)
def _open_places(regions: Regions, stance: Stance) -> Geometry:
    """Places at which the tip may be and to which it can come from outside."""
    from shapely import Point, box, get_parts, union_all

    room = box(-FAR_MM / 4, -FAR_MM / 4, FAR_MM / 4, FAR_MM / 4)
    start = Point(0.0, FAR_MM / 4)
    free = get_parts(room.difference(union_all(barred_places(regions, stance))))
    return next((g for g in free if g.intersects(start)), Point())


@lru_cache(maxsize=128)
def convex_pieces(region: Geometry, height: float) -> Array:
    """What is in the way, on both sides of the centreline, in convex pieces of four corners: an array (n, 4, 2), mm.

    A tool so thick below centre height meets a ring of radius r already at sqrt(r2 - height2).
    """
    from shapely import box, get_coordinates, get_parts, intersection

    levels = np.unique(get_coordinates(region)[:, 1])
    levels = levels[np.diff(levels, prepend=-np.inf) > LEVEL_MM]
    made: list[tuple[tuple[float, float], ...]] = []
    if len(levels) < 2:
        return np.empty((0, 4, 2))
    left, _, right, _ = region.bounds
    bands = box(left - 1, levels[:-1], right + 1, levels[1:])
    for low, high, band in zip(levels[:-1], levels[1:], intersection(region, bands), strict=True):
        for piece in get_parts(band):
            if piece.geom_type != "Polygon":
                continue
            xz = get_coordinates(piece)
            under, over = xz[xz[:, 1] < (low + high) / 2, 0], xz[xz[:, 1] > (low + high) / 2, 0]
            made += _thickened(low, high, (under.min(), under.max()), (over.min(), over.max()), height)
    return np.array(made).reshape(-1, 4, 2)


def _thickened(
    low: float, high: float, under: Span, over: Span, height: float
) -> list[tuple[tuple[float, float], ...]]:
    """A band and its mirror image, its inner edge moved in; a slanted one becomes curved and is cut up."""
    n = CURVE_PIECES if height and under[0] != over[0] else 1
    shares = np.linspace(0.0, 1.0, n + 1)
    z = low + (high - low) * shares
    inner = under[0] + (over[0] - under[0]) * shares
    outer = under[1] + (over[1] - under[1]) * shares
    inner = np.sqrt(np.maximum(inner**2 - height**2, 0.0))
    made = []
    for k in range(n):
        corners = ((inner[k], z[k]), (outer[k], z[k]), (outer[k + 1], z[k + 1]), (inner[k + 1], z[k + 1]))
        made += [corners, tuple((-x, v) for x, v in corners)]
    return made


@lru_cache(maxsize=1024)
def _shrunk(corners: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """A convex piece, smaller all around by what a tool may be too wide."""
    from shapely import BufferJoinStyle, Polygon

    small = Polygon(corners).buffer(-FIT_MM, join_style=BufferJoinStyle.mitre)
    return [(x, z) for x, z in small.exterior.coords[:-1]] if not small.is_empty else [corners[0]]
