"""Unite solids: those of a CAD file that overlap, or lie inside one another, become one, with its exact surfaces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.cad.kernel_process import CHORD_ANGLE_RAD
from foldsketch.mesh.cad.read_glb import CadSolid
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import rows_by_value
from foldsketch.mesh.repair.mesh_repair import merge_equal_corners
from foldsketch.mesh.repair.unite import ClosedSolid, overlapping_pairs, united


def unite_solids(solids: tuple[CadSolid, ...]) -> tuple[tuple[CadSolid, ...], list[list[int]]]:
    """The solids, with one in place of those that overlap, and the numbers of each such group, the largest first."""
    if len(solids) < 2:
        return solids, []
    first = np.cumsum([0, *(1 + len(s.surfaces) for s in solids)])
    operands = [_operand(s, int(start)) for s, start in zip(solids, first, strict=False)]
    sound = [k for k, o in enumerate(operands) if o.is_sound]
    pairs = [(sound[i], sound[j]) for i, j in overlapping_pairs([operands[k] for k in sound])]
    group = label_components(np.array(pairs, dtype=np.int64).reshape(-1, 2), len(solids))
    out, groups = [], []
    for members in rows_by_value(group):
        if len(members) == 1:
            out.append(solids[members[0]])
            continue
        mine = sorted(members.tolist(), key=lambda k: -operands[k].manifold.volume())
        corners, triangles, label = united(operands[k] for k in mine)
        out.append(_with_surfaces([solids[k] for k in mine], corners, triangles, label, first[mine]))
        groups.append(mine)
    return tuple(out), groups


def _operand(solid: CadSolid, start: int) -> ClosedSolid:
    """A solid for booleans; a triangle's label is start for no face, start + 1 for the first one, and so on."""
    corners, triangles = merge_equal_corners(solid.corners, solid.triangles)
    whole = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)
    return ClosedSolid(corners, triangles[whole], solid.face[whole] + 1 + start)


def _with_surfaces(solids: Sequence[CadSolid], corners: Array, triangles: Ints, label: Ints, first: Ints) -> CadSolid:
    """A united solid with the surfaces of its members. label: (m,) of its triangles; first: label of each's no face.

    Corners where members meet are on sides of their triangles, inside the rounds by what a side is off its arc.
    """
    surfaces = tuple(shape for s in solids for shape in s.surfaces)
    face = np.full(len(triangles), -1, dtype=np.int64)
    count = 0
    for s, start in zip(solids, first, strict=True):
        mine = (label > start) & (label <= start + len(s.surfaces))
        face[mine] = label[mine] - start - 1 + count
        count += len(s.surfaces)
    sagitta = max((f.radius for f in surfaces if f is not None), default=0.0) * (1 - np.cos(CHORD_ANGLE_RAD / 2))
    return replace(
        solids[0],
        corners=corners,
        triangles=triangles,
        face=face,
        surfaces=surfaces,
        corner_error=max(solids[0].corner_error, 4 * float(sagitta)),
    )
