"""Bored: an upright body with bores right through it that touch neither its walls nor each other needs no boolean."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np

from foldsketch.base.tolerance import Tolerance
from foldsketch.part.model import Cylinder, Plate, PrismShape
from foldsketch.solid.faceting.prism import Array, Face, Prism
from foldsketch.solid.joining.skin import Skin, canonical_skin, enclosed_volume

BoundingCircle = tuple[float, float, float]
"""Centre and radius, mm."""


def bore_through(body: Prism, bores: Sequence[Prism], direction: Array, tolerance: Tolerance) -> Skin | None:
    """The skin of a body without its bores, as a boolean would leave it; None where that takes a boolean.

    direction: (3,) the datum direction, by which faces are counted.
    """
    if not all(is_upright_extrusion(p) for p in (body, *bores)):
        return None
    low, high = float(body.low[2]), float(body.high[2])
    if any(b.low[2] > low or b.high[2] < high for b in bores):
        return None
    around = [_bounding_circle(b) for b in bores]
    outline = body.corners[list(_end_face(body, -1).loops[0]), :2]
    if not all(_contains_circle(outline, c, tolerance.length) for c in around) or _circles_touch(
        around, tolerance.length
    ):
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
            # Seen from the other side: what was outside of the tool is inside of the bore.
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
    """Upright, with the same outline at both ends, no hole of its own, and no two sides in one plane, which a boolean
    makes one face of."""
    shape = prism.feature.shape
    if not isinstance(shape, Cylinder | PrismShape | Plate) or not prism.frame.along_z:
        return False
    ends = [f for f in prism.faces if f.kind == "end"]
    if len(ends) != 2 or any(len(f.loops) != 1 for f in ends):
        return False
    if not isinstance(shape, Plate):
        return True
    normals = np.array([f.normal for f in prism.faces if f.kind != "end"])
    return bool(((normals * np.roll(normals, 1, axis=0)).sum(axis=1) < 1 - 1e-9).all())


def _end_face(prism: Prism, sense: int) -> Face:
    """The end that looks up, 1, or down, -1."""
    return next(f for f in prism.faces if f.kind == "end" and f.normal[2] * sense > 0)


def _bounding_circle(prism: Prism) -> BoundingCircle:
    """A circle round the outline."""
    x, y = ((prism.low + prism.high) / 2)[:2].tolist()
    away = prism.corners[:, :2] - (x, y)
    return x, y, float(np.sqrt((away * away).sum(axis=1).max()))


def _contains_circle(outline: Array, circle: BoundingCircle, slack: float) -> bool:
    """Whether a circle lies inside an outline (n, 2), clear of it."""
    x, y, r = circle
    a = outline - (x, y)
    b = np.concatenate((a[1:], a[:1]))
    d = b - a
    share = (-(a * d).sum(axis=1) / (d * d).sum(axis=1)).clip(0.0, 1.0)
    near = a + d * share[:, None]
    crossed = (a[:, 1] > 0) != (b[:, 1] > 0)
    rise = np.where(crossed, d[:, 1], 1.0)
    right = crossed & (a[:, 0] - a[:, 1] * d[:, 0] / rise > 0)
    return bool(right.sum() % 2 == 1 and (near * near).sum(axis=1).min() > (r + slack) ** 2)


def _circles_touch(circles: Sequence[BoundingCircle], slack: float) -> bool:
    return any(
        hypot(a[0] - b[0], a[1] - b[1]) <= a[2] + b[2] + slack for k, a in enumerate(circles) for b in circles[k + 1 :]
    )
