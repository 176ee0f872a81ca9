"""The general way: a mesh without round features becomes flat panels, or plates where these come nearer, and sheets."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.progress import Deadline, Listener, ignore_progress
from foldsketch.base.units import format_number
from foldsketch.job.pipeline import (
    Choices,
    Model,
    finish_model,
    first_fitting_model,
    scales_for_area,
    unprintable_name_findings,
)
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.solid.joining.from_polyhedron import block_from_polyhedron

if TYPE_CHECKING:
    from foldsketch.mesh.features.mesh_reading import MeshReading
    from foldsketch.mesh.panels.simplify import SimplifiedMesh
    from foldsketch.mesh.rebuild.compare import Comparison
    from foldsketch.part.model import Part

DEFAULT_PANELS = 120
"""Panels that hands can fold in an evening or two."""

MIN_FLAT_AREA_SHARE = 0.5
"""Share of a body's surface that must be flat before plates are tried."""

MAX_RELATIVE_DEVIATION = 0.005
"""Plates describe a body when they stray no more than this share of its size."""


def model_from_panels(
    simplified: SimplifiedMesh, name: str, choices: Choices | None = None, listener: Listener = ignore_progress
) -> Model:
    """The checked paper model of a simplified mesh. Raises FoldsketchError when it cannot be built or fails the
    oracle."""
    chosen = choices or Choices()
    paper = parse_paper(chosen.paper)
    corners = simplified.corners
    size = float(np.linalg.norm(np.ptp(corners, axis=0)))
    stray = max(simplified.mesh_to_panels_max, simplified.panels_to_mesh_max)
    scales = [chosen.scale] if chosen.scale else scales_for_area(simplified.area, size, paper, chosen.sheets)

    def at(scale: float) -> Model:
        faceted, solids = block_from_polyhedron(name, corners, simplified.polygons, scale, stray)
        return finish_model(faceted, solids, scale, chosen, paper, listener)

    deadline = Deadline(chosen.seconds)
    made = first_fitting_model(scales, at, chosen.sheets, simplified.findings, deadline)
    return replace(made, findings=(*made.findings, *unprintable_name_findings(made.part)))


def compare_rebuilt_part(reading: MeshReading, part: Part) -> Comparison:
    """The part rebuilt from a reading, held against the reading's mesh. Raises FoldsketchError when it is no solid."""
    from foldsketch.mesh.rebuild.compare import compare_with_mesh, to_mesh_frame
    from foldsketch.solid.joining.reference_mesh import tessellate_part

    corners, triangles = tessellate_part(part)
    return compare_with_mesh(reading, to_mesh_frame(reading, corners), triangles)


def choose_plates_or_panels(
    reading: MeshReading, panels: int = DEFAULT_PANELS
) -> tuple[SimplifiedMesh | Part, tuple[Finding, ...]]:
    """What describes a mesh without round features better: flat panels all round it, or plates put together; and why.

    Panels, unless plates come nearer and within NEAR of the body's size. Raises FoldsketchError when neither can be
    made.
    """
    from foldsketch.mesh.panels.simplify import simplify
    from foldsketch.mesh.rebuild.rebuild import rebuild

    size = float(np.linalg.norm(reading.size))
    panelled: SimplifiedMesh | FoldsketchError
    try:
        panelled = simplify(reading, panels)
        stray = max(panelled.mesh_to_panels_max, panelled.panels_to_mesh_max)
    except FoldsketchError as why:
        panelled, stray = why, inf
    if not isinstance(panelled, FoldsketchError) and (
        stray <= 1e-4 * size or _flat_area_share(reading) < MIN_FLAT_AREA_SHARE
    ):
        return panelled, ()
    try:
        part, told = rebuild(reading)
        held = compare_rebuilt_part(reading, part)
    except FoldsketchError:
        if isinstance(panelled, FoldsketchError):
            raise panelled from None
        return panelled, ()
    if (
        held.max_distance < stray
        and held.max_distance <= MAX_RELATIVE_DEVIATION * size
        and abs(held.volume - 1) <= 2 * MAX_RELATIVE_DEVIATION
    ):
        why_not = (
            f"{panels} panels would stray {format_number(stray, 2)} mm" if stray < inf else "no flat panels can be made"
        )
        note = Finding(
            "note",
            reading.name,
            f"it is built of {len(part.features)} plates, which stray {format_number(held.max_distance, 3)} mm; "
            f"{why_not}",
            "give --panels for the general way",
        )
        return part, (*told, note, held.finding(reading.name))
    if isinstance(panelled, FoldsketchError):
        raise panelled
    note = Finding(
        "note",
        reading.name,
        f"plates put together would stray {format_number(held.max_distance, 2)} mm, so it is built of "
        f"flat panels all round",
        "more --panels come nearer",
    )
    return panelled, (note,)


def _flat_area_share(reading: MeshReading) -> float:
    return sum(f.area for f in reading.features if f.kind == "plane") / reading.area
