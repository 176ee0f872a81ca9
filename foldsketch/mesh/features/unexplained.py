"""Unexplained: surface that is neither flat nor a round, named as what it is: oval, cam, dome, free form."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.base.findings import Finding, mm, percent
from foldsketch.mesh.features import messages
from foldsketch.mesh.geometry.analytic_surface import perpendicular_axes
from foldsketch.mesh.geometry.circle_fit import fit_ellipse
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import rows_by_value, weighted_scatter
from foldsketch.mesh.segmentation.model import Segmentation

MAX_NAMED = 12
"""Stretches of unexplained surface that are named, the largest first."""

MIN_NAMED_FRACTION, MIN_REPORTED_FRACTION = 5e-4, 1e-4
"""Share of the surface from which a stretch is named, and the rest of them is reported."""

MAX_SNAP_ANGLE_DEG = 4.0
"""A direction estimated from tilted facets is taken as that of a face or an axis within this angle."""


def describe_unexplained(where: str, segmentation: Segmentation) -> list[Finding]:
    """One finding for each large stretch of unexplained surface; one for all the small ones."""
    body = segmentation.body
    rows = np.flatnonzero((segmentation.owner < 0) & (body.areas > 0))
    place = np.full(len(body.triangles), -1, dtype=np.int64)
    place[rows] = np.arange(len(rows))
    links = place[body.face_adjacency]
    links = links[(links >= 0).all(axis=1)]
    stretches = [rows[mine] for mine in rows_by_value(label_components(links, len(rows)))] if len(rows) else []
    shares = [float(body.areas[s].sum() / body.area) for s in stretches]
    largest_first = np.argsort(-np.array(shares), kind="stable").tolist()
    named = [k for k in largest_first[:MAX_NAMED] if shares[k] >= MIN_NAMED_FRACTION]
    findings = [_describe_surface(where, segmentation, stretches[k], shares[k]) for k in named]
    rest = sum(shares) - sum(shares[k] for k in named)
    if rest > MIN_REPORTED_FRACTION:
        findings.append(messages.SMALL_SURFACES.at(where, share=percent(rest, 2)))
    return findings


def _describe_surface(where: str, segmentation: Segmentation, triangles: Ints, share: float) -> Finding:
    body = segmentation.body
    normals = body.normals[triangles]
    values, vectors = np.linalg.eigh(weighted_scatter(normals, body.areas[triangles]))
    if values[0] < 0.03 * values[1]:  # all normals across one direction: a straight wall
        u, v = perpendicular_axes(_snap_direction(segmentation, vectors[:, 0]))
        points = body.corners[np.unique(body.triangles[triangles])]
        flat = np.column_stack((points @ u, points @ v))
        axes = fit_ellipse(flat)
        if axes is not None and axes[2] < max(4 * segmentation.tolerance, 2e-4 * axes[0]):
            long, short = (mm(2 * half, 3) for half in axes[:2])
            return messages.OVAL_WALL.at(where, long=long, short=short, share=percent(share))
        if values[0] < 2e-3 * values[1] or _is_closed_curve(flat):
            return messages.CURVED_WALL.at(where, share=percent(share))
    if _is_surface_of_revolution(body.corners[body.triangles[triangles]].mean(axis=1), normals):
        return messages.CURVED_PROFILE.at(where, share=percent(share))
    return messages.FREE_FORM.at(where, share=percent(share))


def _snap_direction(segmentation: Segmentation, direction: Array) -> Array:
    """The direction of a face or an axis near to one that was estimated, or that one."""
    best, cosine = direction, float(np.cos(np.radians(MAX_SNAP_ANGLE_DEG)))
    for f in segmentation.surfaces:
        c = abs(float(f.shape.direction @ direction))
        if f.shape.kind != "sphere" and c > cosine:
            best, cosine = f.shape.direction, c
    return best


def _is_closed_curve(flat: Array) -> bool:
    """Whether points (n, 2) are along a closed curve about their middle, and not all over a band."""
    q = flat - flat.mean(axis=0)
    angle = np.arctan2(q[:, 1], q[:, 0])
    order = np.argsort(angle)
    angle, r = angle[order], np.hypot(q[:, 0], q[:, 1])[order]
    share = (angle[1:-1] - angle[:-2]) / np.maximum(angle[2:] - angle[:-2], 1e-12)
    rough = np.abs(r[1:-1] - r[:-2] - share * (r[2:] - r[:-2]))
    return bool(np.median(rough) < 2e-3 * r.mean())


def _is_surface_of_revolution(middles: Array, normals: Array) -> bool:
    """Whether the normals all meet one line, as on anything turned. middles, normals: (m, 3) of triangles."""
    centre = middles.mean(axis=0)
    q = (middles - centre) / (float(np.abs(middles - centre).max()) or 1.0)
    values = np.linalg.svd(np.column_stack((np.cross(q, normals), normals)), compute_uv=False)
    return bool(values[-1] < 0.03 * values[0])
