"""Coarse rounds: a round of few sides is told from true flats by how fine the other rounds are."""

from __future__ import annotations

from dataclasses import replace
from math import acos, ceil, cos, pi

import numpy as np

from foldsketch.base.findings import Finding, mm
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.segmentation import messages
from foldsketch.mesh.segmentation.model import FittedSurface, Segmentation

MAX_COARSE_SIDES = 16.6
"""Up to this number of sides a round may be flats."""

MIN_FULL_DEGREES = 350.0
"""A full round covers at least this much of the turn."""

MAX_SIDES_RATIO = 0.66
"""Sides over those that the exporter would have given such a round, below which they are true flats."""


def resolve_coarse_rounds(where: str, segmentation: Segmentation) -> tuple[Segmentation, list[Finding]]:
    """Cylinders of few sides beside much finer ones become flats; alone they stay rounds, with a warning."""
    full = [k for k, f in enumerate(segmentation.surfaces) if _is_full_cylinder(f)]
    flats: list[int] = []
    findings: list[Finding] = []
    coarse: dict[tuple[float, int], Finding] = {}
    for k in full:
        f = segmentation.surfaces[k]
        if f.sides >= MAX_COARSE_SIDES or not _has_plain_strips(segmentation, f):
            continue
        sides, diameter = round(f.sides), 2 * f.shape.radius
        expected = [_expected_sides(segmentation.surfaces[j], f.shape.radius) for j in full if j != k]
        if expected and f.sides < MAX_SIDES_RATIO * min(expected):
            flats.append(k)
            across = mm(diameter * cos(pi / sides), 3)
            findings.append(
                messages.FLATS_BESIDE_ROUNDS.at(where, sides=sides, across=across, diameter=mm(diameter, 3))
            )
        else:
            coarse[round(diameter, 3), sides] = messages.COARSE_ROUND.at(where, diameter=mm(diameter, 3), sides=sides)
    findings += [coarse[key] for key in sorted(coarse)]
    findings += [
        messages.FLATS_ON_A_CIRCLE.at(where, diameter=mm(2 * shape.radius, 3)) for shape in segmentation.polygons
    ]
    return (_split_into_flats(segmentation, flats) if flats else segmentation), findings


def _is_full_cylinder(f: FittedSurface) -> bool:
    return f.shape.kind == "cylinder" and f.covered_degrees > MIN_FULL_DEGREES and f.sides > 0


def _expected_sides(other: FittedSurface, radius: float) -> float:
    """Sides that the exporter of another round would give to a radius: same angle or same chord error, the fewer."""
    chord = other.shape.radius * (1 - cos(pi / other.sides))
    by_chord = ceil(pi / acos(max(1 - chord / radius, -1.0))) if chord < 2 * radius else 3
    return min(other.sides, by_chord)


def _has_plain_strips(segmentation: Segmentation, f: FittedSurface) -> bool:
    """Whether a round is made of plain strips from end to end: a mesh with corners in between is a round."""
    body = segmentation.body
    used = np.unique(body.triangles[f.triangles])
    z = (body.corners[used] - f.shape.point) @ f.shape.direction
    slack = 4 * segmentation.tolerance
    at_ends = (z - z.min() < slack) | (z.max() - z < slack)
    return bool(at_ends.mean() > 0.95)


def _split_into_flats(segmentation: Segmentation, flats: list[int]) -> Segmentation:
    """The same with some cylinders, given by their numbers, split into their plane sides."""
    body = segmentation.body
    kept = [k for k in range(len(segmentation.surfaces)) if k not in flats]
    surfaces = [segmentation.surfaces[k] for k in kept]
    new = np.full(len(segmentation.surfaces) + 1, -1, dtype=np.int64)
    new[kept] = np.arange(len(kept))
    owner = new[segmentation.owner]
    for k in flats:
        triangles = segmentation.surfaces[k].triangles
        _, side = np.unique(np.round(body.normals[triangles], 4), axis=0, return_inverse=True)
        for s in range(int(side.max()) + 1):
            mine = triangles[side.reshape(-1) == s]
            point = body.corners[body.triangles[mine]].reshape(-1, 3).mean(axis=0)
            owner[mine] = len(surfaces)
            surfaces.append(FittedSurface(AnalyticSurface("plane", point, body.normals[mine[0]].copy()), mine))
    return replace(segmentation, surfaces=tuple(surfaces), owner=owner)
