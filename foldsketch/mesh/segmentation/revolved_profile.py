"""Profile: cones, tori and spheres about a known axis, by the line or arc that they are in its half-plane."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import corners_used
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.surface_hypotheses import (
    half_plane_coordinates,
    try_cone_or_cylinder,
    try_torus_or_sphere,
)


def claim_profile_surfaces(grower: RegionGrower, pool: Ints, point: Array, direction: Array) -> None:
    """Cones, tori and spheres: triangles whose normals lie in planes through the axis, by their profile."""
    free = grower.unclaimed(pool)
    if len(free) < 2:
        return
    r, z, radial = half_plane_coordinates(grower, free, point, direction)
    along = grower.body.normals[free] @ direction
    meridian = radial**2 + along**2 > 0.9
    rows = np.flatnonzero(meridian)
    if len(rows) < 3:
        return
    chosen, r, z = free[rows], r[rows], z[rows]
    piece = label_components(grower.links_within(chosen), len(chosen))
    sizes = np.bincount(piece, weights=grower.body.areas[chosen])
    for k in np.argsort(-sizes)[:40]:
        mine = np.flatnonzero(piece == k)
        if len(mine) >= 4:
            _claim_profile_piece(grower, chosen[mine], r[mine], z[mine], point, direction, free)


def _claim_profile_piece(
    grower: RegionGrower, triangles: Ints, r: Array, z: Array, point: Array, direction: Array, pool: Ints
) -> None:
    """One connected stretch of a profile: steps when its corners lie on few circles, else a cloud."""
    slack = 6 * grower.tolerance
    flat = np.column_stack((r.ravel(), z.ravel()))
    level = _group_corners_by_circle(flat, slack)
    count = int(level.max()) + 1
    distinct = len(corners_used(len(grower.body.corners), grower.body.triangles[triangles]))
    chains = []
    if count * 3 <= distinct or count <= 3:
        chains = _profile_chains(triangles, level.reshape(-1, 3), flat)
        for path, bands in chains:
            _claim_tori_and_spheres(grower, path, bands, pool, point, direction)
    rest = grower.unclaimed(triangles)
    if len(rest) >= 4:
        keep = np.isin(triangles, rest)
        _claim_from_scattered_corners(grower, triangles[keep], r[keep], z[keep], point, direction, pool)
    for path, bands in chains:
        _claim_cones(grower, path, bands, pool, point, direction)


def _group_corners_by_circle(points: Array, slack: float) -> Ints:
    """Number of the circle that each (r, z) lies on: equal within slack."""
    cell = np.round(points / (8 * slack)).astype(np.int64)
    key = cell[:, 0] * 4_000_037 + cell[:, 1]
    _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    sites = points[first]
    from scipy.spatial import cKDTree

    near = cKDTree(sites).query_pairs(12 * slack, output_type="ndarray")
    label = label_components(near.astype(np.int64), len(sites)) if len(near) else np.arange(len(sites))
    out: Ints = label[inverse.reshape(-1)]
    return out


def _profile_chains(triangles: Ints, level: Ints, flat: Array) -> list[tuple[Array, list[Ints]]]:
    """A profile of straight steps between circles: runs of circles (n, 2) and the triangles of each step."""
    count = int(level.max()) + 1
    number = np.bincount(level.ravel(), minlength=count)
    site = np.column_stack([np.bincount(level.ravel(), weights=flat[:, k], minlength=count) / number for k in (0, 1)])
    low, high = level.min(axis=1), level.max(axis=1)
    plain = (low != high) & ((level == low[:, None]) | (level == high[:, None])).all(axis=1)
    key = low * count + high
    bands = {int(b): triangles[plain & (key == b)] for b in np.unique(key[plain])}
    after: dict[int, list[int]] = {}
    for b in bands:
        after.setdefault(b // count, []).append(b % count)
        after.setdefault(b % count, []).append(b // count)
    return [
        (site[chain], [bands[min(a, b) * count + max(a, b)] for a, b in pairwise(chain)])
        for chain in _chain_levels(after)
    ]


def _chain_levels(after: dict[int, list[int]]) -> list[list[int]]:
    """Runs of levels, each linked to the next; they end where the profile ends or branches."""
    chains: list[list[int]] = []
    done: set[tuple[int, int]] = set()
    ends = [n for n, near in after.items() if len(near) != 2] or list(after)[:1]
    for start in ends:
        for first in after[start]:
            if (start, first) in done:
                continue
            chain, here = [start], first
            last = start
            while True:
                done |= {(last, here), (here, last)}
                chain.append(here)
                ahead = [n for n in after[here] if n != last]
                if len(after[here]) != 2 or not ahead or here == start:
                    break
                last, here = here, ahead[0]
            chains.append(chain)
    return chains


def _claim_tori_and_spheres(
    grower: RegionGrower, path: Array, bands: list[Ints], pool: Ints, point: Array, direction: Array
) -> None:
    """Tori and spheres: at least three steps along one circle."""
    i = 0
    while i < len(path) - 1:
        j = _arc_end(path, i, 4 * grower.tolerance)
        if j - i >= 3:
            centre, tube, _ = fit_circle(path[i : j + 1])
            if (
                try_torus_or_sphere(grower, centre, tube, np.concatenate(bands[i:j]), pool, point, direction)
                is not None
            ):
                i = j
                continue
        i += 1


def _claim_cones(
    grower: RegionGrower, path: Array, bands: list[Ints], pool: Ints, point: Array, direction: Array
) -> None:
    """Straight stretches that are still free."""
    i = 0
    while i < len(path) - 1:
        j = i + 1
        while j < len(path) - 1 and _is_straight(path[i : j + 2], 2 * grower.tolerance):
            j += 1
        seeds = grower.unclaimed(np.concatenate(bands[i:j]))
        if len(seeds) >= 2:
            try_cone_or_cylinder(grower, path[i], path[j], seeds, pool, point, direction)
        i = j


def _is_straight(path: Array, slack: float) -> bool:
    span = path[-1] - path[0]
    length = float(np.hypot(*span))
    if length == 0:
        return False
    off = np.abs((path - path[0]) @ np.array([-span[1], span[0]])) / length
    return bool(off.max() <= slack)


def _arc_end(path: Array, i: int, slack: float) -> int:
    """Last point up to which the path from i bends evenly along one circle; i when it does not."""
    j = i + 3
    best = i
    while j < len(path):
        part = path[i : j + 1]
        chord = np.diff(part, axis=0)
        length = np.hypot(chord[:, 0], chord[:, 1])
        turn = np.diff(np.unwrap(np.arctan2(chord[:, 1], chord[:, 0])))
        middle = length[1:-1] if len(length) > 3 else length
        even = length.max() < 2.2 * middle.min() and np.abs(turn).max() < np.radians(50) and np.abs(turn).min() > 1e-4
        if not even or ((turn > 0).any() and (turn < 0).any()) or fit_circle(part)[2] > slack:
            break
        best = j
        j += 1
    return best


def _claim_from_scattered_corners(
    grower: RegionGrower, triangles: Ints, r: Array, z: Array, point: Array, direction: Array, pool: Ints
) -> None:
    """A profile whose corners lie anywhere along it: lines and arcs grown from the largest triangles."""
    slack = 4 * grower.tolerance
    tries = vain = 0
    least = 0.003 * grower.body.areas[triangles].sum()
    alive = np.ones(len(triangles), dtype=bool)
    while tries < 40 and vain < 6:
        alive &= grower.owner[triangles] < 0
        rows = np.flatnonzero(alive)
        if len(rows) < 4:
            return
        tries += 1
        vain += 1
        seed = rows[np.argmax(grower.body.areas[triangles[rows]])]
        alive[seed] = False
        for rings in (4, 2):
            before = len(grower.surfaces)
            near = triangles_within_rings(grower, triangles[seed], triangles[rows], rings, 200)
            here = np.isin(triangles, near)
            flat = np.unique(np.column_stack((r[here].ravel(), z[here].ravel())), axis=0)
            line, off = _fit_line(flat)
            if (
                off <= slack
                and try_cone_or_cylinder(grower, line[0], line[1], near, pool, point, direction) is not None
            ):
                break
            if off > slack and len(flat) >= 4:
                centre, tube, misfit = fit_circle(flat)
                if (
                    misfit <= slack
                    and try_torus_or_sphere(grower, centre, tube, near, pool, point, direction) is not None
                ):
                    break
        if len(grower.surfaces) > before and grower.body.areas[grower.surfaces[-1].triangles].sum() > least:
            vain = 0


def _fit_line(flat: Array) -> tuple[tuple[Array, Array], float]:
    """Two points of the straight line nearest to points (n, 2) of the half-plane, and the largest distance to it."""
    middle = flat.mean(axis=0)
    _, _, turned = np.linalg.svd(flat - middle, full_matrices=False)
    t = (flat - middle) @ turned[0]
    off = float(np.abs((flat - middle) @ turned[1]).max()) if len(turned) > 1 else 0.0
    return (middle + t.min() * turned[0], middle + t.max() * turned[0]), off


def triangles_within_rings(grower: RegionGrower, seed: int, pool: Ints, rings: int, most: int) -> Ints:
    """Triangles of the pool within some rings of edges about a seed."""
    mine = np.array([seed], dtype=np.int64)
    allowed = np.zeros(len(grower.owner), dtype=bool)
    allowed[pool] = True
    for _ in range(rings):
        grown = grower.adjacent_triangles(mine)
        grown = np.union1d(grown[allowed[grown]], mine)
        if len(grown) == len(mine) or len(grown) > most:
            break
        mine = grown
    return mine
