"""Couple: what an unbalance spread along the axis does besides its resultant, and counterweights in two planes.

A rotor's resultant and its couple are judged apart [ISO 21940-11]. The couple is the product of inertia about the
centre of mass; its moment on the bearings grows with the square of the speed.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import NamedTuple

from foldsketch.part.mass.mass_properties import MassProperties
from foldsketch.setup.formulas.balance import angular_speed

G_PER_KG, KG_PER_MM3 = 1000.0, 1e-9
"""Grams in a kilogram; kg/mm3 in 1 kg/m3."""


class Unbalance(NamedTuple):
    """x, y: resultant, g mm.

    level: height of the centre of mass, mm; couple_x, couple_y: products of inertia Ixz and Iyz about the centre of
    mass, g mm2.
    """

    x: float
    y: float
    level: float
    couple_x: float
    couple_y: float

    @property
    def amount(self) -> float:
        """Resultant, g mm."""
        return hypot(self.x, self.y)

    @property
    def couple(self) -> float:
        """Couple, g mm2."""
        return hypot(self.couple_x, self.couple_y)


class PlaneWeight(NamedTuple):
    """Unbalance of one counterweight, g mm along x and y, in a plane at a height in mm."""

    level: float
    x: float
    y: float

    def mass(self, radius: float) -> float:
        """Kg of the weight at a radius in mm."""
        return hypot(self.x, self.y) / G_PER_KG / radius


def unbalance_about(mass: MassProperties, at: tuple[float, float]) -> Unbalance | None:
    """Resultant and couple of a body about the upright centreline through a point; None without a density.

    U = m (centre of mass - centreline). The couple is that of the body about its own centre of mass, so it is the same
    for every parallel centreline.
    """
    if mass.mass is None:
        return None
    density = mass.mass / mass.volume if mass.volume else 0.0
    x, y, z = mass.centroid
    grams = mass.mass * G_PER_KG
    products = (-mass.inertia[0][2], -mass.inertia[1][2])
    couple_x, couple_y = (v * density * G_PER_KG for v in products)
    return Unbalance(grams * (x - at[0]), grams * (y - at[1]), z, couple_x, couple_y)


def couple_moment(couple: float, speed: float) -> float:
    """Moment, N m, of a couple in g mm2 at a speed in r/min: w2 D (1 g mm2 = 1e-9 kg m2).

    >>> round(couple_moment(1000 * 10 * 50, 600), 3)  # 1 kg at 10 mm, twice, half a turn and 50 mm apart
    1.974
    """
    return couple * 1e-9 * angular_speed(speed) ** 2


def couple_left(u: Unbalance, planes: Sequence[float], share: float) -> float:
    """Couple, g mm2, with counterweights for an unbalance bolted on in planes at heights in mm.

    One plane balances the resultant and leaves D + U (z_c - z_w); two leave a share of the couple, as of the
    unbalance [D]. planes: none for no weight.

    >>> couple_left(Unbalance(100, 0, 30, 0, 0), (-20.0,), 0.05)
    5000.0
    """
    if len(planes) > 1:
        return share * u.couple
    arm = u.level - planes[0] if planes else 0.0
    return hypot(u.couple_x + u.x * arm, u.couple_y + u.y * arm)


def bearing_force(moment: float, span: float) -> float:
    """Force, N, on each of two bearings from a moment in N m: M / L, opposite ways [statics]. span: L, mm.

    >>> bearing_force(1.974, 220)
    8.972727272727273
    """
    return moment * 1000 / span


def two_plane_weights(u: Unbalance, planes: tuple[float, float]) -> tuple[PlaneWeight, PlaneWeight]:
    """Weights in two planes that take resultant and couple away.

    U2 = -(z_c U + D) / (z2 - z1) + z1 U / (z2 - z1), U1 = -U - U2: the sums of U and of z U + D are 0 [D]. planes:
    heights in mm, in the same frame as the body's, not the same.
    """
    z1, z2 = planes
    x2 = -(u.level * u.x + u.couple_x) / (z2 - z1) + z1 * u.x / (z2 - z1)
    y2 = -(u.level * u.y + u.couple_y) / (z2 - z1) + z1 * u.y / (z2 - z1)
    return PlaneWeight(z1, -u.x - x2, -u.y - y2), PlaneWeight(z2, x2, y2)
