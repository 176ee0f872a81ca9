"""Jaws: how a diameter is held off centre, by packing under one jaw of three or by four jaws set one by one.

Three jaws at 120 degrees, packing x under jaw 1 moves the work's centre by e straight away from that jaw. The other
two jaws touch at the radius Y = e/2 + sqrt(R2 - 3 e2/4), and the surface under jaw 1 lies at R - e, so narrow jaws
need x = Y - (R - e). Derived and checked by three-point circles; the same formula is published by R. Thibault,
'Turning an eccentric hole in a 3-jaw chuck' (2000).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import NamedTuple

from foldsketch.base.findings import mm
from foldsketch.setup.formulas.indicator import indicator_reading
from foldsketch.setup.messages import CANNOT_PACK, CENTRELINE_OUTSIDE

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
    diameter: float, offset: float, angle: float, jaws: Sequence[float] = (0.0, pi / 2, pi, 3 * pi / 2)
) -> tuple[JawSetting, ...]:
    """Settings of independent narrow jaws that hold a diameter off centre.

    angle: radians, the direction of the held diameter's centre from the centreline; jaws: their angles. A narrow jaw at
    an angle t from that direction touches at rho = e cos t + sqrt(R2 - e2 sin2 t); an indicator over the centreline
    reads the same there. Raises FoldsketchError for an offset that puts the centreline outside the diameter.
    """
    r = diameter / 2
    if offset >= r:
        raise CENTRELINE_OUTSIDE.error("four-jaw chuck", offset=mm(offset), diameter=mm(diameter))
    settings = []
    for jaw in jaws:
        t = jaw - angle
        contact = indicator_reading(r, offset, t)
        settings.append(JawSetting(jaw % (2 * pi), contact, contact - r, contact - r))
    return tuple(settings)
