"""Offset of a fused block by way of its features, where its corners cannot move as they are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import manifold3d as m3
import numpy as np

from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.solid.card.offset_skin import inset_skin
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.prism import Face, Prism
from foldsketch.solid.joining.blocks import Block
from foldsketch.solid.joining.kernel import Operands, closed_skin
from foldsketch.solid.joining.skin import Skin, face_planes, face_polygon, plane_axes, skin_of_prism
from foldsketch.solid.joining.through_bores import is_upright_extrusion

COPLANAR_TOLERANCE_MM = 1e-7
"""Parallel planes nearer than this, mm, are one."""


def offset_block(
    faceted: FacetedPart, block: Block, depth: float, tolerance: Tolerance = DEFAULT_TOLERANCE
) -> Skin | None:
    """The block's skin with every face moved inwards by depth mm: its features are offset and combined again.

    Where more than three faces meet in a corner this makes short edges. None if faces appear or are lost.
    """
    before = faceted.prisms
    moved: dict[int, Prism] = {}
    for i in sorted({f.feature for f in block.skin.faces} | set(block.features)):
        prism = _offset_prism(before[i], -depth if before[i].cut else depth)
        if prism is None:
            return None
        moved[i] = prism
    operands = Operands(moved)
    order = list(moved)
    whole = operands.solid(order[0])
    for k, i in enumerate(order[1:], 1):
        if before[i].cut:
            whole = whole - operands.solid(i)
            continue
        whole = whole + operands.solid(i)
        for filler in _gap_fillers(before, operands, order[:k], i, depth, tolerance):
            whole = whole + filler
    bodies = [b for b in whole.decompose() if b.volume() > tolerance.area]
    if len(bodies) != 1:
        return None
    skin = closed_skin(bodies[0], operands, faceted.datum_direction, tolerance)
    return skin if skin is not None and _has_same_faces(block.skin, skin, depth) else None


def _offset_prism(prism: Prism, depth: float) -> Prism | None:
    """A feature's prism with its faces moved inwards by depth mm, outwards if that is negative; None if impossible."""
    skin = inset_skin(skin_of_prism(prism), depth)
    if skin is None:
        return None
    corners = skin.corners.copy()
    if prism.frame.along_z:
        # Faces of one plane stay in one plane, to the last bit.
        corners[:, 2] = np.round(corners[:, 2], 9)
    return replace(prism, corners=corners, low=corners.min(axis=0), high=corners.max(axis=0))


def _gap_fillers(
    before: Sequence[Prism], operands: Operands, earlier: list[int], last: int, depth: float, tolerance: Tolerance
) -> Iterator[m3.Manifold]:
    """Solids that fill the gap between a feature and earlier ones below or above it, all offset by depth mm.

    Each is the overlap of the two when they are moved into each other, without the cuts in between.
    """
    for i in earlier:
        if before[i].cut or not (is_upright_extrusion(before[i]) and is_upright_extrusion(before[last])):
            continue
        for low, high in ((i, last), (last, i)):
            if abs(before[low].high[2] - before[high].low[2]) > tolerance.length:
                continue
            below, above = operands.solid(low), operands.solid(high)
            filler = below.translate((0.0, 0.0, 3 * depth)) ^ above.translate((0.0, 0.0, -3 * depth))
            for c in earlier:
                if c > i and before[c].cut:
                    filler = filler - operands.solid(c)
            if not filler.is_empty():
                yield filler


def _has_same_faces(before: Skin, after: Skin, depth: float) -> bool:
    """True if the faces of one skin lie in those of another moved inwards by depth mm, with the same openings.

    Faces narrower than 4 depths may be lost; none may be added.
    """
    if before.euler != after.euler:
        return False
    planes = face_planes(before) - [0.0, 0.0, 0.0, depth]
    apart = np.abs(face_planes(after)[:, None] - planes[None]).max(axis=2)
    if apart.min(axis=1).max() > COPLANAR_TOLERANCE_MM:
        return False
    # Faces of one plane count together, under the number of the first.
    own = (np.abs(planes[:, None] - planes[None]).max(axis=2) <= COPLANAR_TOLERANCE_MM).argmax(axis=1).tolist()
    now = [own[k] for k in apart.argmin(axis=1).tolist()]
    openings = Counter[int]()
    for k, f in zip(own, before.faces, strict=True):
        openings[k] += len(f.loops) - 1
    for k, f in zip(now, after.faces, strict=True):
        openings[k] -= len(f.loops) - 1
    if Counter(now) - Counter(own):
        return False  # features that overlapped by less than two depths came apart
    wide = {k for k, f in zip(own, before.faces, strict=True) if _face_width(before, f) > 4 * depth}
    return not any(openings.values()) and wide <= set(now)


def _face_width(skin: Skin, face: Face) -> float:
    """Twice a face's area over its perimeter, mm: the width of a long and narrow face."""
    shape = face_polygon(skin.corners, face, plane_axes(face.normal))
    return float(2 * shape.area / shape.length)
