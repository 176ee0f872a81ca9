"""Balance: unbalance, the force it makes, the speed at which it reaches a grade, and the counterweight against it.

Grades and formulas: ISO 21940-11:2016, Table 1 and clause on permissible residual unbalance (formerly ISO 1940-1).
"""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, cos, hypot, inf, pi, sin

GRADES = (4000.0, 1600.0, 630.0, 250.0, 100.0, 40.0, 16.0, 6.3, 2.5, 1.0, 0.4)
"""Balance quality grades G: permissible eccentricity times angular speed, mm/s [ISO 21940-11:2016, Table 1]."""


def angular(speed: float) -> float:
    """Angular speed, rad/s, of a speed in r/min."""
    return speed * pi / 30


def unbalance(mass: float, distance: float) -> float:
    """Unbalance, g mm, of a mass in kg whose centre is a distance in mm from the centreline: U = m e.

    >>> unbalance(1.5, 2.0)
    3000.0
    """
    return 1000 * mass * distance


def centrifugal_force(amount: float, speed: float) -> float:
    """Centrifugal force, N, of an unbalance in g mm at a speed in r/min: F = U w2."""
    return amount * 1e-6 * angular(speed) ** 2


def permissible_eccentricity(speed: float, grade: float) -> float:
    """Permissible eccentricity of the centre of mass, um (g mm/kg), at a speed in r/min: e = 1000 G / w."""
    return 1000 * grade / angular(speed)


def permissible_unbalance(mass: float, speed: float, grade: float) -> float:
    """Permissible unbalance, g mm, of a rotor of so many kg at a speed in r/min: U = 1000 G m / w."""
    return permissible_eccentricity(speed, grade) * mass


def speed_at_grade(mass: float, amount: float, grade: float) -> float:
    """Speed, r/min, at which an unbalance in g mm of a rotor of so many kg reaches a grade: w = 1000 G m / U.

    Infinite for none.
    """
    return inf if amount <= 0 else 1000 * grade * mass / amount * 30 / pi


def speed_at_force(amount: float, force: float) -> float:
    """Speed, r/min, at which an unbalance in g mm makes a force in N; infinite for none."""
    return inf if amount <= 0 else (force / (amount * 1e-6)) ** 0.5 * 30 / pi


def counterweight(amount: float, angle: float, radius: float) -> tuple[float, float]:
    """Mass, kg, at a radius in mm and its angle, radians, that takes an unbalance in g mm at an angle away."""
    return amount / 1000 / radius, (angle + pi) % (2 * pi)


def resultant(masses: Iterable[tuple[float, float, float]]) -> tuple[float, float]:
    """Unbalance, g mm, and its angle, radians, of masses in one plane, each (kg, radius mm, angle radians)."""
    x = y = 0.0
    for mass, radius, angle in masses:
        x += 1000 * mass * radius * cos(angle)
        y += 1000 * mass * radius * sin(angle)
    return hypot(x, y), atan2(y, x) % (2 * pi)
