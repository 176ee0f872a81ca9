"""Units: inside everything is mm and radians; files and sentences have mm or inches, and degrees."""

from __future__ import annotations

import math

MM_PER_UNIT: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "um": 0.001}
"""Millimetres in one of each unit (the inch is 25.4 mm exactly by international agreement)."""

POINTS_PER_MM = 72.0 / 25.4
"""PDF points in a millimetre (ISO 32000-1, 8.3.2.3: the default unit is 1/72 inch)."""


def normalized_degrees(radians: float) -> float:
    """Radians to degrees, 0 up to 360.

    >>> normalized_degrees(math.pi / 2)
    90.0
    """
    value = math.degrees(radians) % 360.0
    return 0.0 if math.isclose(value, 360.0, rel_tol=0.0, abs_tol=1e-9) else value


def format_number(value: float, places: int = 3) -> str:
    """A number without trailing zeros and without a negative zero.

    >>> format_number(14.0), format_number(0.30000001), format_number(-0.00001)
    ('14', '0.3', '0')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def plural(noun: str) -> str:
    """A noun for more than one.

    >>> plural("net"), plural("axis"), plural("body"), plural("box")
    ('nets', 'axes', 'bodies', 'boxes')
    """
    if noun.endswith("is"):
        return noun[:-2] + "es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + ("es" if noun.endswith(("s", "x", "ch", "sh")) else "s")


def format_count(count: int, noun: str) -> str:
    """A number of things.

    >>> format_count(1, "net"), format_count(3, "net")
    ('1 net', '3 nets')
    """
    return f"{count} {noun if count == 1 else plural(noun)}"
