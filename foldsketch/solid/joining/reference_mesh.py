"""The part itself as one closed mesh with many sides, to compare with the mesh it was read from."""

from __future__ import annotations

from dataclasses import replace
from math import acos, ceil, pi

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.model import Part
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.rolled_walls import round_radii
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.kernel import Operands

MAX_REFERENCE_CHORD_ERROR_MM = 0.002
"""Largest distance between the sides and the circle, mm, unless MAX_REFERENCE_SIDES limits it."""

MIN_REFERENCE_SIDES, MAX_REFERENCE_SIDES = 24, 360
"""Bounds for the number of sides."""


def tessellate_part(part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> tuple[Array, Ints]:
    """Corners (n, 3), mm in the part's frame, and triangles (m, 3), outward. Features apply in file order.

    >>> from foldsketch.part.model import Axis, Cylinder, Feature
    >>> corners, _ = tessellate_part(Part("disc", (Axis("A"),), (Feature("disc", "A", Cylinder(20), 0, 5),)))
    >>> (corners.max(axis=0) - corners.min(axis=0)).round(2).tolist()
    [20.0, 20.0, 5.0]
    """
    radii = [max(round_radii(f), default=0.0) for f in part.features]
    fine = part.with_features(
        tuple(
            f if f.sides or not r else replace(f, sides=_reference_sides(r))
            for f, r in zip(part.features, radii, strict=True)
        )
    )
    faceted = facet(fine, 1.0, FacetChoice(chord_error=5 * MAX_REFERENCE_CHORD_ERROR_MM), tolerance)
    operands = Operands(dict(enumerate(faceted.prisms)))
    mesh = operands.combine(operands.prisms).to_mesh64()
    corners: Array = np.asarray(mesh.vert_properties[:, :3], dtype=np.float64) @ faceted.rotation_to_part.T
    return corners, np.asarray(mesh.tri_verts).astype(np.int64)


def _reference_sides(radius: float) -> int:
    wanted = pi / acos(max(1 - MAX_REFERENCE_CHORD_ERROR_MM / radius, 0.0))
    return min(max(4 * ceil(wanted / 4), MIN_REFERENCE_SIDES), MAX_REFERENCE_SIDES)
