"""Revolve: everything that turns about a known axis, found in its half-plane (r, z)."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.revolved_profile import claim_profile_surfaces
from foldsketch.mesh.segmentation.surface_hypotheses import half_plane_coordinates, try_surface


def claim_surfaces_of_revolution(grower: RegionGrower, pool: Ints, point: Array, direction: Array) -> int:
    """Claim cylinders, cones, tori and spheres about an axis among the free triangles of a pool. Returns how many."""
    before = len(grower.surfaces)
    claim_cylinders(grower, pool, point, direction)
    claim_profile_surfaces(grower, pool, point, direction)
    return len(grower.surfaces) - before


def claim_cylinders(grower: RegionGrower, pool: Ints, point: Array, direction: Array) -> None:
    """Triangles whose three corners are equally far from the axis."""
    free = grower.unclaimed(pool)
    if len(free) < 2:
        return
    r, _, radial = half_plane_coordinates(grower, free, point, direction)
    slack = 4 * grower.tolerance
    if grower.off_surface is not None:
        free_corner: Bools = np.take(grower.off_surface, free, axis=0)
        r = np.where(free_corner & ~np.logical_and.reduce(free_corner, axis=1)[:, None], np.nan, r)
        middle = np.nanmean(r, axis=1)
        r = np.where(np.isnan(r), middle[:, None], r)
    middle = r.mean(axis=1)
    even = (np.ptp(r, axis=1) <= slack) & (np.abs(radial) > 0.5) & (middle > slack)
    rows = np.flatnonzero(even)
    if len(rows) < 2:
        return
    rows = rows[np.argsort(middle[rows])]
    breaks = np.flatnonzero(np.diff(middle[rows]) > slack) + 1
    groups = [g for g in np.split(rows, breaks) if len(g) >= 2]
    groups.sort(key=lambda g: -float(grower.body.areas[free[g]].sum()))
    for group in groups:
        seeds = grower.unclaimed(free[group])
        if len(seeds) < 2:
            continue
        outward = radial[group][grower.owner[free[group]] < 0] > 0
        for side in (seeds[outward], seeds[~outward]):
            if len(side) >= 2:
                radius = float(np.median(middle[group]))
                try_surface(grower, AnalyticSurface("cylinder", point, direction, radius), side, free)
