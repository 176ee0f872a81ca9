"""Revolved profile: cones, tori and spheres about a known axis, by the line or arc that each is in its half-plane."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.circle_fit import fit_circle
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import corners_used
from foldsketch.mesh.segmentation.half_plane import HalfPlane
from foldsketch.mesh.segmentation.region_growing import RegionGrower

MAX_PIECES = 40
"""Connected stretches of a profile that are looked at, the largest first."""

MAX_TRIES, MAX_VAIN_TRIES = 40, 6
"""Seeds tried among scattered corners, and how many in vain before the stretch is given up."""

Chain = tuple[Array, list[Ints]]
"""A run of circles (n, 2) in r and z, and the triangles of each of the n - 1 steps between them."""


def claim_profile_surfaces(plane: HalfPlane) -> None:
    """Claim cones, tori and spheres among triangles whose normals are in planes through the axis."""
    grower, pool = plane.grower, plane.pool
    if len(pool) == 0:
        return
    r, z, outward = plane.coordinates(pool)
    along = grower.body.normals[pool] @ plane.direction
    rows = np.flatnonzero(outward**2 + along**2 > 0.9)
    if len(rows) == 0:
        return
    chosen = pool[rows]
    piece = label_components(grower.links_within(chosen), len(chosen))
    sizes = np.bincount(piece, weights=grower.body.areas[chosen])
    for k in np.argsort(-sizes)[:MAX_PIECES]:
        mine = np.flatnonzero(piece == k)
        if len(mine) >= 4:
            _claim_piece(plane, chosen[mine], r[rows[mine]], z[rows[mine]])


def _claim_piece(plane: HalfPlane, triangles: Ints, r: Array, z: Array) -> None:
    """One connected stretch of a profile: in steps where its corners are on few circles, else as scattered corners."""
    grower = plane.grower
    flat = np.column_stack((r.ravel(), z.ravel()))
    level = _group_corners_by_circle(flat, 6 * grower.tolerance)
    count = int(level.max()) + 1
    distinct = len(corners_used(len(grower.body.corners), grower.body.triangles[triangles]))
    chains = _profile_chains(triangles, level.reshape(-1, 3), flat) if count * 3 <= distinct or count <= 3 else []
    for chain in chains:
        _claim_tori_and_spheres(plane, chain)
    free = grower.owner[triangles] < 0
    if free.sum() >= 4:
        _claim_from_scattered_corners(plane, triangles[free], r[free], z[free])
    for chain in chains:
        _claim_cones(plane, chain)


def _group_corners_by_circle(points: Array, slack: float) -> Ints:
    """Number of the circle that each (r, z) of points (n, 2) is on: equal within slack."""
    from scipy.spatial import cKDTree

    cell = np.round(points / (8 * slack)).astype(np.int64)
    cell -= cell.min(axis=0)
    key = cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1]
    _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
    near = cKDTree(points[first]).query_pairs(12 * slack, output_type="ndarray")
    out: Ints = label_components(near, len(first))[inverse.reshape(-1)]
    return out


def _profile_chains(triangles: Ints, level: Ints, flat: Array) -> list[Chain]:
    """The profile as runs of straight steps from circle to circle.

    level: (m, 3) circle of every corner; flat: (3 m, 2) its r and z.
    """
    count = int(level.max()) + 1
    number = np.bincount(level.ravel(), minlength=count)
    site = np.column_stack([np.bincount(level.ravel(), weights=flat[:, k], minlength=count) / number for k in (0, 1)])
    low, high = level.min(axis=1), level.max(axis=1)
    plain = (low != high) & ((level == low[:, None]) | (level == high[:, None])).all(axis=1)
    bands = {
        (a, b): triangles[plain & (low == a) & (high == b)]
        for a, b in sorted(set(zip(low[plain].tolist(), high[plain].tolist(), strict=True)))
    }
    after: dict[int, list[int]] = {}
    for a, b in bands:
        after.setdefault(a, []).append(b)
        after.setdefault(b, []).append(a)
    return [
        (site[levels], [bands[min(a, b), max(a, b)] for a, b in pairwise(levels)]) for levels in _chain_levels(after)
    ]


def _chain_levels(after: dict[int, list[int]]) -> list[list[int]]:
    """Runs of levels, each linked to the next; they end where the profile ends or branches.

    after: the levels that each one is linked to.
    """
    chains: list[list[int]] = []
    done: set[tuple[int, int]] = set()
    ends = [n for n, near in after.items() if len(near) != 2] or list(after)[:1]
    for start in ends:
        for first in after[start]:
            if (start, first) in done:
                continue
            chain = [start, first]
            while len(after[chain[-1]]) == 2 and chain[-1] != start:
                one, other = after[chain[-1]]
                chain.append(other if one == chain[-2] else one)
            done |= {link for a, b in pairwise(chain) for link in ((a, b), (b, a))}
            chains.append(chain)
    return chains


def _claim_tori_and_spheres(plane: HalfPlane, chain: Chain) -> None:
    """Tori and spheres: at least three steps along one circle."""
    path, bands = chain
    i = 0
    while i < len(path) - 1:
        j = _arc_end(path, i, 4 * plane.grower.tolerance)
        if j - i >= 3:
            centre, tube, _ = fit_circle(path[i : j + 1])
            if plane.try_torus_or_sphere(centre, tube, np.concatenate(bands[i:j])) is not None:
                i = j
                continue
        i += 1


def _claim_cones(plane: HalfPlane, chain: Chain) -> None:
    """Straight stretches that are still free."""
    path, bands = chain
    i = 0
    while i < len(path) - 1:
        j = i + 1
        while j < len(path) - 1 and _is_straight(path[i : j + 2], 2 * plane.grower.tolerance):
            j += 1
        seeds = plane.grower.unclaimed(np.concatenate(bands[i:j]))
        if len(seeds) >= 2:
            plane.try_cone_or_cylinder(path[i], path[j], seeds)
        i = j


def _is_straight(path: Array, slack: float) -> bool:
    span = path[-1] - path[0]
    length = float(np.hypot(*span))
    off = np.abs((path - path[0]) @ np.array([-span[1], span[0]]))
    return length > 0 and bool(off.max() <= slack * length)


def _arc_end(path: Array, i: int, slack: float) -> int:
    """Last point up to which the path from i bends evenly along one circle; i when it does not."""
    best = i
    for j in range(i + 3, len(path)):
        part = path[i : j + 1]
        chord = np.diff(part, axis=0)
        length = np.hypot(chord[:, 0], chord[:, 1])
        turn = np.diff(np.unwrap(np.arctan2(chord[:, 1], chord[:, 0])))
        middle = length[1:-1] if len(length) > 3 else length
        even = length.max() < 2.2 * middle.min() and np.abs(turn).max() < np.radians(50) and np.abs(turn).min() > 1e-4
        if not even or ((turn > 0).any() and (turn < 0).any()) or fit_circle(part)[2] > slack:
            break
        best = j
    return best


def _claim_from_scattered_corners(plane: HalfPlane, triangles: Ints, r: Array, z: Array) -> None:
    """A profile whose corners are anywhere along it: lines and arcs grown from the largest triangles."""
    grower = plane.grower
    slack = 4 * grower.tolerance
    areas = grower.body.areas
    enough = 0.003 * areas[triangles].sum()
    alive = np.ones(len(triangles), dtype=bool)
    vain = 0
    for _ in range(MAX_TRIES):
        alive &= grower.owner[triangles] < 0
        rows = np.flatnonzero(alive)
        if len(rows) < 4 or vain >= MAX_VAIN_TRIES:
            return
        vain += 1
        seed = rows[np.argmax(areas[triangles[rows]])]
        alive[seed] = False
        for rings in (4, 2):
            near = _triangles_within_rings(grower, triangles[seed], triangles[rows], rings, 200)
            here = np.isin(triangles, near)
            flat = np.unique(np.column_stack((r[here].ravel(), z[here].ravel())), axis=0)
            a, b, off = _fit_line(flat)
            found = None
            if off <= slack:
                found = plane.try_cone_or_cylinder(a, b, near)
            elif len(flat) >= 4:
                centre, tube, misfit = fit_circle(flat)
                found = plane.try_torus_or_sphere(centre, tube, near) if misfit <= slack else None
            if found is not None:
                vain = 0 if grower.area_of(found.triangles) > enough else vain
                break


def _fit_line(flat: Array) -> tuple[Array, Array, float]:
    """Two points (2,) of the line nearest to points (n, 2) of the half-plane, and the largest distance to it."""
    middle = flat.mean(axis=0)
    _, _, axes = np.linalg.svd(flat - middle, full_matrices=False)
    t = (flat - middle) @ axes[0]
    off = float(np.abs((flat - middle) @ axes[1]).max()) if len(axes) > 1 else 0.0
    return middle + t.min() * axes[0], middle + t.max() * axes[0], off


def _triangles_within_rings(grower: RegionGrower, seed: int, pool: Ints, rings: int, most: int) -> Ints:
    """Triangles of the pool within some rings of edges about a seed, but not many more than `most`."""
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
