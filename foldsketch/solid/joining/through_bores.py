"""Bodies along z with bores right through them, clear of walls and of each other, without the boolean kernel."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import dist

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.tolerance import Tolerance
from foldsketch.part.model import Cylinder, Plate, PrismShape
from foldsketch.solid.faceting.prism import Face, Prism
from foldsketch.solid.joining.skin import Skin, canonical_skin, enclosed_volume

BoundingCircle = tuple[float, float, float]
"""Centre x, y and radius, mm."""


def bore_through(body: Prism, bores: Sequence[Prism], direction: Array, tolerance: Tolerance) -> Skin | None:
    """The skin of a body with bores right through it, as a boolean would leave it; None if it takes a boolean.

    bores: one or more; direction: (3,) the datum direction, by which faces and corners are put in order.
    """
    if not all(is_upright_extrusion(p) for p in (body, *bores)):
        return None
    low, high = float(body.low[2]), float(body.high[2])
    if any(b.low[2] > low or b.high[2] < high for b in bores):
        return None
    circles = [_bounding_circle(b) for b in bores]
    outline = body.corners[list(_end_face(body, -1).loops[0]), :2]
    if not _are_clear(outline, circles, tolerance.length):
        return None
    faces = [f for f in body.faces if f.kind != "end"]
    points = [body.corners]
    first = len(body.corners)
    rims: dict[int, list[tuple[int, ...]]] = {-1: [], 1: []}
    for bore in bores:
        corners = bore.corners.copy()
        upper = corners[:, 2] > (bore.low[2] + bore.high[2]) / 2
        corners[:, 2] = np.where(upper, high, low)
        points.append(corners)
        for f in bore.faces:
            # The outside of the tool is the inside of the bore.
            loop = tuple([v + first for v in f.loops[0][::-1]])
            if f.kind == "end":
                rims[1 if f.normal[2] > 0 else -1].append(loop)
            else:
                faces.append(Face((loop,), bore.index, f.side, f.kind, -f.normal))
        first += len(corners)
    for sense, holes in rims.items():
        end = _end_face(body, sense)
        faces.append(end._replace(loops=(*end.loops, *holes)))
    all_corners = np.concatenate(points)
    volume = enclosed_volume(all_corners, faces)
    return canonical_skin(all_corners, faces, direction, 2 - 2 * len(bores), volume)


def is_upright_extrusion(prism: Prism) -> bool:
    """True for a prism along z with one outline at both ends and no neighbouring sides that a boolean would merge."""
    shape = prism.feature.shape
    if not isinstance(shape, Cylinder | PrismShape | Plate) or not prism.frame.along_z:
        return False
    if not isinstance(shape, Plate):
        return True
    normals = np.array([f.normal for f in prism.faces if f.kind != "end"])
    return bool(((normals * np.roll(normals, 1, axis=0)).sum(axis=1) < 1 - 1e-9).all())


def _end_face(prism: Prism, sense: int) -> Face:
    """The upper end for sense 1, the lower one for -1."""
    return next(f for f in prism.faces if f.kind == "end" and f.normal[2] * sense > 0)


def _bounding_circle(prism: Prism) -> BoundingCircle:
    """A circle around the outline of a prism along z."""
    x, y = ((prism.low + prism.high) / 2)[:2].tolist()
    away = prism.corners[:, :2] - (x, y)
    return x, y, float(np.sqrt((away * away).sum(axis=1).max()))


def _are_clear(outline: Array, circles: Sequence[BoundingCircle], gap: float) -> bool:
    """True if circles are inside an outline (n, 2), and the gaps to it and between them are larger than gap, mm."""
    from shapely import Polygon, contains, distance, points

    x, y, r = np.array(circles).T
    shape, centres = Polygon(outline), points(x, y)
    if not contains(shape, centres).all() or (distance(shape.exterior, centres) <= r + gap).any():
        return False
    return all(dist(a[:2], b[:2]) > a[2] + b[2] + gap for a, b in combinations(circles, 2))
