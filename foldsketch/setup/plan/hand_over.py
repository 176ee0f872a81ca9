"""How a sub-spindle takes the work over: angles of both spindles, where its jaws are, and when it may go back."""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from foldsketch.setup.access.sweep import z_extent
from foldsketch.setup.model import SetUp

STEP_ANGLE = 1e-6
"""A jaw within this angle of X faces it, radians."""


class HandOver(NamedTuple):
    """Main to sub-spindle.

    main, sub: C of the spindles, radians: the angle on the part, anticlockwise seen on each chuck's own face from the
    part's x, that stands on the machine's +X [ISO 841: C follows the tool]. There the axis that comes onto the
    centreline is on +X of the one before; the chucks look at each other, so the sub's angle is mirrored. jaw_1: where
    jaw 1 of the sub then points, from +X, seen on its face, None without jaws; gap: between the jaws of both chucks
    along z, mm; draw_back: what of the work is in the main spindle's chuck, mm: it is out before X goes back.
    """

    main: float
    sub: float
    jaw_1: float | None
    gap: float
    draw_back: float


def hand_over(before: SetUp, s: SetUp) -> HandOver:
    """From a set-up on the main spindle to the next one on the sub-spindle."""
    one, other = before.clamping.grip_range, s.clamping.grip_range
    ends = [z_extent(before.work, f) for f in before.work.features if not f.cut]
    up = before.clamping.from_end == "+z"
    inside = one[1] - min(e[0] for e in ends) if up else max(e[1] for e in ends) - one[0]
    seen_from_top = 1.0 if s.clamping.from_end == "+z" else -1.0
    jaw = seen_from_top * (s.angle + s.jaws[0].angle - s.orientation) % (2 * pi) if s.jaws else None
    gap = max(one[0], other[0]) - min(one[1], other[1])
    sub = seen_from_top * s.orientation
    return HandOver(-sub % (2 * pi), sub % (2 * pi), jaw, gap, inside)


def facing_text(angle: float) -> str:
    """Where a jaw points.

    >>> facing_text(0.0), facing_text(pi), facing_text(pi / 6)
    ('+X', '-X', '30° from +X')
    """
    for text, toward in (("+X", 0.0), ("-X", pi), ("+X", 2 * pi)):
        if abs(angle - toward) < STEP_ANGLE:
            return text
    return f"{angle * 180 / pi:.0f}° from +X"
