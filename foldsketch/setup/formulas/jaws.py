"""Jaws: how a diameter is held off centre, by packing under one jaw of three or by four jaws set one by one.

Three jaws at 120 degrees, packing x under jaw 1 moves the work's centre by e straight away from that jaw. The other
two jaws touch at the radius Y = e/2 + sqrt(R2 - 3 e2/4), and the surface under jaw 1 lies at R - e, so narrow jaws
need x = Y - (R - e). Derived and checked by three-point circles; the same formula is published by R. Thibault,
'Turning an eccentric hole in a 3-jaw chuck' (2000).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, cos, pi, sin, sqrt
from typing import NamedTuple

from foldsketch.base.findings import mm
from foldsketch.setup.formulas.indicator import indicator_reading
from foldsketch.setup.messages import CANNOT_PACK, CENTRELINE_OUTSIDE

BORED_JAW_EDGE_MM, LOADING_STROKE_MM = 2.0, 2.0
"""Left beside the contact at the edge of a bored jaw; jaw travel to load the part; both mm [C]."""

JAW_CONTACT_POINTS = {"plain": 3, "rocking": 6}
"""Points on which a three-jaw chuck holds: plain jaws, and jaws with two rocking inserts each [common practice]."""


def frictionless_offset_limit(diameter: float) -> float:
    """The offset, mm, at which the two unpacked narrow jaws touch opposite ends of a diameter: D / (2 sqrt 3).

    At and beyond it they cannot hold without friction.
    """
    return diameter / (2 * sqrt(3))


def narrow_jaw_packing(diameter: float, offset: float) -> float:
    """Packing, mm, under one narrow jaw for an offset: 1.5 e + (sqrt(D2 - 3 e2) - D) / 2.

    Raises FoldsketchError beyond D / sqrt 3, where the other two jaws no longer touch.

    >>> round(narrow_jaw_packing(50, 5), 6)
    7.122145
    """
    if 3 * offset * offset > diameter * diameter:
        limit = frictionless_offset_limit(diameter)
        raise CANNOT_PACK.error("three-jaw packing", diameter=mm(diameter), offset=mm(offset), limit=mm(limit))
    return 1.5 * offset + (sqrt(diameter * diameter - 3 * offset * offset) - diameter) / 2


def flat_jaw_packing(offset: float) -> float:
    """Packing, mm, under one wide flat jaw: the faces stay square to their radii, so x = 1.5 e."""
    return 1.5 * offset


def wide_jaw_packing(diameter: float, offset: float, width: float) -> float:
    """Packing, mm, for jaws with flat faces of a width: 1.5 e + sqrt(R2 - h2) - R, h = max(0, e sqrt 3 / 2 - w / 2).

    Raises FoldsketchError where the edges of the other two jaws no longer touch.
    """
    h = max(0.0, offset * sqrt(3) / 2 - width / 2)
    r = diameter / 2
    if h > r:
        narrow_jaw_packing(diameter, offset)  # raises the error
    return 1.5 * offset + sqrt(r * r - h * h) - r


def corrected_packing(offset: float, measured: float) -> float:
    """The second trial after a first packing of 1.5 e gave a measured offset: 1.5 e + 1.5 (e - measured).

    A trade textbooks' rule: try, measure, add one and a half times what is missing.

    >>> round(corrected_packing(3, 2.92), 6)
    4.62
    """
    return flat_jaw_packing(offset) + 1.5 * (offset - measured)


class JawPacking(NamedTuple):
    """What goes under one jaw of three, mm.

    For narrow jaws, for wide flat ones, and for a chuck's own jaws, which are width mm wide.
    """

    narrow: float
    flat: float
    for_chuck_jaws: float
    width: float


def jaw_packing(diameter: float, offset: float, width: float) -> JawPacking:
    """The packing for an offset of a diameter in a chuck whose jaws have a width. Raises FoldsketchError."""
    narrow, own = narrow_jaw_packing(diameter, offset), wide_jaw_packing(diameter, offset, width)
    return JawPacking(narrow, flat_jaw_packing(offset), own, width)


@dataclass(frozen=True, slots=True)
class JawSetting:
    """angle: radians, of the jaw.

    contact_radius: mm from the chuck's centre to the jaw's contact; moved: mm outward from where the jaw is for centred
    work; reading: mm, of an indicator on the held diameter when this jaw passes it, compared with centred work.
    """

    angle: float
    contact_radius: float
    moved: float
    reading: float


def four_jaw_settings(
    diameter: float,
    offset: float,
    angle: float,
    jaws: Sequence[float] = (0.0, pi / 2, pi, 3 * pi / 2),
    width: float = 0.0,
) -> tuple[JawSetting, ...]:
    """Settings of independent jaws with flat faces of a width that hold a diameter off centre.

    angle: radians, the direction of the held diameter's centre from the centreline; jaws: their angles; width: mm, 0
    for narrow jaws. A jaw at an angle t from that direction touches at e cos t + sqrt(R2 - max(0, |e sin t| - w / 2)2)
    [D]; an indicator over the centreline reads there what a narrow jaw has. Raises FoldsketchError for an offset that
    puts the centreline outside the diameter.

    >>> [round(j.contact_radius, 2) for j in four_jaw_settings(90, 20, 0.0, width=25)]
    [65.0, 44.37, 25.0, 44.37]
    """
    r = diameter / 2
    if offset >= r:
        raise CENTRELINE_OUTSIDE.error("four-jaw chuck", offset=mm(offset), diameter=mm(diameter))
    settings = []
    for jaw in jaws:
        t = jaw - angle
        beside = max(0.0, abs(offset * sin(t)) - width / 2)
        contact = offset * cos(t) + sqrt(r * r - beside * beside)
        settings.append(JawSetting(jaw % (2 * pi), contact, contact - r, indicator_reading(r, offset, t) - r))
    return tuple(settings)


def jaw_edge_slope(diameter: float, offset: float, turn: float, width: float) -> float:
    """Angle, radians, at which the edge of a flat jaw bears on a round off centre, 0 where its flat does [D].

    turn: of the jaw from the direction of the round's centre, radians. Steeper than atan(friction) the jaw slides, and
    pushes the work out sideways.

    >>> from math import degrees, pi
    >>> round(degrees(jaw_edge_slope(140, 36, pi / 2, 28)), 1)
    18.3
    """
    return asin(min(1.0, max(0.0, abs(offset * sin(turn)) - width / 2) / (diameter / 2)))


@dataclass(frozen=True, slots=True)
class BoredJaws:
    """Soft jaws of a three-jaw chuck bored off centre.

    width: that they need, mm; least_radius: of the jaw bored nearest to the chuck's centre, mm; wide_enough,
    within_chuck: whether these jaws and this chuck have them.
    """

    width: float
    least_radius: float
    wide_enough: bool
    within_chuck: bool


def bored_jaws(diameter: float, offset: float, soft_jaw_width: float, smallest: float) -> BoredJaws:
    """Three jaws bored for a diameter with its centre off the chuck's by an offset along jaw 1, mm.

    Jaws 2 and 3 meet the diameter 0.866 e sideways of their middle, and 2 mm must stay beside it:
    2 (0.866 e + 2) <= width; they do so at R - e / 2 from the chuck's centre, not below the least radius of the chuck
    [D]. smallest: diameter that the chuck holds.

    >>> round(bored_jaws(90, 20, 60, 15).width, 2)
    38.64
    """
    width, least = 2 * (offset * sqrt(3) / 2 + BORED_JAW_EDGE_MM), diameter / 2 - offset / 2
    return BoredJaws(width, least, width <= soft_jaw_width, least >= smallest / 2)


def jaw_stroke_needed(largest: float, smallest: float) -> float:
    """Stroke of each jaw, mm, that takes the work in and grips it.

    Half of what the greatest diameter that goes by the open jaws has over the gripped one, and 2 mm to load [C].

    >>> jaw_stroke_needed(94, 90)
    4.0
    """
    return (largest - smallest) / 2 + LOADING_STROKE_MM
