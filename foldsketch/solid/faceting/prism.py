"""A prism: a feature whose round is replaced by flat sides, with every face named. Lengths are paper mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from foldsketch.base.vector import cross
from foldsketch.part.model import Feature
from foldsketch.solid.faceting.frame import AxisFrame

Array = NDArray[np.float64]
FaceKind = Literal["side", "end", "other"]


class Face(NamedTuple):
    """One flat face. loops: indices of corners, the first loop anticlockwise seen from outside, holes clockwise.

    side: number of the face within its feature; normal: (3,) outward; start and end faces are kind "end".
    """

    loops: tuple[tuple[int, ...], ...]
    feature: int
    side: int
    kind: FaceKind
    normal: Array


@dataclass(frozen=True, slots=True, eq=False)
class Prism:
    """A feature as a solid with flat faces.

    corners: (n, 3) mm in the model frame; low, high: (3,) bounds; sides: number of flats on the round (0: no round);
    chord_error: largest distance between a flat and the circle it stands for, paper mm;
    factor: circumradius over nominal radius; rolled: shallow bends between its sides are rolled, not creased.
    """

    index: int
    feature: Feature
    frame: AxisFrame
    corners: Array
    faces: tuple[Face, ...]
    sides: int
    factor: float
    chord_error: float
    low: Array
    high: Array
    rolled: bool = False

    @property
    def cut(self) -> bool:
        """True when the prism takes material away."""
        return self.feature.cut


def loft(
    index: int,
    feature: Feature,
    frame: AxisFrame,
    rings: tuple[tuple[Array, Array], ...],
    z: tuple[float, float],
    sides: int,
    factor: float,
    chord_error: float,
    rolled: bool = False,
) -> Prism:
    """The prism between two flat ends.

    rings: (lower, upper) polygons, each (n, 2) mm in the frame's x and y, anticlockwise; the first pair is the
    outside, further pairs are holes. A polygon of one point is an apex. z: start and end along the axis.
    """
    ex, ey, ez, base = frame.x, frame.y, frame.z, frame.origin
    points: list[Array] = []
    faces: list[Face] = []
    ends: tuple[list[tuple[int, ...]], list[tuple[int, ...]]] = ([], [])
    count = 0
    number = 2
    for hole, pair in enumerate(rings):
        index_of: list[list[int]] = []
        for polygon, height in zip(pair, z, strict=True):
            points.append(base + polygon[:, :1] * ex + polygon[:, 1:] * ey + height * ez)
            index_of.append(list(range(count, count + len(polygon))))
            count += len(polygon)
        lower, upper = index_of
        n = max(len(lower), len(upper))
        loops = []
        for i in range(n):
            j = (i + 1) % n
            loop: tuple[int, ...]
            if len(lower) == 1:
                loop = (lower[0], upper[j], upper[i])
            elif len(upper) == 1:
                loop = (lower[i], lower[j], upper[0])
            else:
                loop = (lower[i], lower[j], upper[j], upper[i])
            loops.append(loop[::-1] if hole else loop)
        p, q, r = np.concatenate(points[-2:])[np.array([loop[:3] for loop in loops]).T - lower[0]]
        normals = cross(q - p, r - p)
        normals /= np.sqrt((normals * normals).sum(axis=1))[:, None]
        for loop, normal in zip(loops, normals, strict=True):
            faces.append(Face((loop,), index, number, "side", normal))
            number += 1
        if len(lower) > 1:
            ends[0].append(tuple(lower if hole else lower[::-1]))
        if len(upper) > 1:
            ends[1].append(tuple(upper[::-1] if hole else upper))
    if ends[0]:
        faces.append(Face(tuple(ends[0]), index, 0, "end", -ez))
    if ends[1]:
        faces.append(Face(tuple(ends[1]), index, 1, "end", ez))
    corners = np.concatenate(points)
    return Prism(
        index,
        feature,
        frame,
        corners,
        tuple(faces),
        sides,
        factor,
        chord_error,
        corners.min(axis=0),
        corners.max(axis=0),
        rolled,
    )
