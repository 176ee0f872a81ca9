"""One tolerance, passed to whatever compares two numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How near counts as equal.

    length: mm, for two positions.
    angle:  radians, for two directions.
    area:   mm2, below which a face or an overlap counts as none.
    gap:    mm, by which edges may miss each other when a model is folded up as a check.
    """

    length: float = 1e-6
    angle: float = 1e-7
    area: float = 1e-6
    gap: float = 1e-6


DEFAULT_TOLERANCE = Tolerance()
