"""Shells: which of them make one body (voids inside, solids that overlap) and which are only debris."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.findings import Finding, Quantity
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import (
    coordinate_bounds,
    grouped_bounds,
    row_dots,
    row_norms,
    rows_by_value,
    triangle_cross_products,
)
from foldsketch.mesh.repair import messages
from foldsketch.mesh.repair.unite import ClosedSolid, united

MAX_DEBRIS_SIZE_FRACTION = 0.02
"""A shell smaller than this share of the main one in every direction is debris."""

MAX_COMPARED_SHELLS = 60
"""Shells that are compared one by one, the largest first; the rest are bodies of their own."""

MIN_INSIDE_FRACTION, MIN_OVERLAP_FRACTION = 0.999, 0.001
"""Share of the points of a shell inside another from which it counts as inside it; as overlapping one not sound."""

MAX_TORN_FRACTION = 0.25
"""Share of its triangles at open edges up to which a shell with holes still counts as closed."""

Links = list[tuple[int, int]]


class GroupedShells(NamedTuple):
    """Bodies of a mesh. corners: (n, 3); triangles: (m, 3), outward; body: (m,) number of each one's, -1: left out."""

    corners: Array
    triangles: Ints
    body: Ints
    findings: list[Finding]


def group_shells_into_bodies(
    where: str, corners: Array, triangles: Ints, shell: Ints, open_edges: Ints, resolution: float
) -> GroupedShells:
    """The bodies of a mesh: a hollow belongs to the shell around it, and closed shells that overlap are united.

    shell: (m,) shell number of every triangle; resolution: mm, the step to which the coordinates are rounded.
    """
    measures = ShellMeasures(corners, triangles, shell)
    is_open = _open_shells(len(corners), triangles, shell, open_edges)
    debris = _debris(measures, is_open)
    largest_first = [int(k) for k in np.argsort(-measures.area) if not debris[k]]
    links = _links_of_open_shells(measures, [k for k in largest_first if is_open[k]])
    nested, meeting, depth = _compare_shells(measures, largest_first[:MAX_COMPARED_SHELLS], is_open, resolution)
    filled = [k for k, big in nested if measures.volume[k] >= 0 and measures.volume[big] > 0]
    inside_out = [k for k, n in depth.items() if n % 2 == 0 and measures.volume[k] < 0]
    if filled or inside_out:
        wrong = np.isin(shell, filled + inside_out)
        triangles = np.where(wrong[:, None], triangles[:, ::-1], triangles)
    solid = label_components(np.array(links + nested, dtype=np.int64).reshape(-1, 2), len(measures.area))
    operands, overlapping = _overlapping_solids(measures, triangles, solid, meeting)
    merged = label_components(np.array(overlapping, dtype=np.int64).reshape(-1, 2), len(measures.area))
    names, number = np.unique(merged[solid[~debris]], return_inverse=True)
    body_of_shell = np.full(len(debris), -1, dtype=np.int64)
    body_of_shell[~debris] = number
    findings = [
        *([messages.DEBRIS_LEFT_OUT.at(where, count=int(debris.sum()))] if debris.any() else []),
        *([messages.HOLLOW_INSIDE.at(where)] * len(filled)),
        *([messages.INSIDE_OUT_FIXED.at(where, count=len(inside_out))] if inside_out else []),
        *([messages.SEVERAL_BODIES.at(where, count=len(names))] if len(names) > 1 else []),
    ]
    if nested:
        volume = Quantity(sum(abs(float(measures.volume[k])) for k, _ in nested) / 1000, "cm3", 2)
        findings.append(messages.CLOSED_CAVITY.at(where, count=len(nested), volume=volume))
    found = GroupedShells(corners, triangles, body_of_shell[shell], findings)
    involved = np.unique(np.array(overlapping, dtype=np.int64))
    for rows in rows_by_value(merged[involved]):
        members = involved[rows]
        if all(operands[s].is_sound for s in members):
            findings.append(messages.BODIES_UNITED.at(where, count=len(members)))
            old = np.isin(solid[shell], members)
            own = body_of_shell[solid == members[0]][0]
            new_corners, new, _ = united(operands[s] for s in members)
            found = GroupedShells(
                np.concatenate((found.corners, new_corners)),
                np.concatenate((found.triangles[~old], new + len(found.corners))),
                np.concatenate((found.body[~old], np.full(len(new), own))),
                findings,
            )
            shell = np.concatenate((shell[~old], np.full(len(new), np.flatnonzero(solid == members[0])[0])))
        else:
            findings.append(messages.BODIES_OVERLAP.at(where))
    return found


def _overlapping_solids(
    measures: ShellMeasures, triangles: Ints, solid: Ints, meeting: Links
) -> tuple[dict[int, ClosedSolid], Links]:
    """Operands of booleans for the solids whose boxes meet, and the pairs of solids that overlap.

    solid: number of every shell's; meeting: shells whose boxes meet. Where one is not sound, points on it tell.
    """
    pairs: dict[tuple[int, int], Links] = {}
    for a, b in meeting:
        if solid[a] != solid[b]:
            pairs.setdefault((int(min(solid[a], solid[b])), int(max(solid[a], solid[b]))), []).append((a, b))
    of_triangle = solid[measures.shell]
    operands = {s: ClosedSolid(measures.corners, triangles[of_triangle == s]) for s in {s for p in pairs for s in p}}
    overlapping = []
    for (one, other), shells in pairs.items():
        if operands[one].is_sound and operands[other].is_sound:
            overlap = operands[one].overlaps(operands[other])
        else:
            overlap = any(
                max(measures.fraction_inside(a, b), measures.fraction_inside(b, a)) > MIN_OVERLAP_FRACTION
                for a, b in shells
            )
        if overlap:
            overlapping.append((one, other))
    return operands, overlapping


