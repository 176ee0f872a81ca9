"""Sew faces: faces that share an edge without the file saying so get the same corners along it.

An IGES file lists its faces side by side. The kernel divides the border of each face in its own way, so that the
corners of one face are amid the sides of the next. Every corner is on the true edge, so each border takes over those
of the others.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.cad.read_glb import CadSolid
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import row_dots, row_norms

MIN_JOIN_MM, JOIN_RATIO = 1e-3, 2e-5
"""Corners nearer than this are one: in mm, and as a share of the size of the solid."""

MAX_SMOOTH_TURN_RAD = 0.5
"""Sides of a border that meet at more than this meet at a corner of the face, not on a curve."""

SAGITTA_MARGIN = 2.5
"""How far from a side the true edge may be, over what the turn at its ends makes of it."""


def sew_faces(solid: CadSolid) -> CadSolid:
    """A solid whose faces meet corner to corner along their edges; the same where they do already."""
    number = solid.face[:, None]
    keys = np.column_stack((np.repeat(number, 3), solid.corners[solid.triangles].reshape(-1, 3)))
    unique, index = np.unique(keys, axis=0, return_inverse=True)
    corners: Array = unique[:, 1:].astype(np.float64)
    triangles = index.reshape(-1, 3)
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    _, first, count = np.unique(np.sort(sides, axis=1), axis=0, return_index=True, return_counts=True)
    border = first[count == 1]
    if len(border) == 0:
        return solid
    join = max(MIN_JOIN_MM, JOIN_RATIO * float(np.linalg.norm(np.ptp(corners, axis=0))))
    corners, same = _join_corners(corners, np.unique(sides[border]), join)
    inserted = _points_on_sides(corners, sides[border], same, join)
    new_triangles: list[tuple[int, int, int]] = []
    new_face: list[int] = []
    count_all = len(triangles)
    wanted = {int(border[k]): points for k, points in inserted.items()}
    touched = np.zeros(count_all, dtype=bool)
    touched[[side % count_all for side in wanted]] = True
    for k in np.flatnonzero(touched).tolist():
        pieces = _split(triangles[k].tolist(), [wanted.get(k + j * count_all, []) for j in range(3)])
        new_triangles += pieces
        new_face += [int(solid.face[k])] * len(pieces)
    made = np.array(new_triangles, dtype=np.int64).reshape(-1, 3)
    return replace(
        solid,
        corners=corners,
        triangles=np.concatenate((triangles[~touched], made)),
        face=np.concatenate((solid.face[~touched], np.array(new_face, dtype=np.int64))),
    )


def _join_corners(corners: Array, rim: Ints, join: float) -> tuple[Array, Ints]:
    """Corners (n, 3) with those of borders (rim: their numbers) that are nearer than join moved into one.

    With them a number (n,) that those in one place share.
    """
    pairs = cKDTree(corners[rim]).query_pairs(join, output_type="ndarray")
    label = label_components(pairs.astype(np.int64), len(rim))
    _, leader = np.unique(label, return_index=True)
    out, same = corners.copy(), np.arange(len(corners))
    same[rim] = rim[leader[label]]
    out[rim] = corners[same[rim]]
    return out, same


def _points_on_sides(corners: Array, sides: Ints, same: Ints, join: float) -> dict[int, list[int]]:
    """For each side (k, 2) of a border, in order along it, corners of other borders that are on the same edge."""
    start, end = sides.T
    along = corners[end] - corners[start]
    length = np.maximum(row_norms(along), 1e-300)
    unit = along / length[:, None]
    sagitta = length * _angles_spanned(sides, unit) / 8
    rim = np.unique(sides)
    middle = (corners[start] + corners[end]) / 2
    near = cKDTree(corners[rim]).query_ball_point(middle, length / 2 + join)
    out: dict[int, list[int]] = {}
    for k, rows in enumerate(near):
        others = rim[np.array(rows, dtype=np.int64)]
        others = others[(same[others] != same[start[k]]) & (same[others] != same[end[k]])]
        if len(others) == 0:
            continue
        arm = corners[others] - corners[start[k]]
        height = arm @ unit[k]
        off = row_norms(arm - np.outer(height, unit[k]))
        share = height / length[k]
        on = (share > 0) & (share < 1) & (off <= join + SAGITTA_MARGIN * 4 * share * (1 - share) * sagitta[k])
        if not on.any():
            continue
        _, once = np.unique(same[others[on]], return_index=True)
        chosen, at = others[on][once], height[on][once]
        out[k] = chosen[np.argsort(at)].tolist()
    return out


def _angles_spanned(sides: Ints, unit: Array) -> Array:
    """Radians (k,) that the curve under every side of a border spans; nothing for a straight one.

    At a corner a border turns by half of what the sides before and after it span. The side beyond tells its own part:
    a straight side that runs into an arc turns there by half a side of the arc, and that is none of its own.
    """
    follows = {int(a): k for k, a in enumerate(sides[:, 0])}
    successor = np.array([follows.get(int(b), -1) for b in sides[:, 1]])
    has = np.flatnonzero(successor >= 0)
    turn = np.full(len(sides), np.nan)  # at the end of every side
    turn[has] = np.arccos(np.clip(row_dots(unit[has], unit[successor[has]]), -1, 1))
    turn[turn > MAX_SMOOTH_TURN_RAD] = np.nan
    predecessor = np.full(len(sides), -1)
    predecessor[successor[has]] = has
    behind = np.where(predecessor >= 0, turn[predecessor], np.nan)  # at the start of every side
    after = np.where(successor >= 0, turn[successor], np.nan)  # at the end of the next side
    before = np.where(predecessor >= 0, behind[predecessor], np.nan)  # at the start of the one before
    here = [2 * own - np.where(np.isnan(far), own, far) for own, far in ((turn, after), (behind, before))]
    out: Array = np.maximum(np.nan_to_num(np.fmax(*here)), 0.0)
    return out


def _split(triangle: list[int], points: list[list[int]]) -> list[tuple[int, int, int]]:
    """A triangle cut into some that have the points along its three sides as corners, in order."""
    k = next((k for k in range(3) if points[k]), None)
    if k is None:
        return [(triangle[0], triangle[1], triangle[2])]
    a, b, c = (triangle[(k + j) % 3] for j in range(3))
    chain = [a, *points[k], b]
    from_b, from_c = points[(k + 1) % 3], points[(k + 2) % 3]
    out = _split([chain[0], chain[1], c], [[], [], from_c])
    out += [(p, q, c) for p, q in pairwise(chain[1:-1])]
    return out + _split([chain[-2], chain[-1], c], [[], from_b, []])
