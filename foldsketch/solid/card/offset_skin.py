"""Offset of a skin: every face moves inwards by the same distance."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.solid.card.self_intersection import skin_self_intersects
from foldsketch.solid.joining.skin import Skin, enclosed_volume


def inset_skin(skin: Skin, depth: float) -> Skin | None:
    """The skin with every face moved inwards by depth mm.

    None if the faces of a corner no longer meet in a point, an edge would be reversed, or a wall is thinner than twice
    the depth so that its two faces would change places.
    """
    normals: list[list[Array]] = [[] for _ in skin.corners]
    for f in skin.faces:
        for v in {v for loop in f.loops for v in loop}:
            normals[v].append(f.normal)
    moved = np.empty_like(skin.corners)
    for v, own in enumerate(normals):
        n = np.array(own)
        away, *_ = np.linalg.lstsq(n, np.full(len(n), -depth), rcond=1e-9)
        if float(np.abs(n @ away + depth).max()) > 1e-9 * max(1.0, depth):
            return None
        moved[v] = skin.corners[v] + away
    for f in skin.faces:
        for loop in f.loops:
            ids = list(loop)
            before, after = skin.corners[ids], moved[ids]
            d, e = np.roll(before, -1, axis=0) - before, np.roll(after, -1, axis=0) - after
            if float((d * e).sum(axis=1).min()) <= 0:
                return None
    made = Skin(moved, skin.faces, skin.euler, enclosed_volume(moved, skin.faces))
    return None if skin_self_intersects(made) else made
