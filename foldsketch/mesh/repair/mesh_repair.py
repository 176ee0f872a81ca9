"""Mesh repair: equal corners merged, invalid triangles removed, seams closed, winding put right."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.findings import Finding, Quantity, mm
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_norms, triangle_areas
from foldsketch.mesh.repair import messages
from foldsketch.mesh.repair.holes import fill_small_holes

HASH_FACTORS = (0x9E3779B97F4A7C15, 0xBF58476D1CE4E5B9, 0x94D049BB133111EB)
HASH_SHIFTS = (29, 32, 31)
"""Factors and shifts that mix the bits of three coordinates to one 64-bit number."""

SEAM_SIZES = (1e-6, 1e-5, 1e-4)
"""Widths of the seams that are closed, as shares of the mesh's size."""


@dataclass(slots=True, eq=False)
class MeshEdges:
    """The edges of a mesh.

    face_adjacency: (k, 2) triangles that share an edge of two; face_adjacency_edges: (k, 2) the corners of that edge;
    is_consistent: (k,) the two run along it in opposite senses, as they should; open_edges: (j, 2) corners of edges of
    one triangle; nonmanifold_count: how many edges have more than two.
    """

    face_adjacency: Ints
    face_adjacency_edges: Ints
    is_consistent: Bools
    open_edges: Ints
    nonmanifold_count: int


def merge_equal_corners(corners: Array, triangles: Ints) -> tuple[Array, Ints]:
    """One corner for each set of equal coordinates, and the triangles on these.

    Corners are compared by a hash, in half the time of sorting their coordinates, and come out in an order without a
    pattern, so that every k-th of them is a fair sample.
    """
    points = corners + 0.0  # turns -0.0 into 0.0
    bits = np.ascontiguousarray(points).view(np.uint64).reshape(-1, 3)
    key = np.zeros(len(points), dtype=np.uint64)
    with np.errstate(over="ignore"):
        for k in range(3):
            key = (key + bits[:, k]) * np.uint64(HASH_FACTORS[k])
            key ^= key >> np.uint64(HASH_SHIFTS[k])
    _, first, corner = np.unique(key, return_index=True, return_inverse=True)
    if not np.array_equal(points[first][corner], points):  # two points with one hash
        _, first, corner = np.unique(points, axis=0, return_index=True, return_inverse=True)
    return points[first], corner.reshape(-1).astype(np.int64)[triangles]


def drop_invalid_triangles(where: str, corners: Array, triangles: Ints, findings: list[Finding]) -> Ints:
    """The triangles without degenerate and doubled ones; both of two that lie back to back go.

    Raises FoldsketchError when nothing is left, or more than half of the area lies back to back.
    """
    degenerate = (triangles == np.roll(triangles, 1, axis=1)).any(axis=1)
    if degenerate.any():
        findings.append(messages.DEGENERATE_REMOVED.at(where, count=int(degenerate.sum())))
        triangles = triangles[~degenerate]
    if len(triangles) == 0:
        raise messages.ALL_DEGENERATE.error(where)
    low_to_high = np.sort(triangles, axis=1)
    pair = np.unique(low_to_high[:, 0] * len(corners) + low_to_high[:, 1], return_inverse=True)[1]
    _, first, same, count = np.unique(
        pair * len(corners) + low_to_high[:, 2], return_index=True, return_inverse=True, return_counts=True
    )
    if len(first) == len(triangles):
        return triangles
    after_lowest = np.take_along_axis(triangles, (np.argmin(triangles, axis=1)[:, None] + 1) % 3, axis=1)[:, 0]
    wound_one_way = np.bincount(same, weights=after_lowest == low_to_high[:, 1])
    opposed = (wound_one_way > 0) & (wound_one_way < count)
    back_to_back = opposed[same]
    area = triangle_areas(corners, triangles)
    if area[back_to_back].sum() > 0.5 * area.sum():
        raise messages.IS_A_SHEET.error(where)
    duplicates = int((count[~opposed] - 1).sum())
    if duplicates:
        findings.append(messages.DUPLICATES_REMOVED.at(where, count=duplicates))
    if back_to_back.any():
        findings.append(messages.BACK_TO_BACK_REMOVED.at(where, count=int(back_to_back.sum())))
    keep = np.zeros(len(triangles), dtype=bool)
    keep[first] = True
    out: Ints = triangles[keep & ~back_to_back]
    return out


