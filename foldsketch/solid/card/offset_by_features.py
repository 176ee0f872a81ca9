"""Remade: a fused block drawn in by way of its features, where its corners have no one place to go to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import manifold3d as m3
import numpy as np

from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.base.vector import cross
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.prism import Face, Prism
from foldsketch.solid.joining.blocks import Block
from foldsketch.solid.joining.kernel import closed_skin, to_manifold
from foldsketch.solid.joining.skin import Skin, face_planes, skin_of_prism
from foldsketch.solid.joining.through_bores import is_upright_extrusion

COPLANAR_TOLERANCE_MM = 1e-7
"""Planes nearer than this, mm, are one."""


def offset_block(
    faceted: FacetedPart, block: Block, depth: float, tolerance: Tolerance = DEFAULT_TOLERANCE
) -> Skin | None:
    """The block's skin with every face moved inwards by depth mm: its material drawn in, its cuts widened, and all of
    it fused anew. Where more than three faces meet in a corner, short edges come of it. None where other faces would
    come of it."""
    own = sorted({f.feature for f in block.skin.faces} | set(block.features))
    first = m3.Manifold.reserve_ids(len(own))
    before, prisms = faceted.prisms, list(faceted.prisms)
    solids: dict[int, m3.Manifold] = {}
    whole: m3.Manifold | None = None
    for k, i in enumerate(own):
        moved = _offset_prism(before[i], -depth if before[i].cut else depth)
        if moved is None:
            return None
        prisms[i], solids[i] = moved, to_manifold(moved, first + k)
        if whole is None:
            whole = solids[i]
        elif moved.cut:
            whole = whole - solids[i]
        else:
            whole = whole + solids[i]
            for plug in _gap_fillers(before, solids, i, depth, tolerance):
                whole = whole + plug
    bodies = [b for b in whole.decompose() if b.volume() > tolerance.area] if whole is not None else []
    if len(bodies) != 1:
        return None
    runs = {first + k: i for k, i in enumerate(own)}
    skin = closed_skin(bodies[0], prisms, runs, faceted.datum_direction, tolerance)
    return skin if skin is not None and _has_same_faces(block.skin, skin, depth) else None


def _offset_prism(prism: Prism, depth: float) -> Prism | None:
    """A feature's prism drawn in by depth mm, or widened where that is negative."""
    skin = inset_skin(skin_of_prism(prism), depth)
    if skin is None:
        return None
    corners = skin.corners.copy()
    if prism.frame.along_z:
        # Faces that lay in one plane lie in one again, to the last bit.
        corners[:, 2] = np.round(corners[:, 2], 9)
    return replace(prism, corners=corners, low=corners.min(axis=0), high=corners.max(axis=0))


def _gap_fillers(
    before: Sequence[Prism], solids: dict[int, m3.Manifold], last: int, depth: float, tolerance: Tolerance
) -> list[m3.Manifold]:
    """What fills the gap between the last feature and earlier ones that it stood on or under, each drawn in by depth:
    what both have in common when they are moved into each other, without what was cut in between."""
    found = []
    for i in solids:
        if i == last or before[i].cut or not (is_upright_extrusion(before[i]) and is_upright_extrusion(before[last])):
            continue
        for low, high in ((i, last), (last, i)):
            if abs(before[low].high[2] - before[high].low[2]) > tolerance.length:
                continue
            plug = solids[low].translate((0.0, 0.0, 3 * depth)) ^ solids[high].translate((0.0, 0.0, -3 * depth))
            for c in solids:
                if i < c < last and before[c].cut:
                    plug = plug - solids[c]
            if not plug.is_empty():
                found.append(plug)
    return found


def _has_same_faces(before: Skin, after: Skin, depth: float) -> bool:
    """Whether a skin has its faces in the planes of another one, moved inwards, no more of them in any, and with as
    many openings; of what was narrower than 4 depths, mm, nothing may be left."""
    if before.euler != after.euler:
        return False
    planes = face_planes(before) - [0.0, 0.0, 0.0, depth]
    apart = np.abs(face_planes(after)[:, None] - planes[None]).max(axis=2)
    if apart.min(axis=1).max() > COPLANAR_TOLERANCE_MM:
        return False
    # Faces of one plane count together: the first of them stands for all.
    own = (np.abs(planes[:, None] - planes[None]).max(axis=2) <= COPLANAR_TOLERANCE_MM).argmax(axis=1).tolist()
    now = [own[k] for k in apart.argmin(axis=1).tolist()]
    openings = Counter[int]()
    for k, f in zip(own, before.faces, strict=True):
        openings[k] += len(f.loops) - 1
    for k, f in zip(now, after.faces, strict=True):
        openings[k] -= len(f.loops) - 1
    if Counter(now) - Counter(own):
        return False  # where features lay in each other by less than two depths a gap has opened
    wide = {k for k, f in zip(own, before.faces, strict=True) if _face_width(before, f) > 4 * depth}
    return not any(openings.values()) and wide <= set(now)


def _face_width(skin: Skin, face: Face) -> float:
    """Twice a face's area over its perimeter, mm: the width of one that is long and narrow."""
    area = around = 0.0
    for loop in face.loops:
        ring = skin.corners[list(loop)]
        ahead = np.concatenate((ring[1:], ring[:1]))
        area += float(cross(ring - ring[0], ahead - ring[0]).sum(axis=0) @ face.normal) / 2
        around += float(np.sqrt(((ahead - ring) ** 2).sum(axis=1)).sum())
    return 2 * area / around
