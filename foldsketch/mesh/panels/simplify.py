"""Simplify: a body without round features becomes a closed surface of few flat panels, and how far off these are."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, mm, percent
from foldsketch.mesh.comparison.compare import Comparison, compare_panels
from foldsketch.mesh.features.mesh_reading import MeshReading
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.flat_panels import PanelLoops, merge_into_panels, triangulate
from foldsketch.mesh.geometry.measure import triangle_areas
from foldsketch.mesh.panels import messages
from foldsketch.mesh.panels.decimate import decimate

MIN_PANELS = 4
"""A tetrahedron."""


@dataclass(frozen=True, slots=True, eq=False)
class SimplifiedMesh:
    """corners: (n, 3) mm in the mesh's own frame.

    polygons: for every panel its loops of corner numbers, the first anticlockwise seen from outside, holes clockwise;
    area: mm2; compared: the panels with the mesh.
    """

    corners: Array
    polygons: tuple[PanelLoops, ...]
    area: float
    compared: Comparison
    findings: tuple[Finding, ...] = ()


def simplify(reading: MeshReading, panels: int = 300) -> SimplifiedMesh:
    """At most so many flat panels for the mesh of a reading; a body of few plane faces keeps exactly these.

    Raises FoldsketchError when the mesh is not closed or no closed surface of so few panels is found.
    """
    body = reading.segmentation.body
    if panels < MIN_PANELS:
        raise messages.TOO_FEW_PANELS.error("panels", count=panels, least=MIN_PANELS)
    if not body.watertight:
        raise messages.OPEN_MESH.error(reading.name)
    face = _plane_faces(reading)
    if face is not None and int(face.max()) < panels:
        slack = 20 * reading.segmentation.tolerance
        corners, polygons = merge_into_panels(body.corners, body.triangles, face, slack)
    else:
        corners, polygons = decimate(reading.name, body.corners, body.triangles, panels)
    triangles = triangulate(corners, polygons)
    compared = compare_panels(reading, corners + body.origin_shift, triangles)
    note = messages.SIMPLIFIED.at(
        reading.name,
        triangles=len(body.triangles),
        panels=len(polygons),
        mesh_off=mm(compared.mesh_to_part_max, 3),
        panels_off=mm(compared.part_to_mesh_max, 3),
        volume=percent(compared.volume, 2),
    )
    area = float(triangle_areas(corners, triangles).sum())
    return SimplifiedMesh(corners + body.origin_shift, polygons, area, compared, (note,))


def _plane_faces(reading: MeshReading) -> Ints | None:
    """Number of every triangle's (m,) connected plane face; None where something is not flat."""
    segmentation = reading.segmentation
    if any(f.shape.kind != "plane" for f in segmentation.surfaces) or reading.explained_area <= 1 - 1e-9:
        return None
    pairs = segmentation.body.face_adjacency
    owner = segmentation.owner[pairs]
    same = (owner[:, 0] == owner[:, 1]) & (owner[:, 0] >= 0)
    return label_components(pairs[same], len(segmentation.owner))
