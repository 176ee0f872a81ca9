"""Nest: which shells make one body — voids inside, lumps that overlap — and which are only dirt."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.findings import Finding
from foldsketch.mesh.geometry.measure import triangle_cross_products

MAX_DEBRIS_SIZE_FRACTION = 0.02
"""A shell smaller than this share of the whole in every direction is dirt beside it."""

MAX_COMPARED_SHELLS = 60
"""Shells beyond this number are not held against each other one by one."""


def group_shells_into_bodies(
    where: str, corners: Array, triangles: Ints, shell: Ints, open_ends: Ints, resolution: float
) -> tuple[Ints, Ints, list[Finding]]:
    """Body number of every triangle (-1: left out), the triangles rightly wound, and what is to be told.

    shell: (m,) shell number of every triangle.
    """
    findings: list[Finding] = []
    count = int(shell.max()) + 1
    facts = _ShellMeasures(corners, triangles, shell, count)
    open_shell = np.zeros(count, dtype=bool)
    if len(open_ends):
        rim = np.zeros(len(corners), dtype=bool)
        rim[open_ends.ravel()] = True
        torn = np.bincount(shell, weights=rim[triangles].any(axis=1), minlength=count)
        open_shell = torn > 0.25 * np.bincount(shell, minlength=count)  # a few holes do not make a sheet of a shell
    keep = _mask_without_debris(where, facts, open_shell, findings)
    parent = np.arange(count)
    _unite_open_shells(corners, triangles, shell, facts, open_shell, keep, parent)
    listed = [int(k) for k in np.argsort(-facts.area) if keep[k]][:MAX_COMPARED_SHELLS]
    turn = np.zeros(count, dtype=bool)
    depth = dict.fromkeys(listed, 0)
    overlaps = 0
    for i, small in enumerate(listed):
        holders = []
        for big in listed[:i]:
            if open_shell[big] or open_shell[small] or not facts.boxes_overlap(small, big, -resolution):
                continue
            share = facts.fraction_inside(small, big)
            if share > 0.999 and facts.box_contains(big, small):
                holders.append(big)
            elif share > 0.001 or facts.fraction_inside(big, small) > 0.001:
                overlaps += 1
                _unite(parent, big, small)
        depth[small] = len(holders)
        if holders:
            holder = holders[-1]
            hollow = facts.volume[small] < 0
            if len(holders) % 2 and not hollow and facts.volume[holder] > 0:
                findings.append(
                    Finding(
                        "warning",
                        where,
                        "a closed surface lies wholly inside the body; it is read as a hollow",
                        "take it out if it is no hollow",
                    )
                )
                turn[small] = True
            if len(holders) % 2:
                _unite(parent, holder, small)
    inside_out = [k for k in listed if depth[k] % 2 == 0 and facts.volume[k] < 0]
    if inside_out:
        turn[inside_out] = True
        what = "was inside out" if count == 1 else f"{len(inside_out)} of its shells were inside out"
        findings.append(Finding("warning", where, what + "; turned"))
    if turn.any():
        triangles = triangles.copy()
        mine = turn[shell]
        triangles[mine] = triangles[mine][:, ::-1]
    if overlaps:
        findings.append(
            Finding(
                "warning",
                where,
                "bodies overlap or touch without being joined; they are read together as one part",
                "join them before exporting for exact volumes",
            )
        )
    root = np.array([_root(parent, k) for k in range(count)])
    names, number = np.unique(root[keep], return_inverse=True)
    body_of_shell = np.full(count, -1, dtype=np.int64)
    body_of_shell[keep] = number
    if len(names) > 1:
        findings.append(
            Finding(
                "note",
                where,
                f"holds {len(names)} separate bodies; each has its own reading",
                "name one to read it alone",
            )
        )
    return body_of_shell[shell], triangles, findings


def _root(parent: Ints, k: int) -> int:
    while parent[k] != k:
        k = int(parent[k])
    return k


def _unite(parent: Ints, a: int, b: int) -> None:
    one, other = sorted((_root(parent, a), _root(parent, b)))
    parent[other] = one


class _ShellMeasures:
    """Area, volume and box of every shell."""

    def __init__(self, corners: Array, triangles: Ints, shell: Ints, count: int) -> None:
        self.corners, self.triangles, self.shell = corners, triangles, shell
        a, cross = triangle_cross_products(corners, triangles)
        size = np.sqrt(np.einsum("ij,ij->i", cross, cross)) / 2
        self.area = np.bincount(shell, weights=size, minlength=count)
        self.low = np.full((count, 3), np.inf)
        self.high = np.full((count, 3), -np.inf)
        if count == 1:
            self.low[0] = [corners[:, k].min() for k in range(3)]
            self.high[0] = [corners[:, k].max() for k in range(3)]
        else:
            for k in range(3):
                np.minimum.at(self.low, shell, corners[triangles[:, k]])
                np.maximum.at(self.high, shell, corners[triangles[:, k]])
        arm = a - ((self.low + self.high) / 2)[shell] if count > 1 else a
        self.volume = np.bincount(shell, weights=np.einsum("ij,ij->i", arm, cross) / 6, minlength=count)

    def boxes_overlap(self, i: int, j: int, slack: float) -> bool:
        return bool((self.low[i] < self.high[j] + slack).all() and (self.low[j] < self.high[i] + slack).all())

    def box_contains(self, big: int, small: int) -> bool:
        return bool((self.low[big] <= self.low[small]).all() and (self.high[big] >= self.high[small]).all())

    def sample_points(self, k: int, most: int = 48) -> Array:
        """Up to `most` points spread over a shell, the same ones every time."""
        mine = np.flatnonzero(self.shell == k)
        mine = mine[:: max(1, len(mine) // most)][:most]
        weights = np.array([0.21, 0.34, 0.45])
        out: Array = np.einsum("k,nkd->nd", weights, self.corners[self.triangles[mine]])
        return out

    def fraction_inside(self, small: int, big: int) -> float:
        """Share of the points on one shell that lie inside another (winding number above a half)."""
        points = self.sample_points(small)
        surface = self.corners[self.triangles[self.shell == big]]
        return float((np.abs(winding_numbers(points, surface)) > 0.5).mean())


def winding_numbers(points: Array, surface: Array) -> Array:
    """Winding number of a closed surface (m, 3, 3) about points (k, 3): solid angles over 4 pi
    [Van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125; formula from memory]."""
    out = np.empty(len(points))
    for i, p in enumerate(points):
        a, b, c = (surface[:, k] - p for k in range(3))
        la, lb, lc = (np.sqrt(np.einsum("ij,ij->i", v, v)) for v in (a, b, c))
        top = np.einsum("ij,ij->i", a, np.cross(b, c))
        bottom = (
            la * lb * lc
            + np.einsum("ij,ij->i", a, b) * lc
            + np.einsum("ij,ij->i", b, c) * la
            + np.einsum("ij,ij->i", c, a) * lb
        )
        out[i] = np.arctan2(top, bottom).sum() / (2 * np.pi)
    return out


def _mask_without_debris(where: str, facts: _ShellMeasures, open_shell: Bools, findings: list[Finding]) -> Bools:
    extent = (facts.high - facts.low).max(axis=1)
    main = int(np.argmax(facts.area))
    small = (extent < MAX_DEBRIS_SIZE_FRACTION * extent[main]) | (facts.area < 1e-9 * facts.area[main])
    loose = open_shell & (facts.area < 0.01 * facts.area[main]) & ~open_shell[main]
    dirt = small | loose
    if dirt.any():
        findings.append(
            Finding("warning", where, f"{int(dirt.sum())} loose bits far smaller than the part were left out")
        )
    keep: Bools = ~dirt
    return keep


def _unite_open_shells(
    corners: Array,
    triangles: Ints,
    shell: Ints,
    facts: _ShellMeasures,
    open_shell: Bools,
    keep: Bools,
    parent: Ints,
) -> None:
    """Open shells are pieces of one torn surface when they share corners or their boxes meet."""
    pieces = [int(k) for k in np.argsort(-facts.area) if keep[k] and open_shell[k]]
    for i, k in enumerate(pieces):
        for j in pieces[:i] if i < MAX_COMPARED_SHELLS else pieces[:1]:
            if i >= MAX_COMPARED_SHELLS or facts.boxes_overlap(k, j, 1e-6):
                _unite(parent, j, k)
