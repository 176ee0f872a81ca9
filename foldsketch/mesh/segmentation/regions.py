"""Regions: smoothly connected triangles that are no sure planes, and the surfaces claimed in each."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import rows_by_value
from foldsketch.mesh.segmentation.border_growth import absorb_border
from foldsketch.mesh.segmentation.edge_classes import EdgeClasses
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.rim_circles import RimCircle
from foldsketch.mesh.segmentation.seed_growing import grow_from_seeds
from foldsketch.mesh.segmentation.surfaces_of_revolution import claim_surfaces_of_revolution

MIN_SEED_GROWTH_FRACTION = 0.01
"""A region of most of the body from whose seeds no more than this share of the body grew is a free form."""

MAX_ROUNDS = 6
"""Rounds of seeds in a region, each followed by what turns about the axes that they found."""


def smooth_regions(edges: EdgeClasses) -> list[Ints]:
    """Triangles that are no sure planes, connected over smooth edges: those of each region, the largest first."""
    body = edges.body
    candidate = ~edges.surely_flat & (body.areas > 0)
    link = (edges.smooth | edges.flat) & candidate[body.face_adjacency].all(axis=1)
    label = label_components(body.face_adjacency[link], len(body.triangles))
    rows = np.flatnonzero(candidate)
    regions = [rows[mine] for mine in rows_by_value(label[rows]) if len(mine) >= 4]
    regions.sort(key=lambda triangles: -float(body.areas[triangles].sum()))
    return regions


def rims_of_regions(rims: list[RimCircle], regions: list[Ints], count: int) -> list[list[RimCircle]]:
    """The rim circles at each region; count: how many triangles the body has."""
    home = np.full(count, -1, dtype=np.int64)
    for k, triangles in enumerate(regions):
        home[triangles] = k
    out: list[list[RimCircle]] = [[] for _ in regions]
    for rim in rims:
        for k in np.unique(home[rim.triangles]).tolist():
            if k >= 0:
                out[k].append(rim)
    return out


def segment_region(grower: RegionGrower, pool: Ints, rims: list[RimCircle], tries: int) -> None:
    """Claim what turns about the axes of a region's rims, and what grows from seeds. tries: seeds in vain."""
    first = len(grower.surfaces)
    axes: list[RimCircle] = []
    for rim in rims:
        if any(_are_on_one_axis(rim, axis, grower.tolerance) for axis in axes):
            continue
        axes.append(rim)
        claim_surfaces_of_revolution(grower, pool, rim.centre, rim.normal)
        if len(grower.unclaimed(pool)) < 4:
            break
    is_most = grower.area_of(pool) > 0.5 * grower.body.area
    for _ in range(MAX_ROUNDS):
        for number in range(first, len(grower.surfaces)):
            absorb_border(grower, number)
        first = len(grower.surfaces)
        if len(grower.unclaimed(pool)) < 4:
            return
        made = grow_from_seeds(grower, pool, tries)
        gained = sum(grower.area_of(f.triangles) for f in made)
        if not made or (is_most and gained < MIN_SEED_GROWTH_FRACTION * grower.body.area):
            return
        for surface in made:
            if surface.shape.kind != "sphere":
                claim_surfaces_of_revolution(grower, pool, surface.shape.point, surface.shape.direction)


def _are_on_one_axis(rim: RimCircle, axis: RimCircle, tolerance: float) -> bool:
    if abs(float(axis.normal @ rim.normal)) < 1 - 1e-10:
        return False
    off: Array = rim.centre - axis.centre
    off = off - axis.normal * float(off @ axis.normal)
    return float(np.linalg.norm(off)) < 4 * tolerance
