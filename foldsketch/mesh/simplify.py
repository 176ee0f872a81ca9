"""Simplify: a body without round features becomes a closed skin of few flat panels, and how far it strays is told."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, input_error
from foldsketch.base.units import format_number
from foldsketch.mesh.features.mesh_reading import MeshReading
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_dots, signed_volume, triangle_cross_products
from foldsketch.mesh.geometry.point_to_mesh import distances_to_mesh
from foldsketch.mesh.geometry.self_intersection import count_self_intersections
from foldsketch.mesh.rebuild.compare import sample_surface

PanelLoops = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class SimplifiedMesh:
    """corners: (n, 3) mm in the mesh's own frame; polygons: for every panel its loops of corner numbers, the first
    anticlockwise seen from outside, holes clockwise; area: mm2; out, back: farthest distance in mm from the mesh to
    the panels and from the panels to the mesh."""

    corners: Array
    polygons: tuple[PanelLoops, ...]
    area: float
    mesh_to_panels_max: float
    panels_to_mesh_max: float
    findings: tuple[Finding, ...] = ()


def simplify(reading: MeshReading, panels: int = 300) -> SimplifiedMesh:
    """At most so many flat panels that stand for the mesh; a body of few plane faces keeps exactly these.

    Edges are collapsed by quadric error (fast-simplification); triangles of one plane become one panel. Raises
    FoldsketchError when the mesh is not closed or no closed surface of so few panels is found.
    """
    body = reading.segmentation.body
    where = reading.name
    if panels < 4:
        raise input_error("panels", f"{panels} panels close no space", "allow at least 4")
    if not body.watertight:
        raise input_error(where, "is not closed, so it has no nets", "close the holes first")
    if body.triangles.shape[0] > 3 and _count_plane_faces(reading) <= panels and reading.explained_area > 1 - 1e-9:
        label = label_components(_coplanar_adjacency(reading), len(body.triangles))
        corners, polygons = _merge_into_panels(body.corners, body.triangles, label, 20 * reading.segmentation.tolerance)
    else:
        corners, polygons = _decimate(where, body.corners, body.triangles, panels)
    fans = _triangulate(corners, polygons)
    out = distances_to_mesh(sample_surface(body.corners, body.triangles, 2000), corners, fans)
    back = distances_to_mesh(sample_surface(corners, fans, 2000), body.corners, body.triangles)
    volume = signed_volume(corners, fans)
    note = Finding(
        "note",
        where,
        f"{len(body.triangles)} triangles became {len(polygons)} panels; the mesh strays at most "
        f"{format_number(float(out.max()))} mm from them and they {format_number(float(back.max()))} mm from it; "
        f"volume {100 * volume / reading.volume:.2f} %",
    )
    area = float(np.linalg.norm(triangle_cross_products(corners, fans)[1], axis=1).sum() / 2)
    return SimplifiedMesh(corners + body.origin_shift, polygons, area, float(out.max()), float(back.max()), (note,))


def _count_plane_faces(reading: MeshReading) -> int:
    """Flat faces, each counted once for every separate piece; a large number where something is not flat."""
    if any(f.shape.kind != "plane" for f in reading.segmentation.surfaces):
        return 1 << 30
    return int(label_components(_coplanar_adjacency(reading), len(reading.segmentation.body.triangles)).max()) + 1


def _coplanar_adjacency(reading: MeshReading) -> Ints:
    """Pairs of triangles on one plane."""
    owner, pairs = reading.segmentation.owner, reading.segmentation.body.face_adjacency
    out: Ints = pairs[(owner[pairs[:, 0]] == owner[pairs[:, 1]]) & (owner[pairs[:, 0]] >= 0)]
    return out


def _decimate(where: str, corners: Array, triangles: Ints, panels: int) -> tuple[Array, tuple[PanelLoops, ...]]:
    """Collapse edges until the panels are few enough; a result that is not closed, or runs through itself, is tried
    again, a little finer."""
    try:
        from fast_simplification import simplify as collapse  # type: ignore[import-untyped, unused-ignore]
    except ImportError as why:
        raise input_error(
            where, "needs the library fast-simplification to be simplified", "install it with pip"
        ) from why
    size = float(np.ptp(corners, axis=0).max())
    goal = panels
    crossed = 0
    best: tuple[Array, tuple[PanelLoops, ...]] | None = None
    for attempt in range(14):
        if goal >= len(triangles):
            points, faces = corners, triangles
        else:
            moved, made = collapse(
                corners, triangles.astype(np.int32), target_count=int(goal), agg=(7, 7, 8, 6)[attempt % 4]
            )
            points, faces = np.asarray(moved, dtype=np.float64), np.asarray(made, dtype=np.int64)
        if len(faces) >= 4 and _is_closed_manifold(faces, len(points)):
            label = label_components(_nearly_coplanar_pairs(points, faces, 1e-6 * size), len(faces))
            found = _merge_into_panels(points, faces, label, 1e-4 * size)
            if len(found[1]) <= panels and (best is None or len(found[1]) > len(best[1])):
                if count_self_intersections(found[0], _triangulate(*found)):
                    crossed += 1
                else:
                    best = found
            if best is not None and (len(best[1]) > 0.9 * panels or goal >= len(triangles)):
                break
            goal = min(int(goal * panels / max(len(found[1]), 1)) - attempt, len(triangles))
        else:
            goal = int(goal * 0.97) if attempt % 2 else int(goal * 1.02)
        goal = max(goal, 4)
    if best is None:
        how = f"{crossed} that were found run through themselves" if crossed else "none was found"
        raise input_error(where, f"no closed surface of {panels} panels: {how}", "allow more panels")
    return best


def _half_edges(faces: Ints) -> tuple[Ints, Ints]:
    return faces.ravel(), np.roll(faces, -1, axis=1).ravel()


def _is_closed_manifold(faces: Ints, n: int) -> bool:
    """Every edge in exactly two triangles, once each way, and no triangle twice."""
    start, end = _half_edges(faces)
    forward, backward = np.sort(start * n + end), np.sort(end * n + start)
    alone = (forward[1:] != forward[:-1]).all()
    return bool(alone and np.array_equal(forward, backward) and (start != end).all())


def _face_adjacency(faces: Ints, n: int) -> Ints:
    start, end = _half_edges(faces)
    forward = start * n + end
    order = np.argsort(forward)
    twin = order[np.searchsorted(forward[order], end * n + start)]
    pairs = np.column_stack((np.arange(len(forward)) // 3, twin // 3))
    out: Ints = pairs[pairs[:, 0] < pairs[:, 1]]
    return out


def _nearly_coplanar_pairs(points: Array, faces: Ints, slack: float) -> Ints:
    """Neighbouring triangles whose corners lie on one plane within slack."""
    pairs = _face_adjacency(faces, len(points))
    _, cross = triangle_cross_products(points, faces)
    normal = cross / np.maximum(np.linalg.norm(cross, axis=1), 1e-300)[:, None]
    off = np.zeros(len(pairs))
    for a, b in ((0, 1), (1, 0)):
        p = points[faces[pairs[:, b]]] - points[faces[pairs[:, a], :1]]
        off = np.maximum(off, np.abs(np.einsum("ikj,ij->ik", p, normal[pairs[:, a]])).max(axis=1))
    same = (off <= slack) & (row_dots(normal[pairs[:, 0]], normal[pairs[:, 1]]) > 0.999)
    out: Ints = pairs[same]
    return out


def _merge_into_panels(
    corners: Array, triangles: Ints, label: Ints, slack: float
) -> tuple[Array, tuple[PanelLoops, ...]]:
    """Panels of triangles with one label; corners on merged panels are set exactly onto their planes."""
    corners, label = _snap_to_planes(corners, triangles, label, slack)
    n = len(corners)
    start, end = _half_edges(triangles)
    forward = start * n + end
    order = np.argsort(forward)
    twin = order[np.searchsorted(forward[order], end * n + start)]
    side = np.repeat(label, 3)
    rim = side != side[twin]
    panels_at: dict[int, set[int]] = {}
    for v, k in zip(start.tolist(), side.tolist(), strict=True):
        panels_at.setdefault(v, set()).add(k)
    loops: dict[int, list[list[int]]] = {}
    seen = ~rim
    for first in np.flatnonzero(rim).tolist():
        if seen[first]:
            continue
        loop, h = [], first
        while not seen[h]:
            seen[h] = True
            loop.append(int(start[h]))
            h = h - 2 if h % 3 == 2 else h + 1
            while not rim[h]:
                h = int(twin[h])
                h = h - 2 if h % 3 == 2 else h + 1
        loops.setdefault(int(label[first // 3]), []).append(loop)
    polygons = []
    for k in sorted(loops):
        kept = [[v for v in loop if len(panels_at[v]) > 2] for loop in loops[k]]
        whole = [short if len(short) >= 3 else loop for short, loop in zip(kept, loops[k], strict=True)]
        if len(whole) > 1:
            whole.sort(key=lambda loop: -float(np.linalg.norm(_area_vector(corners, loop))))
        polygons.append(tuple(tuple(loop) for loop in whole))
    used = sorted({v for p in polygons for loop in p for v in loop})
    new = {v: i for i, v in enumerate(used)}
    renamed = tuple(tuple(tuple(new[v] for v in loop) for loop in p) for p in polygons)
    return corners[used], renamed


def _area_vector(corners: Array, loop: list[int]) -> Array:
    p = corners[loop]
    out: Array = np.cross(p[1:-1] - p[0], p[2:] - p[0]).sum(axis=0) / 2
    return out


def _snap_to_planes(corners: Array, triangles: Ints, label: Ints, slack: float) -> tuple[Array, Ints]:
    """Corners moved by the least that sets them onto the planes of all merged panels about them, so that paper panels
    are flat to the last digit. Where that would move one by more than slack, its panels stay triangles."""
    label = label.copy()
    for _ in range(4):
        size = np.bincount(label)
        _, cross = triangle_cross_products(corners, triangles)
        total = np.column_stack([np.bincount(label, weights=cross[:, k]) for k in range(3)])
        normal: Array = np.asarray(total / np.maximum(np.linalg.norm(total, axis=1), 1e-300)[:, None], np.float64)
        weight = np.linalg.norm(cross, axis=1)
        middle = corners[triangles].mean(axis=1)
        sums = np.bincount(label, weights=weight * row_dots(middle, normal[label]))
        height: Array = np.asarray(sums / np.maximum(np.bincount(label, weights=weight), 1e-300), np.float64)
        moved = corners.copy()
        about: dict[int, set[int]] = {}
        several = size[label] > 1
        for t, k in zip(triangles[several].tolist(), label[several].tolist(), strict=True):
            for v in t:
                about.setdefault(v, set()).add(k)
        bad: set[int] = set()
        for v, planes in about.items():
            rows = sorted(planes)
            a = normal[rows]
            off = height[rows] - a @ corners[v]
            step = np.linalg.lstsq(a, off, rcond=1e-6)[0]
            if np.linalg.norm(step) > slack or np.abs(a @ step - off).max() > 1e-9:
                bad |= planes if len(rows) > 3 or np.linalg.norm(step) > slack else set()
            moved[v] = corners[v] + step
        if not bad:
            return moved, label
        fresh = int(label.max()) + 1
        for t in np.flatnonzero(np.isin(label, sorted(bad))).tolist():
            label[t] = fresh
            fresh += 1
        label = np.unique(label, return_inverse=True)[1].astype(np.int64)
    return corners, np.arange(len(triangles))


def _triangulate(corners: Array, polygons: tuple[PanelLoops, ...]) -> Ints:
    """Triangles (m, 3) of polygons for measuring: ears cut by a general library where there are holes or bends."""
    from shapely import Polygon as Flat
    from shapely import constrained_delaunay_triangles, get_coordinates

    rows: list[tuple[int, int, int]] = []
    for loops in polygons:
        if len(loops) == 1 and len(loops[0]) == 3:
            rows.append((loops[0][0], loops[0][1], loops[0][2]))
            continue
        normal = _area_vector(corners, list(loops[0]))
        k = int(np.argmax(np.abs(normal)))
        keep = [(k + 1) % 3, (k + 2) % 3]
        every = [v for loop in loops for v in loop]
        flat = {tuple(corners[v][keep].tolist()): v for v in every}
        shape = Flat(corners[list(loops[0])][:, keep], [corners[list(h)][:, keep] for h in loops[1:]])
        for piece in constrained_delaunay_triangles(shape).geoms:
            names = [flat[tuple(p.tolist())] for p in get_coordinates(piece)[:3]]
            a, b, c = (corners[v] for v in names)
            turn = float(np.cross(b - a, c - a) @ normal) < 0
            rows.append((names[0], names[2], names[1]) if turn else (names[0], names[1], names[2]))
    return np.array(rows, dtype=np.int64)
