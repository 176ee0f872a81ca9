"""Whole and half millimetres, and where a point of the part is on a square."""

from __future__ import annotations

from foldsketch.base.points import Point
from foldsketch.sheet.by_hand.model import Body, Spot


def to_half(value: float) -> float:
    """Rounded to half a millimetre, halves away from nought, so that there and back is nought.

    >>> to_half(14.3), to_half(-14.3), to_half(0.25)
    (14.5, -14.5, 0.5)
    """
    return (int(abs(value) * 2 + 0.5) / 2) * (1 if value >= 0 else -1)


def to_whole(value: float) -> float:
    """Rounded to a millimetre, at least one."""
    return float(max(1, int(value + 0.5)))


def spot_on(axis: str, b: Body, own: Spot, at: Point) -> Spot:
    """Where a point of the plane is on a body's square: from its own axis by whole and half millimetres."""
    return Spot(axis, own.left + to_half(at[0] - b.centre[0]), own.up + to_half(at[1] - b.centre[1]))
