"""Rules of thumb on the work itself: slender parts, thin walls, weight, and what each clamping adds to the location.

Common practice [C] or from memory [M]; none of them says that a work-piece will stay.
"""

from __future__ import annotations

from typing import Literal

CHUCK_ALONE_RATIO, CENTRE_RATIO = 3.0, 8.0
"""Free length over diameter up to which a chuck alone, and a tailstock centre, are enough [C]."""

SOFT_JAWS_WALL, AXIAL_CLAMPING_WALL = 1 / 15, 1 / 30
"""Wall over diameter below which soft jaws all round and half the grip, and clamping along the axis, are needed [M]."""

LIFT_KG = 20.0
"""Weight above which a lift is named [C]."""

Support = Literal["chuck alone", "centre", "steady"]
WallRule = Literal["none", "soft jaws", "along the axis"]

LOCATION_SHARE_MM: dict[str, float] = {
    "hard_jaws": 0.4,
    "fed_bar": 0.4,
    "pads": 0.1,
    "soft_jaws": 0.03,
    "hand_over": 0.02,
    "four_jaw": 0.02,
    "packed_three_jaw": 0.05,
    "bored_jaws": 0.05,
    "offset_fixture": 0.03,
    "face_plate": 0.02,
    "between_centres": 0.02,
    "driven": 0.02,
    "interpolated": 0.02,
}
"""What a clamping, a hand-over, or indexing with C and Y adds to the location between features of different clampings,
mm; shares are added, not squared [M]. Hard jaws: on a raw surface; a face plate is indicated like a four-jaw chuck."""


def support_for(free_length: float, diameter: float) -> Support:
    """What carries a slender part. free_length: mm beyond the jaws; diameter: held, or the least on that length, mm.

    >>> support_for(90, 30), support_for(91, 30), support_for(241, 30)
    ('chuck alone', 'centre', 'steady')
    """
    ratio = free_length / diameter
    return "chuck alone" if ratio <= CHUCK_ALONE_RATIO else "centre" if ratio <= CENTRE_RATIO else "steady"


def wall_rule(wall: float, diameter: float) -> WallRule:
    """How a thin wall may be gripped. wall: thickness, mm; diameter: gripped, mm.

    >>> wall_rule(6, 89), wall_rule(5, 90), wall_rule(2, 90)
    ('none', 'soft jaws', 'along the axis')
    """
    share = wall / diameter
    return "along the axis" if share < AXIAL_CLAMPING_WALL else "soft jaws" if share < SOFT_JAWS_WALL else "none"


def location_between(ways: tuple[str, ...]) -> float:
    """Location, mm, between features of two clampings: the sum of the shares of all that lies between them.

    >>> round(location_between(("soft_jaws", "hand_over", "driven")), 2)
    0.07
    """
    return sum(LOCATION_SHARE_MM[w] for w in ways)
