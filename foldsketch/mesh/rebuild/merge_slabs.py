"""Merge slabs: figures of neighbouring slabs that are one solid become one."""

from __future__ import annotations

from dataclasses import replace
from math import atan, hypot

import numpy as np

from foldsketch.mesh.rebuild.section_shapes import SectionShape
from foldsketch.mesh.rebuild.slabs import ExtrudedShape

MAX_SLOPE_CHANGE_RAD = 1e-5
"""Two cones of one round have the same half angle to within this."""


def merge_stacked_shapes(shapes: list[ExtrudedShape], slack: float) -> list[ExtrudedShape]:
    """Shapes with each one that continues another put together with it. slack: mm that corners may be off."""
    out: list[ExtrudedShape] = []
    for shape in shapes:
        home = next((r for r in reversed(out) if _continues(r, shape, slack)), None)
        if home is None:
            out.append(replace(shape))
        else:
            home.high, home.r_high = shape.high, shape.r_high
    return out


def _continues(a: ExtrudedShape, b: ExtrudedShape, slack: float) -> bool:
    """Whether b is the same figure as a and begins where a ends."""
    f, g = a.section, b.section
    if f.kind != g.kind or f.cut != g.cut or abs(a.high - b.low) > 1e-9:
        return False
    match f.kind:
        case "disc":
            same_round = f.feature_index == g.feature_index and (f.feature_index >= 0 or _centres_apart(f, g) <= 1e-3)
            return same_round and _same_slope(a, b)
        case "hull":
            return len(f.circles) == len(g.circles) and bool(
                np.abs(np.array(sorted(f.circles)) - np.array(sorted(g.circles))).max() < 20 * slack + 1e-4
            )
        case "regular":
            alike = abs(f.across_flats - g.across_flats) < 20 * slack + 1e-3 and abs(f.rotation - g.rotation) < 1e-3
            return f.sides == g.sides and alike and hypot(*np.subtract(f.centre, g.centre)) < 1e-3
    return _same_outline(f, g, 20 * slack + 2e-3)


def _centres_apart(f: SectionShape, g: SectionShape) -> float:
    """Distance of the centres of two discs, mm."""
    return hypot(f.circles[0][0] - g.circles[0][0], f.circles[0][1] - g.circles[0][1])


def _same_slope(a: ExtrudedShape, b: ExtrudedShape) -> bool:
    """Whether two discs are one cylinder, or one cone."""
    if abs(a.r_low - a.r_high) < 1e-9 and abs(b.r_low - b.r_high) < 1e-9:
        return abs(a.r_low - b.r_low) < 1e-9
    one, other = (atan((s.r_high - s.r_low) / (s.high - s.low)) for s in (a, b))
    return abs(a.r_high - b.r_low) <= 1e-6 and abs(one - other) < MAX_SLOPE_CHANGE_RAD


def _same_outline(f: SectionShape, g: SectionShape, slack: float) -> bool:
    from shapely import Polygon

    one, other = Polygon(f.points), Polygon(g.points)
    if not (one.is_valid and other.is_valid):
        return False
    return bool(one.symmetric_difference(other).area < slack * max(one.length, 1e-9))
