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


def second_moment_of_rectangle(width: float, height: float) -> float:
    """Second moment of area of a flat tool against a force along its height, mm4: w h3 / 12."""
    return width * height**3 / 12


def beam_deflection(force: float, overhang: float, moment: float, modulus: float = STEEL_MODULUS_N_PER_MM2) -> float:
    """Deflection at the tip, mm, under a force in N at an overhang in mm: F L3 / (3 E I). moment: I, mm4."""
    return force * overhang**3 / (3 * modulus * moment)


def deflection(force: float, overhang: float, diameter: float, modulus: float = STEEL_MODULUS_N_PER_MM2) -> float:
    """Deflection at the tip of a round bar, mm, under a force in N at its overhang in mm.

    >>> round(deflection(200, 60, 20), 7)
    0.0087308
    """
    return beam_deflection(force, overhang, second_moment_of_area(diameter), modulus)


def bar_type_for(ratio: float) -> str | None:
    """The plainest kind of bar that is usually run at an overhang ratio; None beyond them all."""
    return next((kind for kind, most in MAX_OVERHANG_RATIOS.items() if ratio <= most), None)
