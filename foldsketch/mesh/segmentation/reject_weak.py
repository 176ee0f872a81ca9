"""Doubt: partial rounds that only touch a free-form wall are given up again; what is no circle is no cylinder."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.ellipse_fit import fit_ellipse
from foldsketch.mesh.geometry.surface_fit import perpendicular_axes
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MIN_ROUGH_TOLERANCE_RATIO = 1e-5
"""Reach over size of a mesh with few decimals or with noise."""

MIN_PARTIAL_CYLINDER_AREA_FRACTION = 6e-4
"""Share of the surface below which a partial cylinder on such a mesh is not believed."""


def reject_weak_fits(field: RegionGrower) -> None:
    """Free the triangles of partial rounds that run on smoothly into surface that nobody has, in turns; and of walls
    of several arcs that one ellipse fits as well."""
    _absorb_small_fits(field)
    _reject_small_cylinders(field)
    for _ in range(8):
        doubtful = _fits_beside_unclaimed(field)
        if not doubtful:
            break
        for k in doubtful:
            field.owner[field.found[k].triangles] = -1
    _reject_ellipse_arcs(field)
    alive = [k for k, f in enumerate(field.found) if (field.owner[f.triangles] == k).any()]
    new = np.full(len(field.found) + 1, -1, dtype=np.int64)
    new[alive] = np.arange(len(alive))
    field.owner = new[field.owner]
    field.found = [field.found[k] for k in alive]


def _absorb_small_fits(field: RegionGrower) -> None:
    """Small bits of round that lie on a large one beside them, to within the rounding, belong to it."""
    body = field.body
    area = np.array([body.areas[f.triangles].sum() for f in field.found])
    order = np.argsort(-area)
    for k in order[::-1].tolist():
        bit = field.found[k]
        if bit.shape.kind == "plane" or bit.wrap > 200:
            continue
        points = field.points_of(bit.triangles)
        for j in np.unique(field.owner[field.partners(bit.triangles)]).tolist():
            if j < 0 or j == k or area[j] < 3 * area[k] or field.found[j].shape.kind == "plane":
                continue
            big = field.found[j]
            if big.inner == bit.inner and np.abs(big.shape.distance(points)).max() < 2.5 * field.reach:
                field.owner[bit.triangles] = j
                field.found[j] = replace(big, triangles=np.concatenate((big.triangles, bit.triangles)))
                field.found[k] = replace(bit, triangles=bit.triangles[:0])
                area[j] += area[k]
                break


def _reject_small_cylinders(field: RegionGrower) -> None:
    """On a rough mesh a small bit of a round may be no more than a few corners that happen to lie on one."""
    body = field.body
    if field.reach < MIN_ROUGH_TOLERANCE_RATIO * body.size:
        return
    for f in field.found:
        little = (
            f.shape.kind == "cylinder"
            and f.wrap < 180
            and body.areas[f.triangles].sum() < MIN_PARTIAL_CYLINDER_AREA_FRACTION * body.area
        )
        if little:
            field.owner[f.triangles] = -1


def _fits_beside_unclaimed(field: RegionGrower) -> list[int]:
    body, facets = field.body, field.facets
    one, other = field.owner[body.pairs[:, 0]], field.owner[body.pairs[:, 1]]
    span = body.corners[body.edges[:, 1]] - body.corners[body.edges[:, 0]]
    length = np.sqrt(np.einsum("ij,ij->i", span, span))
    count = len(field.found)
    border = one != other
    loose = border & facets.smooth & (np.abs(facets.bend) < np.radians(31))
    free = np.zeros(count)
    smooth = np.zeros(count)
    for a, b in ((one, other), (other, one)):
        rows = loose & (a >= 0)
        smooth += np.bincount(a[rows], weights=length[rows], minlength=count)
        rows &= b < 0
        free += np.bincount(a[rows], weights=length[rows], minlength=count)
    out = []
    for k, f in enumerate(field.found):
        if f.shape.kind in ("plane", "sphere") or f.wrap > 200 or not (field.owner[f.triangles] == k).any():
            continue
        if free[k] > 0.2 * smooth[k] and free[k] > 0:
            out.append(k)
    return out


def _reject_ellipse_arcs(field: RegionGrower) -> None:
    """Three or more parallel partial cylinders that hang together and lie on one ellipse."""
    body = field.body
    partial = [k for k, f in enumerate(field.found) if f.shape.kind == "cylinder" and f.wrap < 200]
    partial = [k for k in partial if (field.owner[field.found[k].triangles] == k).any()]
    if len(partial) < 3:
        return
    number = np.full(len(field.found) + 1, -1, dtype=np.int64)
    number[partial] = np.arange(len(partial))
    pairs = number[field.owner[body.pairs]]
    link = pairs[(pairs >= 0).all(axis=1) & (pairs[:, 0] != pairs[:, 1])]
    group = label_components(link, len(partial))
    for g in range(int(group.max()) + 1):
        mine = [partial[i] for i in np.flatnonzero(group == g)]
        direction = field.found[mine[0]].shape.direction
        if len(mine) < 3 or any(abs(float(field.found[k].shape.direction @ direction)) < 0.999 for k in mine):
            continue
        u, v = perpendicular_axes(direction)
        points = body.corners[np.unique(body.triangles[np.concatenate([field.found[k].triangles for k in mine])])]
        axes = fit_ellipse(np.column_stack((points @ u, points @ v)))
        if axes is not None and axes[2] < 2.5 * field.reach and axes[0] - axes[1] > 4 * field.reach:
            for k in mine:
                field.owner[field.found[k].triangles] = -1
