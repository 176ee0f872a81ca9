"""Rectangles: plates whose four sides four jaws hold one by one, wherever the centreline is [C]."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, hypot, sin
from typing import NamedTuple

from foldsketch.base.points import Point
from foldsketch.part.model import Part, Plate
from foldsketch.setup.model import LENGTH_TOLERANCE_MM
from foldsketch.setup.work.cut_ends import Piece

SQUARE_TOLERANCE = 1e-6
"""Cosine of the angle between two sides that count as square to one another."""


class Side(NamedTuple):
    """A side of a rectangle. angle: where it looks, radians from the part's +x; distance: from the middle, mm."""

    angle: float
    distance: float


class Rectangle(NamedTuple):
    """middle: x and y in the part, mm; sides: anticlockwise."""

    middle: Point
    sides: tuple[Side, ...]

    @property
    def across(self) -> tuple[float, float]:
        """Its two lengths, mm, the longer one first."""
        long, short = sorted((2 * s.distance for s in self.sides[:2]), reverse=True)
        return long, short

    def distances(self, at: Point) -> tuple[float, ...]:
        """From an upright line to each side, mm; negative where the line lies outside it."""
        dx, dy = at[0] - self.middle[0], at[1] - self.middle[1]
        return tuple(s.distance - dx * cos(s.angle) - dy * sin(s.angle) for s in self.sides)

    def holds_back(self, part: Part, piece: Piece) -> bool:
        """Whether a piece of the work stands out beyond a side."""
        x, y = part.axis(piece.feature.axis).point[:2]
        shape, r = piece.feature.shape, piece.feature.radius
        spots = [(x + u, y + v, 0.0) for u, v in shape.outline] if isinstance(shape, Plate) else [(x, y, r)]
        if isinstance(shape, Plate):
            spots += [(x + u, y + v, c) for u, v, c in shape.hull]
        return any(min(self.distances((u, v))) < c - LENGTH_TOLERANCE_MM for u, v, c in spots)


def rectangle_of(part: Part, piece: Piece) -> Rectangle | None:
    """The rectangle of an upright plate, or None."""
    shape, axis = piece.feature.shape, part.axis(piece.feature.axis)
    if not isinstance(shape, Plate) or len(shape.outline) != 4 or axis.direction[2] <= 0:
        return None
    corners = [(axis.point[0] + x, axis.point[1] + y) for x, y in shape.outline]
    edges = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise([*corners, corners[0]])]
    for (ax, ay), (bx, by) in pairwise(edges):
        if abs(ax * bx + ay * by) > SQUARE_TOLERANCE * hypot(ax, ay) * hypot(bx, by):
            return None
    middle = (sum(c[0] for c in corners) / 4, sum(c[1] for c in corners) / 4)
    lengths = [hypot(*e) for e in edges]
    # The side of an edge is half of the next edge away from the middle, and looks to the right of it.
    sides = tuple(Side(atan2(-e[0], e[1]), lengths[(k + 1) % 4] / 2) for k, e in enumerate(edges))
    return Rectangle(middle, sides)
