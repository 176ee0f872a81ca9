"""Clean: the triangles of a file become closed, rightly wound bodies, and every repair is reported."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, mm
from foldsketch.mesh.files.load import RawMesh
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.coordinate_resolution import estimate_resolution
from foldsketch.mesh.geometry.measure import (
    coordinate_bounds,
    reindex_corners,
    row_norms,
    signed_volume,
    triangle_cross_products,
)
from foldsketch.mesh.repair import messages
from foldsketch.mesh.repair.mesh_repair import (
    MeshEdges,
    close_holes,
    close_seams,
    drop_invalid_triangles,
    find_mesh_edges,
    fix_winding,
    merge_equal_corners,
)
from foldsketch.mesh.repair.shells import group_shells_into_bodies

FAR_FROM_ORIGIN_RATIO = 100
"""A mesh farther from the origin than so many times its size has lost digits."""


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """One body, ready to be measured.

    corners: (n, 3) mm, less origin_shift (3,), so that the box about them has its middle at the origin; triangles:
    (m, 3), outward; normals: (m, 3) unit, zero for slivers; areas: (m,) mm2, zero for slivers; face_adjacency: (k, 2)
    triangles that share an edge; face_adjacency_edges: (k, 2) the corners of that edge; resolution: mm, the step to
    which the coordinates are rounded; size: mm, the diagonal of its box.
    """

    name: str
    corners: Array
    triangles: Ints
    origin_shift: Array
    normals: Array
    areas: Array
    face_adjacency: Ints
    face_adjacency_edges: Ints
    resolution: float
    watertight: bool
    findings: tuple[Finding, ...] = ()
    size: float = field(init=False)

    def __post_init__(self) -> None:
        low, high = coordinate_bounds(self.corners)
        object.__setattr__(self, "size", float(np.linalg.norm(high - low)))

    @property
    def volume(self) -> float:
        """Signed volume, mm3 (divergence theorem)."""
        return signed_volume(self.corners, self.triangles)

    @property
    def area(self) -> float:
        """Surface, mm2."""
        return float(self.areas.sum())


def clean_mesh(raw: RawMesh, factor: float = 1.0) -> tuple[Body, ...]:
    """Bodies of a mesh, the largest first; factor: mm per unit of the file.

    Merges corners, removes doubled and degenerate triangles, turns wrongly wound ones, groups what overlaps, leaves out
    debris. Raises FoldsketchError when nothing is left that encloses a space.
    """
    where = raw.source
    resolution = estimate_resolution(raw.corners, raw.single_precision) * factor
    low, high = (bound * factor for bound in coordinate_bounds(raw.corners))
    shift = (low + high) / 2
    corners, triangles = merge_equal_corners(raw.corners, raw.triangles)
    corners = corners * factor - shift
    findings = list(raw.findings)
    distance = float(np.abs(shift).max())
    if distance > FAR_FROM_ORIGIN_RATIO * float(np.linalg.norm(high - low)):
        findings.append(messages.FAR_FROM_ORIGIN.at(where, distance=mm(distance, 0), resolution=mm(resolution, 5)))
    triangles = drop_invalid_triangles(where, corners, triangles, findings)
    edges = find_mesh_edges(triangles, len(corners))
    if len(edges.open_edges):
        triangles, edges = close_seams(where, corners, triangles, edges, resolution, findings)
    if len(triangles) == 0:
        raise messages.ENCLOSES_NOTHING.error(where)
    if not edges.is_consistent.all():
        triangles, edges = fix_winding(where, corners, triangles, edges, findings)
    if len(edges.open_edges):
        triangles, edges = close_holes(where, corners, triangles, edges, findings)
    shell = label_components(edges.face_adjacency, len(triangles))
    before = len(corners)
    corners, triangles, body_of, notes = group_shells_into_bodies(
        where, corners, triangles, shell, edges.open_edges, resolution
    )
    findings += notes
    if edges.nonmanifold_count:
        findings.append(messages.EDGES_OF_MANY_FACES.at(where, count=edges.nonmanifold_count))
    stem = where.rsplit(".", 1)[0] or "part"
    if (body_of == 0).all() and len(corners) == before:
        bodies = [_make_body(stem, where, corners, triangles, edges, shift, resolution, findings)]
    else:
        bodies = []
        for k in range(int(body_of.max()) + 1):
            used, mine = reindex_corners(len(corners), triangles[body_of == k])
            own_edges = find_mesh_edges(mine, len(used))
            bodies.append(_make_body(stem, where, corners[used], mine, own_edges, shift, resolution, findings))
        bodies.sort(key=lambda body: -abs(body.volume))
    if all(abs(body.volume) <= 1e-6 * body.area**1.5 for body in bodies):
        raise messages.IS_A_SHEET.error(where)
    if len(bodies) > 1:
        bodies = [replace(body, name=f"{stem} {k + 1}") for k, body in enumerate(bodies)]
    return tuple(bodies)


def _make_body(
    name: str,
    where: str,
    corners: Array,
    triangles: Ints,
    edges: MeshEdges,
    shift: Array,
    resolution: float,
    findings: list[Finding],
) -> Body:
    normals, areas, slivers = normals_and_areas(corners, triangles, resolution)
    notes = [messages.SLIVERS_IGNORED.at(where, count=slivers)] if slivers else []
    return Body(
        name,
        corners,
        triangles,
        shift,
        normals,
        areas,
        edges.face_adjacency,
        edges.face_adjacency_edges,
        resolution,
        len(edges.open_edges) == 0 and edges.nonmanifold_count == 0,
        (*findings, *notes),
    )


def normals_and_areas(corners: Array, triangles: Ints, resolution: float) -> tuple[Array, Array, int]:
    """Unit normals (zero for slivers), areas (likewise) and the number of slivers."""
    _, cross = triangle_cross_products(corners, triangles)
    length = row_norms(cross)
    narrow = np.flatnonzero(length < 1e3 * resolution * max(np.abs(corners).max(), 1e-9))
    if len(narrow):
        t = corners[triangles[narrow]]
        longest = np.sqrt(((t - np.roll(t, 1, axis=1)) ** 2).sum(axis=2).max(axis=1))
        narrow = narrow[length[narrow] <= longest * max(resolution, 1e-9)]
    length[narrow] = 1.0
    unit = cross / length[:, None]
    unit[narrow] = 0.0
    area = length / 2
    area[narrow] = 0.0
    return unit, area, len(narrow)