def find_mesh_edges(triangles: Ints, count: int) -> MeshEdges:
    """The edges of (m, 3) triangles on so many corners."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    key = np.minimum(start, end) * count + np.maximum(start, end)
    order = np.argsort(key)
    key = key[order]
    fresh = np.flatnonzero(np.r_[True, key[1:] != key[:-1]])
    uses = np.diff(np.r_[fresh, len(key)])
    shared = fresh[uses == 2]
    one, other = order[shared], order[shared + 1]
    alone = order[fresh[uses == 1]]
    return MeshEdges(
        np.column_stack((one // 3, other // 3)),
        np.column_stack((start[one], end[one])),
        start[one] == end[other],
        np.column_stack((start[alone], end[alone])),
        int((uses > 2).sum()),
    )


def close_seams(
    where: str, corners: Array, triangles: Ints, edges: MeshEdges, resolution: float, findings: list[Finding]
) -> tuple[Ints, MeshEdges]:
    """Merge corners of open edges that are within rounding of each other, then a little wider, if that closes some."""
    size = float(np.linalg.norm(np.ptp(corners, axis=0)))
    before = len(edges.open_edges)
    for width in (2 * resolution, *(share * size for share in SEAM_SIZES)):
        shortest = float(np.percentile(_edge_lengths(corners, edges.open_edges), 10)) if len(edges.open_edges) else 0.0
        if not resolution <= width <= 0.4 * shortest:
            continue
        joined = _join_near_corners(corners, triangles, edges.open_edges, width)
        if joined is None:
            continue
        trial = find_mesh_edges(joined, len(corners))
        if len(trial.open_edges) < len(edges.open_edges) and trial.nonmanifold_count <= edges.nonmanifold_count + 2:
            triangles, edges = joined, trial
    left = len(edges.open_edges)
    if left < before:
        findings.append(messages.SEAMS_JOINED.at(where, count=before - left))
    return triangles, edges


def close_holes(
    where: str, corners: Array, triangles: Ints, edges: MeshEdges, findings: list[Finding]
) -> tuple[Ints, MeshEdges]:
    """Fill small holes; what stays open is reported."""
    more, count, area = fill_small_holes(corners, triangles, edges.open_edges)
    if count:
        findings.append(messages.HOLES_FILLED.at(where, count=count, area=Quantity(area, "mm2", 1)))
        triangles = np.concatenate((triangles, more))
        edges = find_mesh_edges(triangles, len(corners))
    if left := len(edges.open_edges):
        holes = len(np.unique(label_components(edges.open_edges, len(corners))[edges.open_edges]))
        length = float(_edge_lengths(corners, edges.open_edges).sum())
        findings.append(messages.NOT_CLOSED.at(where, holes=holes, edges=left, length=mm(length)))
    return triangles, edges


def _edge_lengths(corners: Array, edges: Ints) -> Array:
    return row_norms(corners[edges[:, 0]] - corners[edges[:, 1]])


def _join_near_corners(corners: Array, triangles: Ints, open_edges: Ints, width: float) -> Ints | None:
    """The triangles with corners of open edges merged that are within so many mm, less those that lose their area.

    None where no two corners are that near.
    """
    from scipy.spatial import cKDTree

    rim = np.unique(open_edges)
    near = cKDTree(corners[rim]).query_pairs(width, output_type="ndarray")
    if len(near) == 0:
        return None
    label = label_components(near, len(rim))
    _, first = np.unique(label, return_index=True)
    merged = np.arange(len(corners))
    merged[rim] = rim[first[label]]
    moved = merged[triangles]
    out: Ints = moved[(moved != np.roll(moved, 1, axis=1)).all(axis=1)]
    return out


def fix_winding(
    where: str, corners: Array, triangles: Ints, edges: MeshEdges, findings: list[Finding]
) -> tuple[Ints, MeshEdges]:
    """Turn triangles that run against their neighbours: the lesser area of each shell."""
    m = len(triangles)
    a, b = edges.face_adjacency.T
    cross = np.where(edges.is_consistent, 0, m)
    # A graph with two nodes a triangle, one for each winding: windings that agree are linked.
    label = label_components(np.column_stack((np.r_[a, a + m], np.r_[b + cross, b + (m - cross)])), 2 * m)
    one_sided = label[:m] == label[m:]
    if one_sided.any():
        findings.append(messages.ONE_SIDED.at(where))
    area = triangle_areas(corners, triangles)
    shell = np.minimum(label[:m], label[m:])
    second = label[:m] != shell
    weight = np.bincount(shell, weights=np.where(second, area, -area), minlength=2 * m)
    turn = (second != (weight[shell] > 0)) & ~one_sided
    if turn.any():
        triangles = triangles.copy()
        triangles[turn] = triangles[turn][:, ::-1]
        findings.append(messages.WINDING_FIXED.at(where, count=int(turn.sum())))
    return triangles, find_mesh_edges(triangles, len(corners))
