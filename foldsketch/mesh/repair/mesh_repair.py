"""Mend: equal corners merged, doubled and wrongly wound triangles put right, seams closed; each mend is told."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.findings import Finding, input_error
from foldsketch.base.units import format_count, format_number
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import triangle_cross_products


@dataclass(slots=True, eq=False)
class MeshEdges:
    """Edges of triangles: pairs of triangles that share one, and how often edges are used.

    is_consistent: the two run along their edge in opposite senses, as they should.
    """

    face_adjacency: Ints
    face_adjacency_edges: Ints
    is_consistent: Bools
    open_edges: Ints
    nonmanifold_count: int


def merge_equal_corners(corners: Array, triangles: Ints) -> tuple[Array, Ints]:
    """One corner for each set of equal coordinates."""
    points = corners + 0.0  # turns -0.0 into 0.0
    bits = np.ascontiguousarray(points).view(np.uint64).reshape(-1, 3)
    with np.errstate(over="ignore"):
        key = bits[:, 0] * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(29)
        key = (key + bits[:, 1]) * np.uint64(0xBF58476D1CE4E5B9)
        key ^= key >> np.uint64(32)
        key = (key + bits[:, 2]) * np.uint64(0x94D049BB133111EB)
        key ^= key >> np.uint64(31)
    _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    if not np.array_equal(points[first][inverse], points):  # two points with one key: sort them out the slow way
        _, first, inverse = np.unique(points, axis=0, return_index=True, return_inverse=True)
    return points[first], inverse.reshape(-1).astype(np.int64)[triangles]


def drop_invalid_triangles(where: str, corners: Array, triangles: Ints, findings: list[Finding]) -> Ints:
    """Without degenerate and doubled triangles. A pair of opposed triangles goes altogether."""
    t = triangles
    flat = (t[:, 0] == t[:, 1]) | (t[:, 1] == t[:, 2]) | (t[:, 2] == t[:, 0])
    if flat.any():
        findings.append(Finding("note", where, f"{int(flat.sum())} triangles without extent were dropped"))
        t = t[~flat]
    if len(t) == 0:
        raise input_error(where, "all its triangles are degenerate", "export it again")
    n = len(corners)
    low = np.minimum(np.minimum(t[:, 0], t[:, 1]), t[:, 2])
    high = np.maximum(np.maximum(t[:, 0], t[:, 1]), t[:, 2])
    middle = t[:, 0] + t[:, 1] + t[:, 2] - low - high
    with np.errstate(over="ignore"):
        key = ((low.astype(np.uint64) * np.uint64(n)) + middle.astype(np.uint64)) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(31)
        key = key * np.uint64(0xBF58476D1CE4E5B9) + high.astype(np.uint64)
    ranked = np.sort(key)
    if not (ranked[1:] == ranked[:-1]).any():
        return t
    order = np.argsort(key)
    again = np.flatnonzero(key[order][1:] == key[order][:-1]) + 1
    if len(again) == 0:
        return t
    sets = np.sort(t, axis=1)
    again = again[(sets[order[again]] == sets[order[again - 1]]).all(axis=1)]
    if len(again) == 0:
        return t
    first = np.arange(len(t))
    position = np.arange(len(t))
    position[again] = 0
    position = np.maximum.accumulate(position)
    first[order] = order[position]
    r = t[:, 0:1] == low[:, None]
    turn = np.where(r[:, 0], 0, np.where(t[:, 1] == low, 1, 2))
    even = t[np.arange(len(t)), (turn + 1) % 3] == middle
    count_even = np.bincount(first, weights=even, minlength=len(t))
    count_odd = np.bincount(first, weights=~even, minlength=len(t))
    doubled = count_even + count_odd > 1
    opposed = doubled & (count_even > 0) & (count_odd > 0)
    keep = np.arange(len(t)) == first
    area = np.linalg.norm(triangle_cross_products(corners, t)[1], axis=1)
    gone = opposed[first]
    if area[gone].sum() > 0.5 * area.sum():
        raise input_error(where, "is a sheet without thickness, seen from both sides", "give it a thickness")
    keep &= ~gone
    same = int((count_even + count_odd - 1)[doubled & ~opposed].sum())
    if same:
        findings.append(Finding("warning", where, f"{same} triangles were there more than once; one of each is kept"))
    if gone.any():
        findings.append(
            Finding("warning", where, f"{int(gone.sum())} triangles lie back to back (no thickness) and were dropped")
        )
    out: Ints = t[keep]
    return out


def find_mesh_edges(triangles: Ints, n: int) -> MeshEdges:
    """The edges of (m, 3) triangles on n corners: which are shared by two, which are open, how many are crowded."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    key = np.minimum(start, end) * n + np.maximum(start, end)
    order = np.argsort(key)
    key = key[order]
    fresh = np.flatnonzero(np.r_[True, key[1:] != key[:-1]])
    count = np.diff(np.r_[fresh, len(key)])
    two = fresh[count == 2]
    one, other = order[two], order[two + 1]
    single = order[fresh[count == 1]]
    many = count > 2
    return MeshEdges(
        np.column_stack((one // 3, other // 3)),
        np.column_stack((start[one], end[one])),
        start[one] == end[other],
        np.column_stack((start[single], end[single])),
        int(many.sum()),
    )


def close_seams(
    where: str,
    corners: Array,
    triangles: Ints,
    edges: MeshEdges,
    resolution: float,
    size: float,
    findings: list[Finding],
) -> tuple[Array, Ints, MeshEdges]:
    """Merge corners of open edges that lie within rounding of each other, then a little more, if that closes it."""
    from scipy.spatial import cKDTree

    start = len(edges.open_edges)
    for reach in (2 * resolution, 1e-6 * size, 1e-5 * size, 1e-4 * size):
        if len(edges.open_edges) == 0:
            break
        rim = np.unique(edges.open_edges)
        shortest = np.linalg.norm(corners[edges.open_edges[:, 0]] - corners[edges.open_edges[:, 1]], axis=1)
        if reach > 0.4 * float(np.percentile(shortest, 10)) or reach < resolution:
            continue
        near = cKDTree(corners[rim]).query_pairs(reach, output_type="ndarray")
        if len(near) == 0:
            continue
        label = label_components(near, len(rim))
        _, first = np.unique(label, return_index=True)
        link = np.arange(len(corners))
        link[rim] = rim[first[label]]
        moved = link[triangles]
        degenerate = (moved[:, 0] == moved[:, 1]) | (moved[:, 1] == moved[:, 2]) | (moved[:, 2] == moved[:, 0])
        trial = find_mesh_edges(moved[~degenerate], len(corners))
        if len(trial.open_edges) < len(edges.open_edges) and trial.nonmanifold_count <= edges.nonmanifold_count + 2:
            triangles, edges = moved[~degenerate], trial
    if len(edges.open_edges) < start:
        findings.append(
            Finding("warning", where, f"{start - len(edges.open_edges)} edges of unjoined faces were joined")
        )
    if len(edges.open_edges):
        long = np.linalg.norm(corners[edges.open_edges[:, 0]] - corners[edges.open_edges[:, 1]], axis=1).sum()
        loops = len(np.unique(label_components(edges.open_edges, len(corners))[np.unique(edges.open_edges)]))
        findings.append(
            Finding(
                "warning",
                where,
                f"{format_count(loops, 'hole')} with {len(edges.open_edges)} open edges "
                f"({format_number(float(long), 2)} mm in all): the surface is not closed",
                "volume and what lies about the holes are uncertain",
            )
        )
    return corners, triangles, edges


def fix_winding(
    where: str, corners: Array, triangles: Ints, edges: MeshEdges, findings: list[Finding]
) -> tuple[Ints, MeshEdges]:
    """Turn triangles that run against their neighbours; the lesser area of each shell is turned."""
    m = len(triangles)
    a, b = edges.face_adjacency[:, 0], edges.face_adjacency[:, 1]
    cross = np.where(edges.is_consistent, 0, m)
    # Every triangle stands twice, once for each side: sides that agree hang together.
    label = label_components(np.column_stack((np.r_[a, a + m], np.r_[b + cross, b + (m - cross)])), 2 * m)
    one_sided = label[:m] == label[m:]
    if one_sided.any():
        findings.append(
            Finding("warning", where, "its surface has only one side in places", "check that it is one solid")
        )
    area = np.linalg.norm(triangle_cross_products(corners, triangles)[1], axis=1)
    shell = np.minimum(label[:m], label[m:])
    second = label[:m] != shell
    weight = np.bincount(shell, weights=np.where(second, area, -area), minlength=2 * m)
    turn = (second != (weight[shell] > 0)) & ~one_sided
    triangles = triangles.copy()
    triangles[turn] = triangles[turn][:, ::-1]
    findings.append(Finding("warning", where, f"{int(turn.sum())} triangles faced the wrong way and were turned"))
    return triangles, find_mesh_edges(triangles, len(corners))
