"""Unite: closed surfaces that overlap become one by a boolean union; how deep two of them overlap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import manifold3d as m3
import numpy as np

from foldsketch.base.arrays import Array, Ints
from foldsketch.mesh.geometry.measure import row_norms

MIN_OVERLAP_RATIO = 0.005
"""Mean depth of an overlap over the size of the smaller solid from which on it is one: facets of a shaft in its bore
reach into each other by up to half of this, and a press fit by less."""


class ClosedSolid:
    """A closed surface as an operand of booleans.

    corners: (n, 3) mm; triangles: (m, 3), outward, those of hollows inward; label: (m,) of every triangle, which those
    of a union keep. `is_sound` is false for what the kernel does not take for a solid.
    """

    def __init__(self, corners: Array, triangles: Ints, label: Ints | None = None) -> None:
        used, local = np.unique(triangles, return_inverse=True)
        own = np.zeros(len(triangles), dtype=np.int64) if label is None else label
        mesh = m3.Mesh64(
            np.ascontiguousarray(corners[used]),
            local.reshape(-1, 3).astype(np.uint64),
            face_id=own.astype(np.uint64),
        )
        self.low, self.high = corners[used].min(axis=0), corners[used].max(axis=0)
        self.manifold = m3.Manifold(mesh)
        self.is_sound = self.manifold.status() == m3.Error.NoError and self.manifold.volume() > 0

    @property
    def size(self) -> float:
        """Diagonal of its box, mm."""
        return float(row_norms((self.high - self.low)[None])[0])

    def overlaps(self, other: ClosedSolid) -> bool:
        """Whether two solids share more space than facets of surfaces that touch do."""
        if not ((self.low < other.high).all() and (other.low < self.high).all()):
            return False
        common = self.manifold ^ other.manifold
        depth = 2 * common.volume() / max(common.surface_area(), 1e-300)
        return bool(depth > MIN_OVERLAP_RATIO * min(self.size, other.size))


def overlapping_pairs(solids: Sequence[ClosedSolid]) -> list[tuple[int, int]]:
    """Numbers of solids that overlap, in pairs."""
    return [(i, j) for j, b in enumerate(solids) for i, a in enumerate(solids[:j]) if a.overlaps(b)]


def united(solids: Iterable[ClosedSolid]) -> tuple[Array, Ints, Ints]:
    """Corners (n, 3), triangles (m, 3) and their labels (m,) of solids united."""
    whole = m3.Manifold.batch_boolean([s.manifold for s in solids], m3.OpType.Add)
    mesh = whole.to_mesh64()
    corners = np.array(mesh.vert_properties[:, :3], dtype=np.float64)
    return corners, np.array(mesh.tri_verts).astype(np.int64), np.array(mesh.face_id).astype(np.int64)
