"""Cutting off centre without a clamping of its own: driven tools with C and Y, and interpolation turning.

A driven cutter goes around a round that stands off centre while the spindle only indexes; in interpolation turning the
tool follows the turning round in X and Y. Travels from geometry [D].
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

MIN_INTERPOLATION_SHARE = 0.4
"""Of the wanted cutting speed: slower interpolation turning is refused [M]."""


def interpolation_speed(acceleration: float, offset: float) -> float:
    """Speed, r/min, up to which an axis follows a round at an offset in mm: e w2 <= a, n = (30 / pi) sqrt(a / e).

    acceleration: mm/s2.

    >>> round(interpolation_speed(5000, 20))
    151
    """
    return sqrt(acceleration / offset) * 30 / pi


def interpolation_allowed(speed: float, diameter: float, cutting_speed: float) -> bool:
    """Whether a spindle speed gives enough of a cutting speed, m/min, at a diameter in mm."""
    return pi * diameter * speed / 1000 >= MIN_INTERPOLATION_SHARE * cutting_speed


@dataclass(frozen=True, slots=True)
class DrivenTravel:
    """Travels that milling a round needs, mm.

    y: each way; x_below: past the spindle's centre; enough: the machine has both.
    """

    y: float
    x_below: float
    enough: bool


def driven_travel(diameter: float, offset: float, cutter: float, y_axis: float, x_below: float) -> DrivenTravel:
    """Travels for a cutter around a round of a diameter at an offset, mm.

    Y each way (d + d_c) / 2, X past the centre (d + d_c) / 2 - e, with the round turned to +X by C.

    y_axis, x_below: what the machine has, mm.

    >>> driven_travel(36, 20, 8, 40, 30)
    DrivenTravel(y=22.0, x_below=2.0, enough=True)
    """
    around = (diameter + cutter) / 2
    below = max(0.0, around - offset)
    return DrivenTravel(around, below, around <= y_axis and below <= x_below)
