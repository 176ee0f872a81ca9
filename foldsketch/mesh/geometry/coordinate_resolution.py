"""Grain: the step to which the coordinates of a file are rounded, found from the numbers themselves."""

from __future__ import annotations

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.mesh.geometry.measure import coordinate_bounds


def estimate_resolution(corners: Array, single: bool) -> float:
    """Rounding step of corners (n, 3), in their own unit.

    The largest of: the spacing of 32-bit numbers at the largest coordinate (when single), a fixed number of decimals,
    a fixed number of significant digits, a fixed number of binary places. A few round numbers prove nothing: the last
    digit must vary.

    >>> estimate_resolution(np.round(np.random.default_rng(1).random((300, 3)) * 40, 2), False)
    0.01
    """
    largest = float(max(corners.max(), -corners.min()))
    low, high = coordinate_bounds(corners)
    size = float((high - low).max())
    spacing = float(np.spacing(np.float32(largest))) if single else float(np.spacing(largest)) * 4
    step = max(1, corners.size // 6000)
    values = np.unique(np.abs(corners.ravel()[::step]))
    values = values[values > 0]
    if len(values) < 12:
        return max(spacing, 1e-12)
    slack = np.maximum(values, largest * 1e-3) * (1.2e-7 if single else 1e-13)
    return max(
        spacing,
        _decimal_step(values, slack, size, spacing),
        _significant_digit_step(values, slack, size, spacing),
        _binary_step(values, size, spacing),
        1e-12,
    )


def _has_varied_digits(last: Array) -> bool:
    return len(np.unique(last)) >= 6 and len(last) >= 24


def _decimal_step(values: Array, slack: Array, size: float, spacing: float) -> float:
    """Step when all values are whole multiples of a power of ten, else 0."""
    for places in range(-3, 7):
        step = 10.0**-places
        whole = np.round(values / step)
        if (np.abs(values - whole * step) <= slack).all():
            return step if _has_varied_digits(whole % 10) and spacing < step < 4e-3 * size else 0.0
    return 0.0


def _significant_digit_step(values: Array, slack: Array, size: float, spacing: float) -> float:
    """Step at the largest value when all values have the same few significant digits, else 0."""
    power = np.floor(np.log10(values))
    for digits in range(4, 8):
        step = 10.0 ** (power - digits + 1)
        turns = values / step
        if (np.abs(turns - np.round(turns)) * step <= np.maximum(slack * values / values.max(), values * 1e-13)).all():
            top = float(step.max())
            return top if _has_varied_digits(np.round(turns) % 10) and spacing < top < 4e-3 * size else 0.0
    return 0.0


def _binary_step(values: Array, size: float, spacing: float) -> float:
    """Step when all values are whole multiples of a power of two, as of a part that stood far away, else 0."""
    for places in range(4, 24):
        turns = values * 2.0**places
        if (turns == np.round(turns)).all():
            step: float = 2.0**-places
            return step if _has_varied_digits(turns % 16) and spacing < step < 4e-3 * size else 0.0
    return 0.0
