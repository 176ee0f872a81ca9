"""Flat shapes by their rings of corners, all in one array: made into shapely polygons, moved or drawn in at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.geometry.rasterize import Ints

TOUCH_TOLERANCE_MM = 1e-4
"""mm by which shapes are drawn in before they are asked whether they meet, so that neighbours do not count."""


@dataclass(frozen=True, eq=False)
class RaggedPolygons:
    """Shapes, each an outline and perhaps holes. points: (n, 2) mm, ring after ring; size: corners of every ring;
    count: rings of every shape, the outline first and anticlockwise, holes clockwise."""

    points: Array
    size: Ints
    count: Ints

    @staticmethod
    def of(loops: Sequence[Sequence[Array]]) -> RaggedPolygons:
        """loops: for each shape its outline and its holes, (n, 2) mm."""
        flat = [a for own in loops for a in own]
        return RaggedPolygons(
            np.concatenate(flat), np.array([len(a) for a in flat]), np.array([len(own) for own in loops])
        )

    @cached_property
    def shapes(self) -> Any:
        """shapely polygons. Material that hangs in a hole by a corner counts by even and odd, as the corners' order has
        it."""
        made = self._polygons(self.points)
        for k in self._spoilt:
            made[k] = make_valid_polygons(made[k])
        return made

    @cached_property
    def _spoilt(self) -> list[int]:
        """Shapes with holes that touch their outline or each other."""
        import shapely

        holed = np.nonzero(self.count > 1)[0]
        if not len(holed):
            return []
        some: list[int] = holed[~shapely.is_valid(self._polygons(self.points)[holed])].tolist()
        return some

    def _polygons(self, points: Array) -> Any:
        """shapely polygons on other points in the same order."""
        import shapely

        # Every ring ends where it began.
        ends = np.cumsum(self.size + 1)
        order = np.arange(ends[-1]) - np.repeat(np.arange(len(ends)), self.size + 1)
        order[ends - 1] -= self.size
        rings = np.concatenate(([0], ends))
        shapes = np.concatenate(([0], np.cumsum(self.count)))
        return shapely.from_ragged_array(shapely.GeometryType.POLYGON, points[order], (rings, shapes))

    @cached_property
    def shape_of(self) -> Ints:
        """The shape of every point."""
        return np.repeat(np.repeat(np.arange(len(self.count)), self.count), self.size)

    def moved(self, shift: Array) -> RaggedPolygons:
        """Every shape moved to the right by a shift of its own, mm."""
        points = self.points.copy()
        points[:, 0] += shift[self.shape_of]
        return RaggedPolygons(points, self.size, self.count)

    def joined(self, other: RaggedPolygons) -> RaggedPolygons:
        """These shapes and then the other ones."""
        return RaggedPolygons(
            np.concatenate((self.points, other.points)),
            np.concatenate((self.size, other.size)),
            np.concatenate((self.count, other.count)),
        )

    @property
    def drawn_in(self) -> Any:
        """shapely polygons made smaller by HAIR all round, so that neighbours no longer touch."""
        import shapely

        end = np.cumsum(self.size)
        before = np.arange(len(self.points)) - 1
        before[end - self.size] = end - 1
        d = self.points - self.points[before]  # along the edge that arrives at every corner
        length = np.sqrt(d[:, 0] ** 2 + d[:, 1] ** 2)
        if length.min() < 100 * TOUCH_TOLERANCE_MM or self._spoilt:
            return shapely.buffer(self.shapes, -TOUCH_TOLERANCE_MM, join_style="mitre", quad_segs=1)
        d /= length[:, None]
        after = np.arange(len(self.points)) + 1
        after[end - 1] = end - self.size
        e = d[after]
        # Both edges move to their left by a hair; the corner goes where they meet then, never far at a spike.
        far = TOUCH_TOLERANCE_MM / np.maximum(1 + d[:, 0] * e[:, 0] + d[:, 1] * e[:, 1], 0.05)
        return self._polygons(self.points + np.column_stack((-d[:, 1] - e[:, 1], d[:, 0] + e[:, 0])) * far[:, None])


def make_valid_polygons(shape: Any) -> Any:
    """A shape made valid, its areas alone: lines that it collapses to are left out."""
    import shapely

    valid = shapely.make_valid(shape)
    parts = shapely.get_parts(shapely.get_parts(valid))
    flat = [p for p in parts if shapely.get_dimensions(p) == 2]
    return flat[0] if len(flat) == 1 else shapely.multipolygons(flat)
