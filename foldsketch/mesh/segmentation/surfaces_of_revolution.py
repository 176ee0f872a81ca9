"""Surfaces of revolution: everything that turns about a known axis."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.segmentation.half_plane import HalfPlane
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.revolved_profile import claim_profile_surfaces


def claim_surfaces_of_revolution(grower: RegionGrower, pool: Ints, point: Array, direction: Array) -> None:
    """Claim cylinders, cones, tori and spheres about an axis among the free triangles of a pool."""
    _claim_cylinders(HalfPlane(grower, grower.unclaimed(pool), point, direction))
    claim_profile_surfaces(HalfPlane(grower, grower.unclaimed(pool), point, direction))


def _claim_cylinders(plane: HalfPlane) -> None:
    """Triangles whose three corners are equally far from the axis, in groups of one distance, the largest first."""
    grower, pool = plane.grower, plane.pool
    if len(pool) < 2:
        return
    r, _, outward = plane.coordinates(pool)
    slack = 4 * grower.tolerance
    if grower.off_surface is not None:
        off: Bools = grower.off_surface[pool]
        r = np.where(off & ~off.all(axis=1, keepdims=True), np.nan, r)
        r = np.where(np.isnan(r), np.nanmean(r, axis=1)[:, None], r)
    middle = r.mean(axis=1)
    rows = np.flatnonzero((np.ptp(r, axis=1) <= slack) & (np.abs(outward) > 0.5) & (middle > slack))
    if len(rows) < 2:
        return
    rows = rows[np.argsort(middle[rows])]
    groups = np.split(rows, np.flatnonzero(np.diff(middle[rows]) > slack) + 1)
    groups = [g for g in groups if len(g) >= 2]
    groups.sort(key=lambda g: -grower.area_of(pool[g]))
    for group in groups:
        radius = float(np.median(middle[group]))
        free = group[grower.owner[pool[group]] < 0]
        for side in (free[outward[free] > 0], free[outward[free] <= 0]):
            if len(side) >= 2:
                plane.try_cylinder(radius, pool[side])
