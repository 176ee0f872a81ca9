"""The regular polygon that stands for a circle, and the rules for its size."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, inf, pi, sin, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
RadiusRule = Literal["inside", "equal-area", "outside", "equal-perimeter"]
"""The last is for rolled walls, whose strip is as long as the round."""


@dataclass(frozen=True, slots=True)
class RegularPolygon:
    """A regular polygon that stands for a circle of radius nominal. All mm."""

    n: int
    nominal: float
    circumradius: float

    @staticmethod
    def of(n: int, radius: float, rule: RadiusRule) -> RegularPolygon:
        """inside: corners on the circle; outside: flats on it; equal-area and equal-perimeter: as the circle has them.

        >>> round(RegularPolygon.of(6, 1.0, "equal-area").circumradius, 6)
        1.099636
        """
        return RegularPolygon(n, radius, radius * circumradius_ratio(n, rule))

    @property
    def inradius(self) -> float:
        """Half across flats."""
        return self.circumradius * cos(pi / self.n)

    @property
    def side(self) -> float:
        """Length of a side."""
        return 2 * self.circumradius * sin(pi / self.n)

    @property
    def chord_error(self) -> float:
        """Largest distance between a side and the circle, inside or outside of it."""
        return max(self.nominal - self.inradius, self.circumradius - self.nominal)

    def corners(self, turn: float) -> Array:
        """(n, 2), anticlockwise; the middle of a side lies at the angle turn."""
        if self.circumradius == 0:
            return np.zeros((1, 2))
        t = turn + (np.arange(self.n) * 2 + 1) * (pi / self.n)
        return np.column_stack((np.cos(t), np.sin(t))) * self.circumradius

    def room_around(self, other: RegularPolygon, distance: float, bearing: float) -> float:
        """How far a polygon that turns the same way stays inside this one, its centre at a distance towards a bearing,
        radians from the middle of their first sides; below 0 where it stands out. All mm.

        >>> hexagon, smaller = RegularPolygon.of(6, 10, "inside"), RegularPolygon.of(6, 6, "inside")
        >>> round(hexagon.room_around(smaller, 3, 0), 6) == round(10 * cos(pi / 6) - 6 * cos(pi / 6) - 3, 6)
        True
        """
        # Seen along the normal of every side: how near the nearest corner of the other comes to the side.
        room = inf
        for k in range(self.n):
            normal = 2 * pi * k / self.n
            corner = (normal * other.n / (2 * pi)) % 1 * 2 * pi / other.n - pi / other.n
            room = min(room, self.inradius - distance * cos(normal - bearing) - other.circumradius * cos(corner))
        return room


def circumradius_ratio(n: int, rule: RadiusRule) -> float:
    """Circumradius over the nominal radius."""
    if rule == "inside":
        return 1.0
    if rule == "outside":
        return 1 / cos(pi / n)
    if rule == "equal-perimeter":
        return pi / (n * sin(pi / n))
    return sqrt(2 * pi / (n * sin(2 * pi / n)))
