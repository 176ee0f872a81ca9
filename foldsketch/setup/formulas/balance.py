"""Balance: unbalance, the force it makes, the speed at which it reaches a grade, and the counterweight against it.

A grade G is the permissible eccentricity of the centre of mass times angular speed, mm/s [ISO 21940-11:2016, formerly
ISO 1940-1].
"""

from __future__ import annotations

from math import inf, pi


def angular_speed(speed: float) -> float:
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
    return amount * 1e-6 * angular_speed(speed) ** 2


def speed_at_grade(mass: float, amount: float, grade: float) -> float:
    """Speed, r/min, at which an unbalance in g mm of a rotor of so many kg reaches a grade: w = 1000 G m / U.

    Infinite for none.
    """
    return inf if amount <= 0 else 1000 * grade * mass / amount * 30 / pi


def counterweight(amount: float, angle: float, radius: float) -> tuple[float, float]:
    """Mass, kg, at a radius in mm and its angle, radians, that takes an unbalance in g mm at an angle away."""
    return amount / 1000 / radius, (angle + pi) % (2 * pi)
