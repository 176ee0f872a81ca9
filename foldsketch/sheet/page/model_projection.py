"""The folded model as a viewer sees it from one corner: faces and edges on the picture plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints, segments_to_array
from foldsketch.net.model import ButtEdge, Nets, PaperLine, Piece, Tab

VIEW_AZIMUTH_RAD, VIEW_ELEVATION_RAD = -0.9, 0.62
"""Where the viewer is, radians."""

VIEW_DIRECTION: Array = np.array(
    [
        cos(VIEW_ELEVATION_RAD) * cos(VIEW_AZIMUTH_RAD),
        cos(VIEW_ELEVATION_RAD) * sin(VIEW_AZIMUTH_RAD),
        sin(VIEW_ELEVATION_RAD),
    ]
)
"""Unit vector towards the viewer."""

_RIGHT = np.array([-sin(VIEW_AZIMUTH_RAD), cos(VIEW_AZIMUTH_RAD), 0.0])
PICTURE_PLANE = np.array([_RIGHT, np.cross(VIEW_DIRECTION, _RIGHT)]).T
"""(3, 2): right and up on the picture."""

MAX_SHARP_EDGE_COSINE = cos(radians(50))
"""The edge between two faces is drawn where they turn by more than 50 degrees."""


@dataclass(frozen=True, slots=True, eq=False)
class ProjectedFaces:
    """All panels of a model, n of them.

    piece, block: the row of its net and the number of its block; to_space: (n, 3, 3); origins: (n, 3); corners: (k, 2)
    all outlines on the picture plane; starts: the row of each one's first corner; middles: (n, 2) on the picture plane;
    front: it faces the viewer; inward: its net is the wall of a bore.
    """

    piece: Ints
    block: Ints
    to_space: Array
    origins: Array
    corners: Array
    starts: Ints
    middles: Array
    front: Bools
    inward: Bools

    @property
    def outer(self) -> Bools:
        """It faces the viewer, and not through a bore."""
        return self.front & ~self.inward


def project_faces(nets: Nets) -> ProjectedFaces:
    """All panels of a model as the viewer sees them."""
    panels = [p for piece in nets.pieces for p in piece.panels]
    piece = np.repeat(np.arange(len(nets.pieces)), [len(p.panels) for p in nets.pieces])
    block = np.array([p.block for p in nets.pieces])[piece]
    to_space, origins = np.array([p.to_space for p in panels]), np.array([p.origin for p in panels])
    counts = np.array([len(p.outline) for p in panels])
    which = np.repeat(np.arange(len(panels)), counts)
    outlines = np.concatenate([p.outline for p in panels])
    corners = (to_space[which, :, :2] @ outlines[:, :, None])[:, :, 0] + origins[which]
    starts = np.cumsum(counts) - counts
    middles = np.add.reduceat(corners, starts) / counts[:, None]
    normals = to_space[:, :, 2]
    front, inward = normals @ VIEW_DIRECTION > 1e-6, nets_facing_inward(middles, normals, piece)[piece]
    flat, flat_middles = corners @ PICTURE_PLANE, middles @ PICTURE_PLANE
    return ProjectedFaces(piece, block, to_space, origins, flat, starts, flat_middles, front, inward)


@dataclass(frozen=True, slots=True, eq=False)
class ProjectedEdges:
    """All edges of a model, m of them.

    ends: (m, 2, 2) on the picture plane; left, other: rows of the panels on both sides; silhouette: only one of the two
    faces the viewer; visible: it is drawn; swap: it is drawn from its second end.
    """

    ends: Array
    left: Ints
    other: Ints
    silhouette: Bools
    visible: Bools
    swap: Bools


def project_edges(nets: Nets, faces: ProjectedFaces) -> ProjectedEdges:
    """All edges of a model as the viewer sees them. faces: of the same model."""
    panels = [(piece.id, p.id, p.kind) for piece in nets.pieces for p in piece.panels]
    row = {(piece, panel): k for k, (piece, panel, _) in enumerate(panels)}
    ends, left, other = _skin_edges(nets.pieces, row)
    there = (faces.to_space[left, None, :, :2] @ ends[..., None])[..., 0] @ PICTURE_PLANE
    there += (faces.origins[left] @ PICTURE_PLANE)[:, None]
    front, outer, normals = faces.front, faces.outer, faces.to_space[:, :, 2]
    silhouette = front[left] != front[other]
    sharp = (normals[left] * normals[other]).sum(axis=1) < MAX_SHARP_EDGE_COSINE
    # The walls of a bore are seen only through the bore: of their edges only its rim is drawn.
    visible = (outer[left] | outer[other]) & (silhouette | (sharp & front[left] & front[other]))
    # Edges run with the face that the viewer sees, or with the end, on their left, so that those of a loop follow each
    # other.
    rank = np.array([kind != "end" for *_, kind in panels]) * len(panels) + np.arange(len(panels))
    swap = np.where(silhouette, front[other], rank[other] < rank[left])
    return ProjectedEdges(there, left, other, silhouette, visible, swap)


def _skin_edges(pieces: Sequence[Piece], row: dict[tuple[str, int], int]) -> tuple[Array, Ints, Ints]:
    """Every edge of the surface once, from folds, tabs and edges without a tab.

    Its ends (m, 2, 2) on the paper of the panel on its left, and the rows of that panel and of the other.
    """
    found: list[tuple[PaperLine, int, int]] = []
    for piece in pieces:
        found += [(f.line, row[piece.id, f.panels[0]], row[piece.id, f.panels[1]]) for f in piece.folds]
        met: list[Tab | ButtEdge] = [*piece.tabs, *piece.butts]
        found += [(t.line, row[piece.id, t.panel], row[t.meets.piece, t.meets.panel]) for t in met]
    return segments_to_array([e[0] for e in found]), np.array([e[1] for e in found]), np.array([e[2] for e in found])


def nets_facing_inward(middles: Array, normals: Array, piece_of: Ints) -> Bools:
    """For every net whether its printed side is inside, as on a bore: its faces look towards the middle of them all.

    middles, normals: (n, 3) of all faces; piece_of: the row of each one's net.
    """
    count = np.bincount(piece_of)
    centre = np.stack([np.bincount(piece_of, middles[:, k]) for k in range(3)], axis=1) / count[:, None]
    outward = ((middles - centre[piece_of]) * normals).sum(axis=1)
    inward: Bools = np.bincount(piece_of, outward) < -1e-6
    return inward


def blocks_back_to_front(nets: Nets, eye: Array) -> list[int]:
    """Blocks in painting order: of two that are glued together, the one behind the joint first.

    eye: unit vector towards the viewer.
    """
    behind: dict[int, set[int]] = {b.id: set() for b in nets.blocks}
    for j in nets.joints:
        one, two = j.blocks if float(j.normal @ eye) > 0 else j.blocks[::-1]
        behind[two].add(one)
    order: list[int] = []
    left = list(behind)
    while left:
        ready = next((b for b in left if behind[b] <= set(order)), left[0])
        order.append(ready)
        left.remove(ready)
    return order
