"""Units at the door: the house works in mm and radians, files speak mm or inches and degrees."""

from __future__ import annotations

import math

MM_PER_UNIT: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "um": 0.001}
"""Millimetres in one of each unit (the inch is 25.4 mm exactly by international agreement)."""

POINTS_PER_MM = 72.0 / 25.4
"""PDF points in a millimetre (ISO 32000-1, 8.3.2.3: the default unit is 1/72 inch)."""


def normalized_degrees(radians: float) -> float:
    """Radians to degrees, with 360 folded to 0 and no negative zero.

    >>> normalized_degrees(math.pi / 2)
    90.0
    """
    value = math.degrees(radians) % 360.0
    return 0.0 if math.isclose(value, 360.0, abs_tol=1e-9) else value


def format_number(value: float, places: int = 3) -> str:
    """A number as the trade writes it: no trailing zeros, no negative zero.

    >>> format_number(14.0), format_number(0.30000001), format_number(-0.00001)
    ('14', '0.3', '0')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def format_count(count: int, what: str) -> str:
    """A number of things, in words that agree.

    >>> format_count(1, "net"), format_count(3, "net")
    ('1 net', '3 nets')
    """
    return f"{count} {what}{'' if count == 1 else 's'}"
