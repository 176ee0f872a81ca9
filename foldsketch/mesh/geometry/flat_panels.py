"""Flat panels: triangles of one plane become one panel, flat to the last digit."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.measure import labels_at_corners, row_dots, row_norms, triangle_cross_products

PanelLoops = tuple[tuple[int, ...], ...]
"""Loops of corner numbers round a panel, the first anticlockwise seen from outside, holes clockwise."""

Panels = tuple[Array, tuple[PanelLoops, ...]]
"""Corners (n, 3) mm, and the loops of every panel."""

MAX_PLANE_MISFIT_MM = 1e-9
"""A corner is on the planes of its panels to within this."""


def merge_into_panels(corners: Array, triangles: Ints, label: Ints, slack: float) -> Panels:
    """One panel for all triangles of one label of a closed mesh.

    Corners are moved exactly onto the planes of their panels, by at most slack mm. label: (m,).
    """
    corners, label = _snap_to_planes(corners, triangles, label, slack)
    polygons = facet_loops(corners, triangles, label)
    used, number = np.unique([v for p in polygons for loop in p for v in loop], return_inverse=True)
    new = iter(number.tolist())
    return corners[used], tuple(tuple(tuple(next(new) for _ in loop) for loop in p) for p in polygons)


def facet_loops(corners: Array, triangles: Ints, label: Ints) -> tuple[PanelLoops, ...]:
    """The loops round all triangles of each label (m,) of a closed mesh, without corners on straight borders."""
    count = len(corners)
    start = triangles.ravel()
    twin = _opposite_half_edges(triangles, count)
    panel = np.repeat(label, 3)
    loops: dict[int, list[list[int]]] = {}
    for loop in _border_loops(twin, panel != panel[twin]):
        loops.setdefault(int(panel[loop[0]]), []).append(start[loop].tolist())
    meeting = labels_at_corners(triangles, label, count)
    polygons = []
    for k in sorted(loops):
        corner_loops = []
        for loop in loops[k]:
            real = [v for v in loop if meeting[v] > 2]  # where only two panels meet the border is straight
            corner_loops.append(tuple(real if len(real) >= 3 else loop))
        if len(corner_loops) > 1:
            corner_loops.sort(key=lambda loop: -float(np.linalg.norm(_area_vector(corners[list(loop)]))))
        polygons.append(tuple(corner_loops))
    return tuple(polygons)


def _opposite_half_edges(triangles: Ints, count: int) -> Ints:
    """For every half-edge (3 m,) of a closed mesh on so many corners, the one that runs back along the same edge."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    one, other = np.argsort(np.minimum(start, end) * count + np.maximum(start, end), kind="stable").reshape(-1, 2).T
    out = np.empty(len(start), dtype=np.int64)
    out[one], out[other] = other, one
    return out


def _border_loops(twin: Ints, is_border: Bools) -> list[list[int]]:
    """Closed runs of the half-edges that are borders, each with its panel on the left."""
    loops = []
    left = is_border.copy()
    for first in np.flatnonzero(is_border).tolist():
        loop, h = [], first
        while left[h]:
            left[h] = False
            loop.append(h)
            h = _next_in_triangle(h)
            while not is_border[h]:
                h = _next_in_triangle(int(twin[h]))
        if loop:
            loops.append(loop)
    return loops


def _next_in_triangle(h: int) -> int:
    return h - 2 if h % 3 == 2 else h + 1


def _area_vector(p: Array) -> Array:
    """Vector along the normal of a polygon (n, 3), as long as its area."""
    out: Array = np.cross(p[1:-1] - p[0], p[2:] - p[0]).sum(axis=0) / 2
    return out


def _snap_to_planes(corners: Array, triangles: Ints, label: Ints, slack: float) -> tuple[Array, Ints]:
    """Corners moved onto the planes of all merged panels about them, by the least that does it.

    So that paper panels are flat to the last digit. Where that would move one by more than slack, its panels
    stay triangles.
    """
    label = label.copy()
    for _ in range(4):
        normal, height = _panel_planes(corners, triangles, label)
        about: dict[int, set[int]] = {}
        merged = np.flatnonzero(np.bincount(label)[label] > 1)
        for t, k in zip(triangles[merged].tolist(), label[merged].tolist(), strict=True):
            for v in t:
                about.setdefault(v, set()).add(k)
        moved = corners.copy()
        bad: set[int] = set()
        for v, panels in about.items():
            rows = sorted(panels)
            off = height[rows] - normal[rows] @ corners[v]
            step = np.linalg.lstsq(normal[rows], off, rcond=1e-6)[0]
            too_far = bool(np.linalg.norm(step) > slack)
            missed = len(rows) > 3 and bool(np.abs(normal[rows] @ step - off).max() > MAX_PLANE_MISFIT_MM)
            if too_far or missed:
                bad |= panels
            moved[v] = corners[v] + step
        if not bad:
            return moved, label
        split = np.isin(label, sorted(bad))
        label[split] = label.max() + 1 + np.arange(split.sum())
        label = np.unique(label, return_inverse=True)[1].astype(np.int64)
    return corners, np.arange(len(triangles))


def _panel_planes(corners: Array, triangles: Ints, label: Ints) -> tuple[Array, Array]:
    """Unit normal (p, 3) of every panel, and the height (p,) of its plane along it: means weighted with area."""
    _, cross = triangle_cross_products(corners, triangles)
    normal = np.column_stack([np.bincount(label, weights=cross[:, k]) for k in range(3)]).astype(np.float64)
    normal /= np.maximum(row_norms(normal), 1e-300)[:, None]
    weight = row_norms(cross)
    sums = np.bincount(label, weights=weight * row_dots(corners[triangles].mean(axis=1), normal[label]))
    return normal, sums / np.maximum(np.bincount(label, weights=weight), 1e-300)


def triangulate(corners: Array, polygons: tuple[PanelLoops, ...]) -> Ints:
    """Triangles (m, 3) of panels, facing as they do, for measuring."""
    from shapely import Polygon, constrained_delaunay_triangles, get_coordinates

    rows: list[tuple[int, ...]] = []
    for loops in polygons:
        if len(loops) == 1 and len(loops[0]) == 3:
            rows.append(loops[0])
            continue
        normal = _area_vector(corners[list(loops[0])])
        k = int(np.argmax(np.abs(normal)))
        flat = corners[:, [(k + 1) % 3, (k + 2) % 3]]  # seen along the axis nearest to the normal
        named = {tuple(flat[v].tolist()): v for loop in loops for v in loop}
        shape = Polygon(flat[list(loops[0])], [flat[list(hole)] for hole in loops[1:]])
        for piece in constrained_delaunay_triangles(shape).geoms:
            names = [named[tuple(p.tolist())] for p in get_coordinates(piece)[:3]]
            (ax, ay), (bx, by), (cx, cy) = flat[names].tolist()
            outward = ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) * normal[k] >= 0
            rows.append(tuple(names if outward else names[::-1]))
    return np.array(rows, dtype=np.int64)
