"""Folding: where the panels of a piece are in space, from its folds alone, and where tabs are behind panels."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from foldsketch.base.arrays import Array, segments_to_array
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.model import Fold, Piece, Tab

PanelPlacement = tuple[Array, Array]
"""(3, 3) rotation and (3,) shift: from a piece's paper to space."""


def fold_transforms(lines: Array, angles: Array) -> tuple[Array, Array]:
    """Rotations (n, 3, 3) and shifts (n, 3) that turn the paper beyond fold lines by their angles.

    lines: (n, 2, 2) mm, in the paper's plane; angles: (n,) radians; positive bends away from the printed side.
    Rodrigues' formula for an axis in the plane.
    """
    d = lines[:, 1] - lines[:, 0]
    d = d / np.sqrt((d * d).sum(axis=1))[:, None]
    c, s = np.cos(angles), np.sin(angles)
    r = np.zeros((len(lines), 3, 3))
    x, y = d[:, 0], d[:, 1]
    r[:, 0, 0] = c + x * x * (1 - c)
    r[:, 1, 1] = c + y * y * (1 - c)
    r[:, 0, 1] = r[:, 1, 0] = x * y * (1 - c)
    r[:, 2, 2] = c
    r[:, 0, 2], r[:, 2, 0] = y * s, -y * s
    r[:, 1, 2], r[:, 2, 1] = -x * s, x * s
    p = np.column_stack((lines[:, 0], np.zeros(len(lines))))
    return r, p - np.einsum("nij,nj->ni", r, p)


def fold_piece(piece: Piece) -> dict[int, PanelPlacement]:
    """Every panel of a piece in space, by its id, from the folds alone.

    The first panel is where the net says it is; all others follow by folding. Panels on no fold are left out.
    """
    return follow_folds(piece, *transforms_of(piece.folds))


def transforms_of(folds: Sequence[Fold]) -> tuple[Array, Array]:
    """Rotations (n, 3, 3) and shifts (n, 3) of the paper beyond folds.

    That is of the second panel, for the first one is left of the line.
    """
    return fold_transforms(segments_to_array([f.line for f in folds]), np.array([f.angle for f in folds]))


def follow_folds(piece: Piece, r: Array, t: Array) -> dict[int, PanelPlacement]:
    """fold_piece with the transforms (n, 3, 3) and (n, 3) of its folds."""
    links: dict[int, list[tuple[int, Array, Array]]] = {p.id: [] for p in piece.panels}
    for (a, b), rk, tk in zip((f.panels for f in piece.folds), r, t, strict=True):
        # Seen from the second panel the line runs the other way, and the same angle bends the first one back.
        links[a].append((b, rk, tk))
        links[b].append((a, rk.T, -rk.T @ tk))
    root = piece.panels[0]
    place = {root.id: (root.to_space, root.origin)}
    queue = [root.id]
    for panel in queue:
        m, o = place[panel]
        for other, rk, tk in links[panel]:
            if other not in place:
                place[other] = (m @ rk, m @ tk + o)
                queue.append(other)
    return place


def tabs_behind_panels(tabs: Sequence[Tab], flaps: RaggedPolygons) -> RaggedPolygons:
    """Tabs as they are behind the panels they meet: turned and moved until their roots are on the edges.

    Those under a block lie on the printed side of what it stands on, their own printed side down: mirrored.
    """
    z = flaps.points[:, 0] + 1j * flaps.points[:, 1]
    ends = segments_to_array([line for t in tabs for line in (t.line, t.meets.line[::-1])]).reshape(-1, 8)
    a, b, c, d = ((ends[:, k] + 1j * ends[:, k + 1])[flaps.shape_of_points] for k in (0, 2, 4, 6))
    along = (z - a) / (b - a)
    under = np.array([t.joint is not None for t in tabs])[flaps.shape_of_points]
    placed = c + (d - c) * np.where(under, along.conj(), along)
    return RaggedPolygons(np.column_stack((placed.real, placed.imag)), flaps.ring_sizes, flaps.ring_counts)
