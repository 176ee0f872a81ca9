"""Castings: will a turned surface clean up when the cast one lies where it may, and how often.

The turned axis is where the set-up puts it; the cast surface's centre lies off it by up to the location tolerance, and
its diameter varies by its own tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from foldsketch.base.progress import Listener, ignore_progress

PARTS_PER_CHUNK = 100_000
"""Parts that are simulated at once."""


@dataclass(frozen=True, slots=True)
class CastStock:
    """stock: nominal, mm a side.

    location: how far the cast centre may lie from the turned axis, mm, in any direction; diameter: how far the cast
    diameter may be off its nominal either way, mm.
    """

    stock: float
    location: float
    diameter: float


@dataclass(frozen=True, slots=True)
class WorstCaseStock:
    """least, most: stock a side, mm, when everything adds up.

    cleans_up: some stock is left everywhere; take_up: what rocking or floating jaws must move on a held cast surface,
    mm each side of the middle.
    """

    least: float
    most: float
    cleans_up: bool
    take_up: float


@dataclass(frozen=True, slots=True)
class CleanUpYield:
    """fraction: of parts that clean up.

    error: its standard error; parts: how many were simulated; low: stock a side, mm, that 99.7 % of parts keep at their
    thinnest place.
    """

    fraction: float
    error: float
    parts: int
    low: float


def worst_case_stock(cast: CastStock) -> WorstCaseStock:
    """Least and most stock a side: nominal -+ (location + half the diameter's tolerance)."""
    deviation = cast.location + cast.diameter / 2
    least = cast.stock - deviation
    return WorstCaseStock(least, cast.stock + deviation, least > 0, deviation)


def simulate_yield(
    cast: CastStock, parts: int = 1_000_000, seed: int = 1, listener: Listener = ignore_progress
) -> CleanUpYield:
    """Monte Carlo: the centre equally likely anywhere in its circle, the diameter anywhere between its limits.

    A part cleans up where the stock at its thinnest place, stock + half the diameter's deviation - distance of the
    centre, is above 0. The same seed gives the same figure.
    """
    r = np.random.default_rng(seed)
    thinnest = np.empty(parts)
    for start in range(0, parts, PARTS_PER_CHUNK):
        n = min(PARTS_PER_CHUNK, parts - start)
        away = cast.location * np.sqrt(r.random(n))
        deviation = cast.diameter * (2 * r.random(n) - 1) / 2
        left = cast.stock + deviation - away
        thinnest[start : start + n] = left
        listener("castings", (start + n) / parts)
    fraction = float((thinnest > 0).mean())
    error = sqrt(max(fraction * (1 - fraction), 1 / parts) / parts)
    return CleanUpYield(fraction, error, parts, float(np.quantile(thinnest, 0.003)))
