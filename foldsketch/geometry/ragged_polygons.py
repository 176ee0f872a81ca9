"""Many polygons in one array of corners (a ragged array), so that all are built, shifted and inset at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array, Ints

MAX_OVERLAP_DEPTH_MM = 1e-3
"""Polygons that reach into each other by no more than this, mm, do not overlap: neighbours that share an edge, and far
less than the width of a pencil line."""

TOUCH_TOLERANCE_MM = 0.4 * MAX_OVERLAP_DEPTH_MM
"""Inset, mm, of polygons before they are tested for overlap: what is 0.8 of that depth is avoided, so that rounding
decides nothing."""


def corners_and_successors(loops: Sequence[Array]) -> tuple[Array, Ints]:
    """All corners (n, 2) of closed loops, and the row of the corner after each."""
    corners = np.concatenate(loops)
    size = np.array([len(a) for a in loops])
    following = np.arange(1, len(corners) + 1)
    following[np.cumsum(size) - 1] -= size
    return corners, following


def edge_starts_and_ends(loops: Sequence[Array]) -> tuple[Array, Array]:
    """Starts and ends, each (n, 2), of the edges of closed loops."""
    corners, following = corners_and_successors(loops)
    return corners, corners[following]


@dataclass(frozen=True, eq=False)
class RaggedPolygons:
    """Polygons, each an outline and perhaps holes.

    points: (n, 2) mm, ring after ring; ring_sizes: number of corners of every ring; ring_counts: number of rings of
    every polygon, its outline first and anticlockwise, holes clockwise.
    """

    points: Array
    ring_sizes: Ints
    ring_counts: Ints

    @staticmethod
    def from_loops(loops: Sequence[Sequence[Array]]) -> RaggedPolygons:
        """loops: for each polygon its outline and its holes, (n, 2) mm."""
        flat = [a for own in loops for a in own]
        return RaggedPolygons(
            np.concatenate(flat), np.array([len(a) for a in flat]), np.array([len(own) for own in loops])
        )

    @cached_property
    def shapes(self) -> Any:
        """Valid shapely polygons, as an array. Where rings touch, inside is what the even-odd rule says."""
        import shapely

        rings = shapely.linearrings(self.points, indices=np.repeat(np.arange(len(self.ring_sizes)), self.ring_sizes))
        made = shapely.polygons(rings, indices=np.repeat(np.arange(len(self.ring_counts)), self.ring_counts))
        holed = np.flatnonzero(self.ring_counts > 1)
        for k in holed[~shapely.is_valid(made[holed])]:
            made[k] = make_valid_polygons(made[k])
        return made

    @cached_property
    def shape_of_points(self) -> Ints:
        """Number of the polygon that every corner belongs to."""
        return np.repeat(np.repeat(np.arange(len(self.ring_counts)), self.ring_counts), self.ring_sizes)

    def shift_right(self, shift: Array) -> RaggedPolygons:
        """The polygons, each shifted to the right by its own distance, mm."""
        points = self.points.copy()
        points[:, 0] += shift[self.shape_of_points]
        return RaggedPolygons(points, self.ring_sizes, self.ring_counts)

    def concatenate(self, other: RaggedPolygons) -> RaggedPolygons:
        """These polygons followed by others."""
        return RaggedPolygons(
            np.concatenate((self.points, other.points)),
            np.concatenate((self.ring_sizes, other.ring_sizes)),
            np.concatenate((self.ring_counts, other.ring_counts)),
        )

    @cached_property
    def inset(self) -> Any:
        """The polygons (of shapely) made smaller by TOUCH_TOLERANCE_MM all round, so that neighbours do not touch."""
        return inset_polygons(self.shapes, TOUCH_TOLERANCE_MM)


def inset_polygons(shapes: Any, distance: float) -> Any:
    """Shapely polygons made smaller by a distance, mm, all round."""
    import shapely

    return shapely.buffer(shapes, -distance, join_style="mitre", quad_segs=1)


def make_valid_polygons(shape: Any) -> Any:
    """The areas of a shape made valid; lines and points that parts of it collapse to are left out."""
    import shapely

    valid = shapely.make_valid(shape)
    parts = shapely.get_parts(shapely.get_parts(valid))
    flat = [p for p in parts if shapely.get_dimensions(p) == 2]
    return flat[0] if len(flat) == 1 else shapely.multipolygons(flat)
