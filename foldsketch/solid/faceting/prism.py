"""A prism: a feature with flat sides in place of the circle, every face numbered. Lengths are paper mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.base.vector import cross
from foldsketch.part.model import Feature
from foldsketch.solid.faceting.frame import AxisFrame

FaceKind = Literal["side", "end", "other"]

EndPolygons = tuple[Array, Array]
"""Polygons (n, 2) mm at the start and end of a wall, anticlockwise; one of a single point is an apex."""


class Face(NamedTuple):
    """One flat face.

    loops: indices of corners, the outline anticlockwise seen from outside, then the holes clockwise; feature: index of
    the feature; side: number of the face within its feature; normal: (3,) outward, of length 1.
    """

    loops: tuple[tuple[int, ...], ...]
    feature: int
    side: int
    kind: FaceKind
    normal: Array


@dataclass(frozen=True, slots=True, eq=False)
class Prism:
    """A feature as a solid with flat faces.

    corners: (n, 3) in the model frame; low, high: (3,) bounds; sides: number of sides in place of the circle, 0 without
    one; circumradius_ratio: circumradius over nominal radius; chord_error: largest distance between a side and the
    circle; rolled: shallow bends between its sides are rolled, not creased.
    """

    index: int
    feature: Feature
    frame: AxisFrame
    corners: Array
    faces: tuple[Face, ...]
    sides: int
    circumradius_ratio: float
    chord_error: float
    low: Array
    high: Array
    rolled: bool = False

    @property
    def cut(self) -> bool:
        """True when the prism takes material away."""
        return self.feature.cut

    @property
    def across_flats(self) -> float:
        """Distance between opposite sides of a cylinder's prism, mm on paper: twice the distance of a side's middle."""
        end = next(f for f in self.faces if f.kind == "end")
        ring = self.corners[list(end.loops[0])]
        middle = ring.mean(axis=0)
        return 2 * float(np.linalg.norm((ring[0] + ring[1]) / 2 - middle))


def loft(
    index: int,
    feature: Feature,
    frame: AxisFrame,
    rings: tuple[EndPolygons, ...],
    z: tuple[float, float],
    sides: int,
    circumradius_ratio: float,
    chord_error: float,
    rolled: bool = False,
) -> Prism:
    """The prism between two flat ends.

    rings: end polygons in the frame's x and y, the outer wall first, then those of holes; z: start and end along the
    axis, mm. Faces are in the order of their numbers except that the ends, 0 and 1, come last.
    """
    ex, ey, ez = frame.x, frame.y, frame.z
    points: list[Array] = []
    faces: list[Face] = []
    ends: tuple[list[tuple[int, ...]], list[tuple[int, ...]]] = ([], [])
    first = 0
    for hole, pair in enumerate(rings):
        own = np.concatenate(
            [
                frame.origin + polygon[:, :1] * ex + polygon[:, 1:] * ey + height * ez
                for polygon, height in zip(pair, z, strict=True)
            ]
        )
        lower, upper = range(len(pair[0])), range(len(pair[0]), len(own))
        loops = _wall_loops(lower, upper)
        end_loops = [tuple(lower)[::-1], tuple(upper)]
        if hole:
            loops, end_loops = [loop[::-1] for loop in loops], [loop[::-1] for loop in end_loops]
        p, q, r = own[np.array([loop[:3] for loop in loops]).T]
        normals = cross(q - p, r - p)
        normals /= np.sqrt((normals * normals).sum(axis=1))[:, None]
        for loop, normal in zip(loops, normals, strict=True):
            faces.append(Face((tuple([v + first for v in loop]),), index, len(faces) + 2, "side", normal))
        for end, loop in zip(ends, end_loops, strict=True):
            if len(loop) > 1:
                end.append(tuple([v + first for v in loop]))
        points.append(own)
        first += len(own)
    for side, (end, normal) in enumerate(zip(ends, (-ez, ez), strict=True)):
        if end:
            faces.append(Face(tuple(end), index, side, "end", normal))
    corners = np.concatenate(points)
    low, high = corners.min(axis=0), corners.max(axis=0)
    return Prism(
        index, feature, frame, corners, tuple(faces), sides, circumradius_ratio, chord_error, low, high, rolled
    )


def _wall_loops(lower: Sequence[int], upper: Sequence[int]) -> list[tuple[int, ...]]:
    """The faces of a wall between two rings of corners seen from outside; triangles where a ring is one point."""
    if len(lower) == 1:
        return [(lower[0], upper[(i + 1) % len(upper)], upper[i]) for i in range(len(upper))]
    ahead = [*lower[1:], lower[0]]
    if len(upper) == 1:
        return [(a, b, upper[0]) for a, b in zip(lower, ahead, strict=True)]
    return list(zip(lower, ahead, [*upper[1:], upper[0]], upper, strict=True))
