"""Rim circles: circles on the borders of flat patches, each of which points at an axis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import perpendicular_axes
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_dots, row_norms, rows_by_value
from foldsketch.mesh.segmentation.edge_classes import EdgeClasses
from foldsketch.mesh.segmentation.sure_planes import fit_patch_planes

MIN_CIRCLE_CORNERS = 5
"""Corners that a circle needs to be believed."""

MAX_REFITTED_CIRCLES = 8
"""Circles through three corners that are fitted to all corners near them, those with most corners first."""

MAX_CIRCLES_ON_BORDER = 12
MAX_PATCHES = 4000


@dataclass(frozen=True, slots=True, eq=False)
class RimCircle:
    """A circle on a flat patch. centre (3,), normal (3,): in the frame of the body, mm.

    corners: how many are on it; triangles: those on the far side of its edges.
    """

    centre: Array
    normal: Array
    radius: float
    corners: int
    triangles: Ints


def find_rim_circles(edges: EdgeClasses) -> list[RimCircle]:
    """Circles and arcs on the borders of the patches that are surely flat, the ones with most corners first."""
    body, sure = edges.body, edges.surely_flat
    pairs = np.concatenate((body.face_adjacency, body.face_adjacency[:, ::-1]))
    owner, other = edges.patch[pairs].T
    border = np.flatnonzero((owner != other) & sure[pairs[:, 0]])
    normals, _ = fit_patch_planes(body, edges.patch)
    rims: list[RimCircle] = []
    for rows in rows_by_value(owner[border])[:MAX_PATCHES]:
        if len(rows) >= MIN_CIRCLE_CORNERS:
            row = border[rows]
            ends = body.face_adjacency_edges[row % len(body.face_adjacency)]
            rims += _circles_on_patch(edges, normals[owner[row[0]]], ends, pairs[row, 1])
    rims.sort(key=lambda rim: -rim.corners)
    return rims


def _circles_on_patch(edges: EdgeClasses, normal: Array, ends: Ints, beyond: Ints) -> list[RimCircle]:
    """Circles on the border of a patch. ends: (k, 2) corners of its edges; beyond: (k,) triangles on the far side."""
    if float(normal @ normal) < 0.25:  # a patch of slivers only
        return []
    used, local = np.unique(ends, return_inverse=True)
    local = local.reshape(-1, 2)
    corners = edges.body.corners[used]
    u, v = perpendicular_axes(normal)
    xy = np.column_stack((corners @ u, corners @ v))
    height = float((corners @ normal).mean())
    found = []
    for loop in rows_by_value(label_components(local, len(used))[local[:, 0]]):
        if len(loop) < MIN_CIRCLE_CORNERS:
            continue
        for centre, radius, on in _fit_border_circles(xy, local[loop], 3 * edges.tolerance):
            place = centre[0] * u + centre[1] * v + height * normal
            found.append(RimCircle(place, normal, radius, int(on.sum()) + 1, beyond[loop[on]]))
    return found


def _fit_border_circles(xy: Array, edges: Ints, tolerance: float) -> list[tuple[Array, float, Bools]]:
    """Circles through the corners of a border: centre, radius, and which of its edges (k, 2) are on it."""
    points = np.unique(edges)
    if len(points) == len(edges):
        centre, radius, misfit = fit_circle(xy[points])
        if misfit <= tolerance:
            return [(centre, radius, np.ones(len(edges), dtype=bool))]
    chain = np.asarray(_order_along_border(edges) or _order_by_angle(xy, points))
    found = []
    free = np.ones(len(chain), dtype=bool)
    for _ in range(MAX_CIRCLES_ON_BORDER):
        best = _best_circle(xy[chain], free, tolerance)
        if best is None:
            break
        centre, radius, on = best
        free &= ~on
        mine = np.zeros(len(xy), dtype=bool)
        mine[chain[on]] = True
        hit: Bools = mine[edges[:, 0]] & mine[edges[:, 1]]
        if hit.sum() >= MIN_CIRCLE_CORNERS - 1:
            found.append((centre, radius, hit))
    return found


def _order_by_angle(xy: Array, points: Ints) -> list[int]:
    """Corners of a border that is torn or branches, in order round their centre."""
    q = xy[points] - xy[points].mean(axis=0)
    order: list[int] = points[np.argsort(np.arctan2(q[:, 1], q[:, 0]))].tolist()
    return order


def _order_along_border(edges: Ints) -> list[int]:
    """Corners along a closed border, in order; empty when it branches."""
    after: dict[int, list[int]] = {}
    for a, b in edges.tolist():
        after.setdefault(a, []).append(b)
        after.setdefault(b, []).append(a)
    if any(len(n) != 2 for n in after.values()):
        return []
    start = edges[0, 0].item()
    chain, last, here = [start], start, after[start][0]
    while here != start and len(chain) <= len(edges):
        chain.append(here)
        one, two = after[here]
        last, here = here, (two if one == last else one)
    return chain


def _best_circle(xy: Array, free: Bools, tolerance: float) -> tuple[Array, float, Bools] | None:
    """The circle with most free corners among those through three corners, evenly spaced along the border."""
    n = len(xy)
    best: tuple[int, Array, float, Bools] | None = None
    for stride in sorted({1, 2, max(1, n // 40), max(1, n // 12)}):
        first = np.arange(0, n, max(1, stride // 2))
        triples = (first[:, None] + stride * np.arange(3)) % n
        centre, radius = _circles_through(xy[triples[free[triples].all(axis=1)]])
        step = max(1, len(centre) // 64)
        centre, radius = centre[::step], radius[::step]
        away = np.hypot(xy[:, 0] - centre[:, :1], xy[:, 1] - centre[:, 1:]) - radius[:, None]
        near = free & (np.abs(away) < 30 * tolerance)
        many = near.sum(axis=1)
        for row in np.argsort(-many, kind="stable")[:MAX_REFITTED_CIRCLES].tolist():
            if many[row] < MIN_CIRCLE_CORNERS or (best is not None and many[row] <= best[0]):
                break
            o, r, _ = fit_circle(xy[near[row]])
            on = free & (np.abs(np.hypot(xy[:, 0] - o[0], xy[:, 1] - o[1]) - r) < tolerance)
            if on.sum() >= MIN_CIRCLE_CORNERS and (best is None or on.sum() > best[0]):
                best = (int(on.sum()), o, r, on)
    return None if best is None else best[1:]


def _circles_through(triples: Array) -> tuple[Array, Array]:
    """Centres (k, 2) and radii (k,) of the circles through three points each (m, 3, 2), without those on a line."""
    a, b, c = triples[:, 0], triples[:, 1] - triples[:, 0], triples[:, 2] - triples[:, 0]
    bb, cc = row_dots(b, b), row_dots(c, c)
    cross = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    good = np.abs(cross) > 1e-9 * (bb + cc)
    a, b, c, bb, cc, cross = a[good], b[good], c[good], bb[good], cc[good], cross[good]
    centre = a + np.column_stack((c[:, 1] * bb - b[:, 1] * cc, b[:, 0] * cc - c[:, 0] * bb)) / cross[:, None]
    return centre, row_norms(a - centre)
