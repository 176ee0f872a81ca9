"""Coarse: a round of few sides is told from true flats by the company it keeps, and the doubt is told."""

from __future__ import annotations

from dataclasses import replace
from math import acos, ceil, cos, pi

import numpy as np

from foldsketch.base.findings import Finding
from foldsketch.base.units import format_number
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.segmentation.region_growing import FittedSurface
from foldsketch.mesh.segmentation.segment import Segmentation

MAX_COARSE_SIDES = 16.6
"""Up to this number of sides a round is looked at twice."""


def resolve_coarse_rounds(where: str, segmentation: Segmentation) -> tuple[Segmentation, list[Finding]]:
    """Cylinders of few sides beside much finer ones are true flats; those alone are rounds, with a warning."""
    full = [f for f in segmentation.surfaces if f.shape.kind == "cylinder" and f.covered_degrees > 350 and f.sides > 0]
    flats: list[int] = []
    doubtful: list[FittedSurface] = []
    findings: list[Finding] = []
    for k, f in enumerate(segmentation.surfaces):
        if (
            f.shape.kind != "cylinder"
            or f.covered_degrees < 350
            or not 0 < f.sides < MAX_COARSE_SIDES
            or not _has_plain_strips(segmentation, f)
        ):
            continue
        others = [g for g in full if g is not f]
        if others and f.sides < 0.66 * min(_expected_sides(g, f.shape.radius) for g in others):
            flats.append(k)
        else:
            doubtful.append(f)
    for k in flats:
        f = segmentation.surfaces[k]
        n = round(f.sides)
        findings.append(
            Finding(
                "warning",
                where,
                f"{n} flats, {format_number(2 * f.shape.radius * cos(pi / n))} across flats, beside much finer rounds: "
                f"taken as true flats and not as a round of diameter {format_number(2 * f.shape.radius)}",
                "if it is a round, export the mesh with a finer tolerance",
            )
        )
    if doubtful:
        sizes = ", ".join(
            sorted({f"{format_number(2 * f.shape.radius)} ({round(f.sides)} sides)" for f in doubtful})[:6]
        )
        findings.append(
            Finding(
                "warning",
                where,
                f"rounds of few sides: diameter {sizes}; they are taken as round",
                "export with a finer tolerance, or make them prisms in the part file if the flats are true",
            )
        )
    for reason, shape, _ in segmentation.rejected:
        if reason == "polygon":
            findings.append(
                Finding(
                    "warning",
                    where,
                    f"flats whose corners lie on diameter {format_number(2 * shape.radius)} are taken as true flats",
                    "if it is a round, export the mesh with a finer tolerance",
                )
            )
    return (_split_into_flats(segmentation, flats) if flats else segmentation), findings


def _expected_sides(g: FittedSurface, radius: float) -> float:
    """Sides that the exporter which made g would give another radius: same angle or same chord error, the fewer."""
    chord = g.shape.radius * (1 - cos(pi / g.sides))
    by_chord = ceil(pi / acos(max(1 - chord / radius, -1.0))) if chord < 2 * radius else 3
    return min(g.sides, by_chord)


def _has_plain_strips(segmentation: Segmentation, f: FittedSurface) -> bool:
    """Whether the round is made of plain strips from end to end: a mesh with corners in between is a round."""
    body = segmentation.body
    used = np.unique(body.triangles[f.triangles])
    z = (body.corners[used] - f.shape.point) @ f.shape.direction
    ends = (z - z.min() < 4 * segmentation.tolerance) | (z.max() - z < 4 * segmentation.tolerance)
    return bool(ends.mean() > 0.95)


def _split_into_flats(segmentation: Segmentation, flats: list[int]) -> Segmentation:
    """The same surfaces with some cylinders broken up into their plane sides."""
    body = segmentation.body
    found = [f for k, f in enumerate(segmentation.surfaces) if k not in flats]
    new = {k: i for i, k in enumerate(k for k in range(len(segmentation.surfaces)) if k not in flats)}
    owner = np.array([new.get(int(k), -1) for k in range(len(segmentation.surfaces))] + [-1])[segmentation.owner]
    for k in flats:
        triangles = segmentation.surfaces[k].triangles
        key = np.round(body.normals[triangles], 4)
        _, side = np.unique(key, axis=0, return_inverse=True)
        for s in range(int(side.max()) + 1):
            mine = triangles[side.reshape(-1) == s]
            point = body.corners[body.triangles[mine]].reshape(-1, 3).mean(axis=0)
            owner[mine] = len(found)
            found.append(FittedSurface(AnalyticSurface("plane", point, body.normals[mine[0]].copy()), mine))
    return replace(segmentation, surfaces=tuple(found), owner=owner)