class ShellMeasures:
    """Area (n,) mm2, signed volume (n,) mm3 and box (n, 3) low and high, mm, of every shell of a mesh."""

    def __init__(self, corners: Array, triangles: Ints, shell: Ints) -> None:
        self.corners, self.triangles, self.shell = corners, triangles, shell
        count = int(shell.max()) + 1
        a, cross = triangle_cross_products(corners, triangles)
        self.area = np.bincount(shell, weights=row_norms(cross) / 2, minlength=count)
        if count == 1:
            self.low, self.high = (bound[None] for bound in coordinate_bounds(corners))
        else:
            bounds = [grouped_bounds(corners[triangles, k].ravel(), np.repeat(shell, 3), count) for k in range(3)]
            self.low, self.high = (np.column_stack(side) for side in zip(*bounds, strict=True))
        arm = a - ((self.low + self.high) / 2)[shell] if count > 1 else a
        self.volume = np.bincount(shell, weights=row_dots(arm, cross) / 6, minlength=count)

    def boxes_overlap(self, i: int, j: int, slack: float) -> bool:
        """Whether the boxes of two shells meet within slack mm."""
        return bool((self.low[i] < self.high[j] + slack).all() and (self.low[j] < self.high[i] + slack).all())

    def box_contains(self, big: int, small: int) -> bool:
        """Whether the box of one shell is inside that of another."""
        return bool((self.low[big] <= self.low[small]).all() and (self.high[big] >= self.high[small]).all())

    def sample_points(self, k: int, most: int = 48) -> Array:
        """Up to `most` points (n, 3) spread over a shell, the same ones every time."""
        mine = np.flatnonzero(self.shell == k)
        mine = mine[:: max(1, len(mine) // most)][:most]
        weights = np.array([0.21, 0.34, 0.45])
        out: Array = np.einsum("k,nkd->nd", weights, self.corners[self.triangles[mine]])
        return out

    def fraction_inside(self, small: int, big: int) -> float:
        """Share of points on one shell that are inside another."""
        surface = self.corners[self.triangles[self.shell == big]]
        return float((np.abs(winding_numbers(self.sample_points(small), surface)) > 0.5).mean())


def winding_numbers(points: Array, surface: Array) -> Array:
    """Winding number (k,) of a closed surface (m, 3, 3) about points (k, 3).

    Solid angles over 4 pi [Van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125; formula from memory].

    >>> corners = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]])
    >>> tetrahedron = corners[[[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]]
    >>> winding_numbers(np.array([[0.1, 0.1, 0.1], [2.0, 2, 2]]), tetrahedron).round(9).tolist()
    [1.0, 0.0]
    """
    out = np.empty(len(points))
    for i, p in enumerate(points):
        a, b, c = (surface[:, k] - p for k in range(3))
        la, lb, lc = row_norms(a), row_norms(b), row_norms(c)
        top = row_dots(a, np.cross(b, c))
        bottom = la * lb * lc + row_dots(a, b) * lc + row_dots(b, c) * la + row_dots(c, a) * lb
        out[i] = np.arctan2(top, bottom).sum() / (2 * np.pi)
    return out + 0.0


def _open_shells(count: int, triangles: Ints, shell: Ints, open_edges: Ints) -> Bools:
    """Shells of which much is open; a few holes do not make a shell a sheet. count: of corners."""
    at_rim = np.zeros(count, dtype=bool)
    at_rim[open_edges.ravel()] = True
    torn = np.bincount(shell, weights=at_rim[triangles].any(axis=1))
    out: Bools = torn > MAX_TORN_FRACTION * np.bincount(shell)
    return out


def _debris(measures: ShellMeasures, is_open: Bools) -> Bools:
    extent = (measures.high - measures.low).max(axis=1)
    main = int(np.argmax(measures.area))
    area, most = measures.area, measures.area[main]
    small = (extent < MAX_DEBRIS_SIZE_FRACTION * extent[main]) | (area < 1e-9 * most)
    out: Bools = small | (is_open & (area < 0.01 * most) & ~is_open[main])
    return out


def _links_of_open_shells(measures: ShellMeasures, pieces: list[int]) -> Links:
    """Open shells are pieces of one torn surface when their boxes meet; from the last compared on they all are."""
    return [
        (j, k)
        for i, k in enumerate(pieces)
        for j in (pieces[:i] if i < MAX_COMPARED_SHELLS else pieces[:1])
        if i >= MAX_COMPARED_SHELLS or measures.boxes_overlap(k, j, 1e-6)
    ]


def _compare_shells(
    measures: ShellMeasures, largest_first: list[int], is_open: Bools, resolution: float
) -> tuple[Links, Links, dict[int, int]]:
    """Hollows with the shell that each is in, others whose boxes meet, and how many shells each one is inside of."""
    nested: Links = []
    meeting: Links = []
    depth = dict.fromkeys(largest_first, 0)
    for i, small in enumerate(largest_first):
        holders = []
        for big in largest_first[:i]:
            if is_open[big] or is_open[small] or not measures.boxes_overlap(small, big, -resolution):
                continue
            if measures.box_contains(big, small) and measures.fraction_inside(small, big) > MIN_INSIDE_FRACTION:
                holders.append(big)
            else:
                meeting.append((big, small))
        depth[small] = len(holders)
        if len(holders) % 2:
            nested.append((small, holders[-1]))
    return nested, meeting, depth
