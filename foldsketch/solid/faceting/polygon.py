"""The regular polygon that stands for a circle, and the rules for its size."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin, sqrt
from typing import Literal

import numpy as np

from foldsketch.base.arrays import Array

RadiusRule = Literal["inside", "equal-area", "outside", "equal-perimeter"]
"""The last is for rolled walls: their strip is as long as the circle is round."""


@dataclass(frozen=True, slots=True)
class RegularPolygon:
    """A regular polygon that stands for a circle of the nominal radius. All mm."""

    n: int
    nominal_radius: float
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
        """Largest distance between a side and the circle, inside or outside it, mm."""
        return max(self.nominal_radius - self.inradius, self.circumradius - self.nominal_radius)

    def corners(self, angle: float) -> Array:
        """(n, 2) mm, anticlockwise; the middle of a side lies at an angle, radians. One corner for a radius of 0."""
        if self.circumradius == 0:
            return np.zeros((1, 2))
        t = angle + (np.arange(self.n) * 2 + 1) * (pi / self.n)
        return np.column_stack((np.cos(t), np.sin(t))) * self.circumradius

    def inner_clearance(self, other: RegularPolygon, distance: float, bearing: float) -> float:
        """The smallest gap between the sides of this polygon and another inside it, mm; below 0 where it sticks out.

        Both polygons have the middle of their first side at the same angle. distance: mm from this centre to the other;
        bearing: direction of the other centre, radians from the middle of the first side.

        >>> hexagon, smaller = RegularPolygon.of(6, 10, "inside"), RegularPolygon.of(6, 6, "inside")
        >>> round(hexagon.inner_clearance(smaller, 3, 0), 6) == round(10 * cos(pi / 6) - 6 * cos(pi / 6) - 3, 6)
        True
        """

        def gap(normal: float) -> float:
            """From the side with a normal to the other's nearest corner, which lies at an angle to that normal."""
            corner = (normal * other.n / (2 * pi)) % 1 * 2 * pi / other.n - pi / other.n
            return self.inradius - distance * cos(normal - bearing) - other.circumradius * cos(corner)

        return min(gap(2 * pi * k / self.n) for k in range(self.n))


def circumradius_ratio(n: int, rule: RadiusRule) -> float:
    """Circumradius of a regular n-gon over the radius of the circle that it stands for."""
    if rule == "inside":
        return 1.0
    if rule == "outside":
        return 1 / cos(pi / n)
    if rule == "equal-perimeter":
        return pi / (n * sin(pi / n))
    return sqrt(2 * pi / (n * sin(2 * pi / n)))
