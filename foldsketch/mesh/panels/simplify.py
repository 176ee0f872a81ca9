"""Simplify: a body without round features becomes a closed surface of few flat panels, and how far off these are."""

from __future__ import annotations

from dataclasses import dataclass

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, mm, percent
from foldsketch.mesh.features.mesh_reading import MeshReading
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import signed_volume, triangle_areas
from foldsketch.mesh.geometry.point_to_mesh import distances_between
from foldsketch.mesh.panels import messages
from foldsketch.mesh.panels.decimate import decimate
from foldsketch.mesh.panels.flat_panels import PanelLoops, merge_into_panels, triangulate

MIN_PANELS = 4
"""A tetrahedron."""

DISTANCE_SAMPLES = 2000
"""Points on the mesh, and on the panels, whose distance to the other is measured."""


@dataclass(frozen=True, slots=True, eq=False)
class SimplifiedMesh:
    """corners: (n, 3) mm in the mesh's own frame.

    polygons: for every panel its loops of corner numbers, the first anticlockwise seen from outside, holes clockwise;
    area: mm2; mesh_to_panels_max, panels_to_mesh_max: largest distance in mm from points of one to the other.
    """

    corners: Array
    polygons: tuple[PanelLoops, ...]
    area: float
    mesh_to_panels_max: float
    panels_to_mesh_max: float
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
    out, back = distances_between((body.corners, body.triangles), (corners, triangles), DISTANCE_SAMPLES)
    worst_out, worst_back = float(out.max()), float(back.max())
    note = messages.SIMPLIFIED.at(
        reading.name,
        triangles=len(body.triangles),
        panels=len(polygons),
        mesh_off=mm(worst_out, 3),
        panels_off=mm(worst_back, 3),
        volume=percent(signed_volume(corners, triangles) / reading.segmentation.body.volume, 2),
    )
    area = float(triangle_areas(corners, triangles).sum())
    return SimplifiedMesh(corners + body.origin_shift, polygons, area, worst_out, worst_back, (note,))


def _plane_faces(reading: MeshReading) -> Ints | None:
    """Number of every triangle's (m,) connected plane face; None where something is not flat."""
    segmentation = reading.segmentation
    if any(f.shape.kind != "plane" for f in segmentation.surfaces) or reading.explained_area <= 1 - 1e-9:
        return None
    pairs = segmentation.body.face_adjacency
    owner = segmentation.owner[pairs]
    same = (owner[:, 0] == owner[:, 1]) & (owner[:, 0] >= 0)
    return label_components(pairs[same], len(segmentation.owner))
