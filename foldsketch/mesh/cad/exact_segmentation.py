"""Exact segmentation: a body split by the faces of its CAD file; splines are fitted to their triangles."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.measure import coordinate_bounds, corners_used, row_dots, rows_by_value
from foldsketch.mesh.repair.clean import Body
from foldsketch.mesh.segmentation.angular_coverage import angular_coverage, triangle_centroids
from foldsketch.mesh.segmentation.claim_planes import claim_planes
from foldsketch.mesh.segmentation.edge_classes import classify_edges, surface_tolerance
from foldsketch.mesh.segmentation.model import FittedSurface, Segmentation
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.regions import segment_region, smooth_regions
from foldsketch.mesh.segmentation.seed_growing import try_surface_kinds
from foldsketch.mesh.segmentation.segment import segment_surfaces

MAX_OFF_SURFACE_MM = 0.05
"""A face whose triangles are farther off its surface than this is not taken at its word."""

MIN_FULL_DEGREES = 359.0
"""A round that covers more of the turn has its full rims."""

MIN_FACE_TRIANGLES = 4
"""Triangles of a face on which a surface is looked for."""

MAX_UNNAMED_FRACTION = 0.5
"""Share of the area on no face of the file above which a body is read as a mesh."""

MAX_FAILED_SEEDS = 3
"""Seeds tried in vain on a face before it is given up as free-form."""


def segment_by_faces(
    body: Body, face: Ints, surfaces: tuple[AnalyticSurface | None, ...], progress: Listener = ignore_progress
) -> Segmentation:
    """Split the surface of a body by its faces.

    face: (m,) number of the surface of every triangle, -1 for none. Triangles of faces without an exact surface are
    looked at as those of a mesh, a face at a time; those of no face by where they are smooth.
    """
    tolerance = surface_tolerance(body)
    owner = np.full(len(body.triangles), -1, dtype=np.int64)
    found: list[FittedSurface] = []
    for triangles in rows_by_value(face):
        number = face[triangles[0]]
        shape = surfaces[number] if number >= 0 else None
        surface = _exact_surface(body, shape, triangles[body.areas[triangles] > 0]) if shape is not None else None
        if surface is not None:
            owner[triangles] = len(found)
            found.append(surface)
    progress("surfaces", 0.5)
    if (owner >= 0).all():
        return Segmentation(body, tuple(found), owner, (), tolerance)
    grower = RegionGrower(classify_edges(body, tolerance))
    grower.owner, grower.surfaces = owner, found
    left = np.flatnonzero((owner < 0) & (body.areas > 0))
    if body.areas[face < 0].sum() > MAX_UNNAMED_FRACTION * body.area:
        return segment_surfaces(body, progress)
    unnamed = [rows[(face[rows] < 0) & (owner[rows] < 0)] for rows in smooth_regions(grower.edge_classes)]
    named = left[face[left] >= 0]
    for triangles in [*unnamed, *(named[rows] for rows in rows_by_value(face[named]))]:
        if len(triangles) >= MIN_FACE_TRIANGLES:
            try_surface_kinds(grower, triangles, triangles)  # the face as a whole, as most are
            segment_region(grower, triangles, [], MAX_FAILED_SEEDS)
    claim_planes(grower)
    polygons = tuple(shape for shape, _ in grower.polygons)
    return Segmentation(body, tuple(grower.surfaces), grower.owner, polygons, tolerance, off_surface=grower.off_surface)


def box_of_surfaces(segmentation: Segmentation) -> tuple[Array, Array]:
    """Lowest and highest coordinates (3,) of a body, with the full rims of its cylinders and cones.

    The corners of a disc come near its sides but not quite to them.
    """
    low, high = coordinate_bounds(segmentation.body.corners)
    for f in segmentation.surfaces:
        if f.shape.kind in ("cylinder", "cone") and f.covered_degrees > MIN_FULL_DEGREES:
            for z in (f.low, f.high):
                rim = abs(f.shape.radius + f.shape.slope * z) * np.sqrt(np.maximum(1 - f.shape.direction**2, 0))
                middle = f.shape.point + z * f.shape.direction
                low, high = np.minimum(low, middle - rim), np.maximum(high, middle + rim)
    return low, high


def _exact_surface(body: Body, shape: AnalyticSurface, triangles: Ints) -> FittedSurface | None:
    """A face's surface with what it measures on its triangles; None where they are not on it."""
    if len(triangles) == 0:
        return None
    t = body.triangles[triangles]
    points = body.corners[corners_used(len(body.corners), t)]
    misfit = np.abs(shape.distance(points))
    if not misfit.max() <= MAX_OFF_SURFACE_MM:
        return None
    weight = body.areas[triangles]
    sign = row_dots(shape.normal(triangle_centroids(body, triangles)), body.normals[triangles])
    outward = float((sign * weight).sum()) > 0
    worst, rms = float(misfit.max()), float(np.sqrt((misfit**2).mean()))
    if shape.kind == "plane":
        return FittedSurface(shape if outward else shape.reversed(), triangles, misfit_max=worst, misfit_rms=rms)
    _, covered, sides = angular_coverage(shape, body.corners, t, weight)
    z = (points - shape.point) @ shape.direction
    return FittedSurface(shape, triangles, not outward, covered, sides, worst, rms, float(z.min()), float(z.max()))
