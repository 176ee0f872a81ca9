"""Meshes without round features: built of flat panels, or of plates where these are closer to the mesh."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.base.findings import Finding, FoldsketchError, mm
from foldsketch.base.progress import Deadline, Listener, ignore_progress
from foldsketch.job.choices import Choices
from foldsketch.job.messages import BUILT_OF_PANELS, BUILT_OF_PLATES, BUILT_OF_PLATES_ALONE
from foldsketch.job.model import Model
from foldsketch.job.pipeline import finish_model, first_fitting_model, scales_for_area, unprintable_name_findings
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.solid.joining.polyhedron import block_from_polyhedron

if TYPE_CHECKING:
    from foldsketch.mesh.comparison.compare import Comparison
    from foldsketch.mesh.features.mesh_reading import MeshReading
    from foldsketch.mesh.panels.simplify import SimplifiedMesh
    from foldsketch.part.model import Part

DEFAULT_PANELS = 120
"""Panels that hands can fold in an evening or two."""

MIN_FLAT_AREA_SHARE = 0.5
"""Share of a body's surface that must be flat before plates are tried."""

MAX_RELATIVE_DEVIATION = 0.005
"""Plates describe a body when they are off by no more than this share of its size."""

EXACT_RELATIVE_DEVIATION = 1e-4
"""Panels that are off by less than this share of the body's size need no comparison with plates."""


def model_from_panels(
    simplified: SimplifiedMesh, name: str, choices: Choices | None = None, listener: Listener = ignore_progress
) -> Model:
    """The checked paper model of a simplified mesh. Raises FoldsketchError when it cannot be built or does not fold."""
    chosen = choices or Choices()
    paper = parse_paper(chosen.paper)
    corners = simplified.corners
    size = float(np.linalg.norm(np.ptp(corners, axis=0)))
    scales = [chosen.scale] if chosen.scale else scales_for_area(simplified.area, size, paper, chosen.sheets)

    def at(scale: float) -> Model:
        faceted, solids = block_from_polyhedron(name, corners, simplified.polygons, scale, _deviation(simplified))
        return finish_model(faceted, solids, scale, chosen, paper, listener)

    made = first_fitting_model(scales, at, chosen.sheets, simplified.findings, Deadline(chosen.seconds))
    return replace(made, findings=(*made.findings, *unprintable_name_findings(made.part)))


def _deviation(simplified: SimplifiedMesh) -> float:
    """How far the panels are off the mesh, mm."""
    return simplified.compared.max_distance


def compare_rebuilt_part(reading: MeshReading, part: Part) -> Comparison:
    """The part rebuilt from a reading, compared with the reading's mesh. Raises FoldsketchError when it is no solid."""
    from foldsketch.mesh.comparison.compare import compare_with_mesh, to_mesh_frame
    from foldsketch.solid.joining.reference_mesh import tessellate_part

    corners, triangles = tessellate_part(part)
    return compare_with_mesh(reading, to_mesh_frame(reading, corners), triangles)


def choose_plates_or_panels(
    reading: MeshReading, panels: int = DEFAULT_PANELS, anyway: bool = False
) -> tuple[SimplifiedMesh | Part, tuple[Finding, ...]]:
    """What describes a mesh without round features better: flat panels all round it, or plates; and the reason.

    Plates are taken when they are closer to the mesh and off by no more than MAX_RELATIVE_DEVIATION of its size.
    Raises FoldsketchError when neither can be made, or the panels are far off the mesh, unless anyway.
    """
    from foldsketch.mesh.panels.simplify import simplify

    try:
        panelled = simplify(reading, panels)
    except FoldsketchError:
        plates = _rebuild_of_plates(reading)
        if plates is None or not _close_enough(reading, plates[2]):
            raise
        part, findings, compared = plates
        note = BUILT_OF_PLATES_ALONE.at(reading.name, plates=len(part.features), deviation=mm(compared.max_distance, 3))
        return part, (*findings, note, compared.finding(reading.name))
    deviation = _deviation(panelled)
    exact = deviation <= EXACT_RELATIVE_DEVIATION * float(np.linalg.norm(reading.size))
    if exact or _flat_area_share(reading) < MIN_FLAT_AREA_SHARE:
        return panelled, require_likeness_of_panels(reading, panelled, anyway)
    plates = _rebuild_of_plates(reading)
    if plates is None:
        return panelled, require_likeness_of_panels(reading, panelled, anyway)
    part, findings, compared = plates
    if not _close_enough(reading, compared) or compared.max_distance >= deviation:
        off = require_likeness_of_panels(reading, panelled, anyway)
        return panelled, (*off, BUILT_OF_PANELS.at(reading.name, deviation=mm(compared.max_distance)))
    note = BUILT_OF_PLATES.at(
        reading.name,
        plates=len(part.features),
        deviation=mm(compared.max_distance, 3),
        panels=panels,
        panel_deviation=mm(deviation),
    )
    return part, (*findings, note, compared.finding(reading.name))


def require_likeness_of_panels(reading: MeshReading, simplified: SimplifiedMesh, anyway: bool) -> tuple[Finding, ...]:
    """The warning about panels that are off their mesh, if any. Raises FoldsketchError for wrong ones unless anyway."""
    from foldsketch.mesh.comparison.verdict import require_likeness

    return require_likeness(reading.name, simplified.compared, anyway, len(simplified.polygons))


def _rebuild_of_plates(reading: MeshReading) -> tuple[Part, tuple[Finding, ...], Comparison] | None:
    """The mesh rebuilt of plates, what there is to say about it, and how it compares; None where that fails."""
    from foldsketch.mesh.rebuild.rebuild import rebuild

    try:
        part, findings = rebuild(reading)
        return part, findings, compare_rebuilt_part(reading, part)
    except FoldsketchError:
        return None


def _close_enough(reading: MeshReading, compared: Comparison) -> bool:
    """Whether a rebuilt part may stand for its mesh: distance and volume within MAX_RELATIVE_DEVIATION."""
    near = compared.max_distance <= MAX_RELATIVE_DEVIATION * float(np.linalg.norm(reading.size))
    return near and abs(compared.volume - 1) <= 2 * MAX_RELATIVE_DEVIATION


def _flat_area_share(reading: MeshReading) -> float:
    return sum(f.area for f in reading.features if f.kind == "plane") / reading.area
