"""A tool that sticks out: how far it bends under a force at its tip.

Beam tables, e.g. E. Isakov, 'Boring: calculating deflection', Cutting Tool Engineering, July 2019.
"""

from __future__ import annotations

from math import pi

STEEL_MODULUS_N_PER_MM2 = 210_000.0
"""Young's modulus of steel, N/mm2."""

MAX_OVERHANG_RATIOS = {"solid steel": 4.0, "heavy metal": 6.0, "carbide": 8.0, "damped": 10.0}
"""Overhang over diameter up to which bars are usually run [common practice, from memory]."""


def second_moment_of_area(diameter: float) -> float:
    """Second moment of area of a round bar, mm4: pi d4 / 64."""
    return pi * diameter**4 / 64


def deflection(force: float, overhang: float, diameter: float, modulus: float = STEEL_MODULUS_N_PER_MM2) -> float:
    """Deflection at the tip, mm, of a round bar under a force in N at its overhang in mm: F L3 / (3 E I).

    >>> round(deflection(200, 60, 20), 7)
    0.0087308
    """
    return force * overhang**3 / (3 * modulus * second_moment_of_area(diameter))


def bar_type_for(ratio: float) -> str | None:
    """The plainest kind of bar that is usually run at an overhang ratio; None beyond them all."""
    return next((kind for kind, most in MAX_OVERHANG_RATIOS.items() if ratio <= most), None)
