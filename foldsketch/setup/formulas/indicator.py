"""Indicator readings on a diameter that turns off centre."""

from __future__ import annotations

from math import cos, sin, sqrt


def indicator_reading(radius: float, offset: float, turn: float) -> float:
    """What a pointed stylus over the centreline reads, mm from the centreline.

    After a turn of t radians from the high spot: e cos t + sqrt(R2 - e2 sin2 t).

    >>> [round(indicator_reading(25, 5, t), 3) for t in (0.0, 3.141592653589793)]
    [30.0, 20.0]
    """
    return offset * cos(turn) + sqrt(radius**2 - (offset * sin(turn)) ** 2)


def full_indicator_reading(offset: float) -> float:
    """Full indicator reading, mm, of a true diameter at an offset: largest less smallest, 2 e."""
    return 2 * offset


def stroke(offset: float) -> float:
    """Stroke of a crank or eccentric, mm: 2 e. ('Throw' is used for e and for 2 e; it is not used here.)."""
    return 2 * offset
