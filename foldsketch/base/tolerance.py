"""One tolerance, passed in wherever two numbers are compared."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How near is equal.

    length: mm below which two positions are the same.
    angle:  radians below which two directions are the same.
    area:   mm2 below which a face or an overlap is nothing.
    gap:    mm that a refolded model may stand open before the oracle refuses it.
    """

    length: float = 1e-6
    angle: float = 1e-7
    area: float = 1e-6
    gap: float = 1e-6


DEFAULT_TOLERANCE = Tolerance()
