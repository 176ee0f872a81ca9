"""Whole: the part itself as one closed mesh of many flats, to be held against what it was read from."""

from __future__ import annotations

from dataclasses import replace
from math import acos, ceil, pi

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.model import Feature, Part, Plate
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.prism import Array
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining.kernel import to_manifold

MAX_REFERENCE_CHORD_ERROR_MM = 0.002
"""mm that the flats may stray from the rounds; FEW and MOST bound their number."""

MIN_REFERENCE_SIDES, MAX_REFERENCE_SIDES = 24, 360


def tessellate_part(part: Part, tolerance: Tolerance = DEFAULT_TOLERANCE) -> tuple[Array, NDArray[np.int64]]:
    """Corners (n, 3) mm in the part's frame and triangles (m, 3), outward. Features apply in file order.

    >>> from foldsketch.part.model import Axis, Cylinder, Feature
    >>> corners, _ = tessellate_part(Part("disc", (Axis("A"),), (Feature("disc", "A", Cylinder(20), 0, 5),)))
    >>> (corners.max(axis=0) - corners.min(axis=0)).round(2).tolist()
    [20.0, 20.0, 5.0]
    """
    import manifold3d as m3

    fine = part.with_features(
        tuple(
            f if f.sides or not _largest_radius(f) else replace(f, sides=_reference_sides(_largest_radius(f)))
            for f in part.features
        )
    )
    faceted = facet(fine, 1.0, FacetChoice(chord_error=5 * MAX_REFERENCE_CHORD_ERROR_MM), tolerance)
    first = m3.Manifold.reserve_ids(len(faceted.prisms))
    solid = m3.Manifold()
    for p in faceted.prisms:
        own = to_manifold(p, first + p.index)
        solid = solid - own if p.cut else solid + own
    mesh = solid.to_mesh64()
    corners: Array = np.asarray(mesh.vert_properties[:, :3], dtype=np.float64) @ faceted.turn.T
    triangles: NDArray[np.int64] = np.asarray(mesh.tri_verts).astype(np.int64)
    return corners, triangles


def _largest_radius(f: Feature) -> float:
    """The largest round of a feature, mm; 0 without one."""
    if isinstance(f.shape, Plate):
        return max((r for _, _, r in f.shape.hull), default=0.0)
    return f.radius if f.round else 0.0


def _reference_sides(radius: float) -> int:
    wanted = pi / acos(max(1 - MAX_REFERENCE_CHORD_ERROR_MM / radius, 0.0))
    return min(max(4 * ceil(wanted / 4), MIN_REFERENCE_SIDES), MAX_REFERENCE_SIDES)
