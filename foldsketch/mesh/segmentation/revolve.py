"""Revolve: everything that turns about a known axis, found in its half-plane (r, z)."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.mesh.geometry.surface_fit import AnalyticSurface
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.revolved_profile import claim_profile_surfaces
from foldsketch.mesh.segmentation.surface_hypotheses import half_plane_coordinates, try_surface


def claim_surfaces_of_revolution(field: RegionGrower, pool: Ints, point: Array, direction: Array) -> int:
    """Claim cylinders, cones, tori and spheres about an axis among the free triangles of a pool. Returns how many."""
    before = len(field.found)
    claim_cylinders(field, pool, point, direction)
    claim_profile_surfaces(field, pool, point, direction)
    return len(field.found) - before


def claim_cylinders(field: RegionGrower, pool: Ints, point: Array, direction: Array) -> None:
    """Triangles whose three corners are equally far from the axis."""
    free = field.free(pool)
    if len(free) < 2:
        return
    r, _, radial = half_plane_coordinates(field, free, point, direction)
    slack = 4 * field.reach
    if field.loose is not None:
        free_corner: Bools = np.take(field.loose, free, axis=0)
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
    groups.sort(key=lambda g: -float(field.body.areas[free[g]].sum()))
    for group in groups:
        seeds = field.free(free[group])
        if len(seeds) < 2:
            continue
        outward = radial[group][field.owner[free[group]] < 0] > 0
        for side in (seeds[outward], seeds[~outward]):
            if len(side) >= 2:
                radius = float(np.median(middle[group]))
                try_surface(field, AnalyticSurface("cylinder", point, direction, radius), side, free)
