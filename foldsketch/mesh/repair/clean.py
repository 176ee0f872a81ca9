"""Clean: triangles as a file has them become closed, rightly wound bodies, and every mend is told."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, input_error
from foldsketch.base.units import format_number
from foldsketch.mesh.files.load import RawMesh
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.coordinate_resolution import estimate_resolution
from foldsketch.mesh.geometry.measure import coordinate_bounds, signed_volume, triangle_cross_products
from foldsketch.mesh.repair.mesh_repair import (
    MeshEdges,
    close_seams,
    drop_invalid_triangles,
    find_mesh_edges,
    fix_winding,
    merge_equal_corners,
)
from foldsketch.mesh.repair.shells import group_shells_into_bodies


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

    Merges corners, drops doubled and degenerate triangles, turns wrongly wound ones, joins what overlaps, leaves out
    dirt. Raises FoldsketchError when nothing is left that encloses a space.
    """
    where = raw.source
    grain = estimate_resolution(raw.corners, raw.single_precision) * factor
    low, high = (bound * factor for bound in coordinate_bounds(raw.corners))
    shift = (low + high) / 2
    size = float(np.linalg.norm(high - low))
    corners, triangles = merge_equal_corners(raw.corners, raw.triangles)
    corners = corners * factor - shift
    findings = list(raw.findings)
    if float(np.abs(shift).max()) > 100 * size:
        findings.append(
            Finding(
                "warning",
                where,
                f"lies {format_number(float(np.abs(shift).max()), 0)} from the origin, so its "
                f"coordinates are only good to "
                f"{grain:.2g}",
                "move it to the origin before exporting for full precision",
            )
        )
    triangles = drop_invalid_triangles(where, corners, triangles, findings)
    edges = find_mesh_edges(triangles, len(corners))
    if len(edges.open_edges):
        corners, triangles, edges = close_seams(where, corners, triangles, edges, grain, size, findings)
    if not len(triangles):
        raise input_error(where, "encloses no space: all its triangles are needles", "export a closed surface mesh")
    if not edges.is_consistent.all():
        triangles, edges = fix_winding(where, corners, triangles, edges, findings)
    # Triangles that hang together over edges; those about crowded edges hang together too.
    shell = label_components(edges.face_adjacency, len(triangles))
    body_of, triangles, notes = group_shells_into_bodies(where, corners, triangles, shell, edges.open_edges, grain)
    findings += notes
    if edges.nonmanifold_count:
        findings.append(
            Finding(
                "warning",
                where,
                f"{edges.nonmanifold_count} edges have more than two faces",
                "check that it is one solid",
            )
        )
    return _make_bodies(where, corners, triangles, edges, body_of, shift, grain, findings)


def _make_bodies(
    where: str,
    corners: Array,
    triangles: Ints,
    whole: MeshEdges,
    body_of: Ints,
    shift: Array,
    resolution: float,
    findings: list[Finding],
) -> tuple[Body, ...]:
    count = int(body_of.max()) + 1
    stem = where.rsplit(".", 1)[0] or "part"
    made = []
    for k in range(count):
        if count == 1 and (body_of >= 0).all():
            own, mine, edges = corners, triangles, whole
        else:
            mine = triangles[body_of == k]
            used = np.zeros(len(corners), dtype=bool)
            used[mine.ravel()] = True
            own, mine = corners[used], (np.cumsum(used) - 1)[mine]
            edges = find_mesh_edges(mine, len(own))
        unit, area, sliver = _normals_and_areas(own, mine, resolution)
        name = stem if count == 1 else f"{stem} {k + 1}"
        made.append(
            Body(
                name,
                own,
                mine,
                shift,
                unit,
                area,
                edges.face_adjacency,
                edges.face_adjacency_edges,
                resolution,
                len(edges.open_edges) == 0 and edges.nonmanifold_count == 0,
                tuple(findings) + _sliver_findings(where, sliver),
            )
        )
    made.sort(key=lambda body: -abs(body.volume))
    if count > 1:
        made = [replace(body, name=f"{stem} {k + 1}") for k, body in enumerate(made)]
    thin = [b for b in made if abs(b.volume) <= 1e-6 * b.area**1.5]
    if len(thin) == len(made):
        raise input_error(where, "encloses no space: it is a sheet, not a solid", "give it a thickness")
    return tuple(made)


def _normals_and_areas(corners: Array, triangles: Ints, resolution: float) -> tuple[Array, Array, int]:
    """Unit normals (zero for slivers), areas (likewise) and the number of slivers."""
    _, cross = triangle_cross_products(corners, triangles)
    length = np.sqrt(np.einsum("ij,ij->i", cross, cross))
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


def _sliver_findings(where: str, count: int) -> tuple[Finding, ...]:
    if count == 0:
        return ()
    return (Finding("note", where, f"{count} slivers (triangles no wider than the rounding) carry no weight"),)
