"""Unknown: surface that no plane or round explains, named as what it is: oval, cam, dome, free form."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding
from foldsketch.base.units import format_number
from foldsketch.mesh.geometry.analytic_surface import perpendicular_axes
from foldsketch.mesh.geometry.circle_fit import fit_ellipse
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import weighted_scatter

if TYPE_CHECKING:
    from foldsketch.mesh.segmentation.segment import Segmentation


def describe_unexplained(where: str, segmentation: Segmentation, least: float = 5e-4) -> list[Finding]:
    """One finding for each stretch of unexplained surface above a share of the whole; the small ones in one."""
    body = segmentation.body
    rows = np.flatnonzero((segmentation.owner < 0) & (body.areas > 0))
    if len(rows) == 0:
        return []
    place = np.full(len(body.triangles), -1, dtype=np.int64)
    place[rows] = np.arange(len(rows))
    link = place[body.face_adjacency]
    link = link[(link >= 0).all(axis=1)]
    label = label_components(link, len(rows))
    area = np.bincount(label, weights=body.areas[rows])
    findings = []
    small = 0.0
    for k in np.argsort(-area)[:12]:
        share = float(area[k] / body.area)
        if share < least:
            break
        what = _describe_surface(segmentation, rows[label == k])
        findings.append(
            Finding("warning", where, f"{what} ({100 * share:.1f} % of the surface) is no round and is not measured")
        )
    told = float(np.sort(area)[::-1][: len(findings)].sum())
    small = float(area.sum()) - told
    if small > 1e-4 * body.area:
        findings.append(
            Finding(
                "note", where, f"{100 * small / body.area:.2f} % of the surface, in small bits, is left unexplained"
            )
        )
    return findings


def _describe_surface(segmentation: Segmentation, triangles: Ints) -> str:
    body = segmentation.body
    normals, weight = body.normals[triangles], body.areas[triangles]
    points = body.corners[np.unique(body.triangles[triangles])]
    values, vectors = np.linalg.eigh(weighted_scatter(normals, weight))
    along = _snap_direction(segmentation, vectors[:, 0]) if values[0] < 0.03 * values[1] else None
    if along is not None:
        u, v = perpendicular_axes(along)
        flat = np.column_stack((points @ u, points @ v))
        axes = fit_ellipse(flat)
        if axes is not None and axes[2] < max(4 * segmentation.tolerance, 2e-4 * axes[0]):
            return f"an oval wall, {format_number(2 * axes[0])} x {format_number(2 * axes[1])} across,"
        if values[0] < 2e-3 * values[1] or _is_closed_curve(flat):
            return "a curved wall that is no circle (a cam or the like)"
    if _is_surface_of_revolution(body.corners[body.triangles[triangles]].mean(axis=1), normals):
        return "a turned surface whose profile is neither straight nor an arc (a dome or the like)"
    return "a free-form surface"


def _snap_direction(segmentation: Segmentation, direction: Array) -> Array:
    """The direction of a face or an axis within 4 degrees of one that was estimated from tilted facets, or that one."""
    best, cosine = direction, float(np.cos(np.radians(4)))
    for f in segmentation.surfaces:
        c = abs(float(f.shape.direction @ direction))
        if f.shape.kind != "sphere" and c > cosine:
            best, cosine = f.shape.direction, c
    return best


def _is_closed_curve(flat: Array) -> bool:
    """Whether points (n, 2) lie along a closed curve round their middle, and not all over a band."""
    q = flat - flat.mean(axis=0)
    angle = np.arctan2(q[:, 1], q[:, 0])
    order = np.argsort(angle)
    angle, r = angle[order], np.hypot(q[:, 0], q[:, 1])[order]
    share = (angle[1:-1] - angle[:-2]) / np.maximum(angle[2:] - angle[:-2], 1e-12)
    rough = np.abs(r[1:-1] - r[:-2] - share * (r[2:] - r[:-2]))
    return bool(np.median(rough) < 2e-3 * r.mean())


def _is_surface_of_revolution(middles: Array, normals: Array) -> bool:
    """Whether the normals all meet one line, as on anything turned."""
    centre = middles.mean(axis=0)
    q = (middles - centre) / (float(np.abs(middles - centre).max()) or 1.0)
    values = np.linalg.svd(np.column_stack((np.cross(q, normals), normals)), compute_uv=False)
    return bool(values[-1] < 0.03 * values[0])
