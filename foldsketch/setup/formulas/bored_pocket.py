"""A pocket bored off centre in three soft jaws: where they press, what limits the offset, what the indicator reads.

The frame is that of the jaws: the chuck's centre is the origin, jaw 1 points along +x, jaws 2 and 3 follow
anticlockwise; the pocket's centre lies at (e, 0). All formulas are plane geometry [D].
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, degrees, inf, pi, sin, sqrt
from typing import NamedTuple

from foldsketch.setup.formulas.jaws import BORED_JAW_EDGE_MM

JAW_ANGLES = (0.0, 2 * pi / 3, 4 * pi / 3)
"""Radians, of jaws 1 to 3 from jaw 1."""


class JawHouseValues(NamedTuple):
    """What the shop chooses for bored jaws; mm.

    clearance: bore over the largest held diameter; bore_over, depth_over: upper deviations, the lower ones are 0;
    centre: plus or minus on the pocket's centre; roughness: Ra in micrometres; relief: width and depth of the corner's
    relief; chamfer: of the wall's upper edge, at 45 degrees; beside_through: between what is cut through and the hole
    in the jaws. All are common practice [C].
    """

    clearance: float = 0.02
    bore_over: float = 0.03
    depth_over: float = 0.05
    centre: float = 0.02
    roughness: float = 1.6
    relief: tuple[float, float] = (1.0, 0.5)
    chamfer: float = 0.5
    beside_through: float = 2.0


@dataclass(frozen=True, slots=True)
class JawContact:
    """Where a jaw presses: the point of the pocket's wall whose normal is the jaw's own direction.

    jaw: number; at: x, y in the jaws' frame, mm; beside: mm from the jaw's middle line; from_centre: mm along it.
    """

    jaw: int
    at: tuple[float, float]
    beside: float
    from_centre: float


def jaw_contacts(radius: float, offset: float) -> tuple[JawContact, ...]:
    """The contacts of the three jaws on a pocket of a radius, mm.

    A jaw at angle t meets it at R from the pocket's centre, so at e cos t + R along its middle line and e sin t beside
    it: 0.866 e for jaws 2 and 3.

    >>> [(round(c.beside, 2), round(c.from_centre, 2)) for c in jaw_contacts(45, 20)]
    [(0.0, 65.0), (17.32, 35.0), (17.32, 35.0)]
    """
    return tuple(
        JawContact(
            k,
            (offset + radius * cos(t), radius * sin(t)),
            abs(offset * sin(t)),
            offset * cos(t) + radius,
        )
        for k, t in enumerate(JAW_ANGLES, 1)
    )


def largest_bored_offset(diameter: float, width: float, smallest: float, largest: float) -> float:
    """The largest offset, mm, to which jaws of a width can be bored for a diameter; below 0 where none can.

    2 (0.866 e + 2) <= width; R - e / 2 >= smallest / 2; e + R <= largest / 2, so that a wall is left.
    smallest, largest: diameters that the chuck holds, mm.

    >>> round(largest_bored_offset(90, 60, 15, 210), 2)
    32.33
    """
    by_width = (width / 2 - BORED_JAW_EDGE_MM) * 2 / sqrt(3)
    by_depth = diameter - smallest
    return min(by_width, by_depth, (largest - diameter) / 2)


def angle_tolerance(offset: float, centre: float) -> float:
    """Degrees, plus or minus, by which the pocket's direction may be off for a centre within so many mm.

    >>> round(angle_tolerance(20, 0.02), 3)
    0.057
    """
    return degrees(atan(centre / offset)) if offset else inf
