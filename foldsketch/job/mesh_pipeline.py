"""The general way: a mesh without round features becomes flat panels, or plates where these come nearer, and sheets."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.progress import Deadline, Listener, silent
from foldsketch.base.units import plain
from foldsketch.job.pipeline import Choices, Model, finished, first_that_fits, scales_for, unprintable_names
from foldsketch.sheet.layout.paper import parse_paper
from foldsketch.solid.joining.from_polyhedron import lump

if TYPE_CHECKING:
    from foldsketch.mesh.features.result import Reading
    from foldsketch.mesh.rebuild.compare import Comparison
    from foldsketch.mesh.simplify import Simplified
    from foldsketch.part.model import Part

PANELS = 120
"""Panels that hands can fold in an evening or two."""

HALF = 0.5
"""Share of a body's surface that must be flat before plates are tried."""

NEAR = 0.005
"""Plates describe a body when they stray no more than this share of its size."""


def general_model(
    simplified: Simplified, name: str, choices: Choices | None = None, listener: Listener = silent
) -> Model:
    """The checked paper model of a simplified mesh. Raises FoldsketchError when it cannot be built or fails the
    oracle."""
    chosen = choices or Choices()
    paper = parse_paper(chosen.paper)
    corners = simplified.corners
    size = float(np.linalg.norm(np.ptp(corners, axis=0)))
    stray = max(simplified.out, simplified.back)
    scales = [chosen.scale] if chosen.scale else scales_for(simplified.area, size, paper, chosen.sheets)

    def at(scale: float) -> Model:
        faceted, solids = lump(name, corners, simplified.polygons, scale, stray)
        return finished(faceted, solids, scale, chosen, paper, listener)

    deadline = Deadline(chosen.seconds)
    made = first_that_fits(scales, at, chosen.sheets, simplified.findings, deadline)
    return replace(made, findings=(*made.findings, *unprintable_names(made.part)))


def held_against(reading: Reading, part: Part) -> Comparison:
    """The part rebuilt from a reading, held against the reading's mesh. Raises FoldsketchError when it is no solid."""
    from foldsketch.mesh.rebuild.compare import compare, to_mesh
    from foldsketch.solid.joining.reference_mesh import whole

    corners, triangles = whole(part)
    return compare(reading, to_mesh(reading, corners), triangles)


def plates_or_panels(reading: Reading, panels: int = PANELS) -> tuple[Simplified | Part, tuple[Finding, ...]]:
    """What describes a mesh without round features better: flat panels all round it, or plates put together; and why.

    Panels, unless plates come nearer and within NEAR of the body's size. Raises FoldsketchError when neither can be
    made.
    """
    from foldsketch.mesh.rebuild.rebuild import rebuild
    from foldsketch.mesh.simplify import simplify

    size = float(np.linalg.norm(reading.size))
    panelled: Simplified | FoldsketchError
    try:
        panelled = simplify(reading, panels)
        stray = max(panelled.out, panelled.back)
    except FoldsketchError as why:
        panelled, stray = why, inf
    if not isinstance(panelled, FoldsketchError) and (stray <= 1e-4 * size or _flat_share(reading) < HALF):
        return panelled, ()
    try:
        part, told = rebuild(reading)
        held = held_against(reading, part)
    except FoldsketchError:
        if isinstance(panelled, FoldsketchError):
            raise panelled from None
        return panelled, ()
    if held.farthest < stray and held.farthest <= NEAR * size and abs(held.volume - 1) <= 2 * NEAR:
        why_not = f"{panels} panels would stray {plain(stray, 2)} mm" if stray < inf else "no flat panels can be made"
        note = Finding(
            "note",
            reading.name,
            f"it is built of {len(part.features)} plates, which stray {plain(held.farthest, 3)} mm; {why_not}",
            "give --panels for the general way",
        )
        return part, (*told, note, held.finding(reading.name))
    if isinstance(panelled, FoldsketchError):
        raise panelled
    note = Finding(
        "note",
        reading.name,
        f"plates put together would stray {plain(held.farthest, 2)} mm, so it is built of flat panels all round",
        "more --panels come nearer",
    )
    return panelled, (note,)


def _flat_share(reading: Reading) -> float:
    return sum(f.area for f in reading.features if f.kind == "plane") / reading.area
