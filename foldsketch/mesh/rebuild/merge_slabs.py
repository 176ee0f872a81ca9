"""Stack: layers of one figure that follow on each other become one."""

from __future__ import annotations

from dataclasses import replace
from math import atan, hypot

import numpy as np

from foldsketch.mesh.rebuild.section_shapes import SectionShape
from foldsketch.mesh.rebuild.slabs import ExtrudedShape
from foldsketch.part.model import Point2


def merge_stacked_shapes(layers: list[ExtrudedShape], slack: float) -> list[ExtrudedShape]:
    """Layers of one figure that follow on each other become one. slack: mm that corners of the mesh may lie off."""
    runs: list[ExtrudedShape] = []
    for layer in layers:
        home = next((r for r in reversed(runs) if _can_merge(r, layer, slack)), None)
        if home is None:
            runs.append(replace(layer))
        else:
            home.high, home.r_high = layer.high, layer.r_high
    return runs


def _can_merge(a: ExtrudedShape, b: ExtrudedShape, slack: float) -> bool:
    f, g = a.section, b.section
    if f.kind != g.kind or f.cut != g.cut or abs(a.high - b.low) > 1e-9:
        return False
    if f.kind == "disc":
        if f.feature_index != g.feature_index or (f.feature_index < 0 and _centre_distance(f, g) > 1e-3):
            return False
        straight = abs(a.r_low - a.r_high) < 1e-9 and abs(b.r_low - b.r_high) < 1e-9
        if straight:
            return abs(a.r_low - b.r_low) < 1e-9
        if abs(a.r_high - b.r_low) > 1e-6:
            return False
        one = atan((a.r_high - a.r_low) / (a.high - a.low))
        return abs(one - atan((b.r_high - b.r_low) / (b.high - b.low))) < 1e-5
    if f.kind == "hull":
        return len(f.circles) == len(g.circles) and bool(
            np.abs(np.array(sorted(f.circles)) - np.array(sorted(g.circles))).max() < 20 * slack + 1e-4
        )
    if f.kind == "regular":
        close = abs(f.across_flats - g.across_flats) < 20 * slack + 1e-3 and abs(f.rotation - g.rotation) < 1e-3
        return f.sides == g.sides and close and hypot(f.centre[0] - g.centre[0], f.centre[1] - g.centre[1]) < 1e-3
    return _same_outline(f.points, g.points, 20 * slack + 2e-3)


def _centre_distance(f: SectionShape, g: SectionShape) -> float:
    """Distance of the centres of two discs, mm."""
    return hypot(f.circles[0][0] - g.circles[0][0], f.circles[0][1] - g.circles[0][1])


def _same_outline(a: tuple[Point2, ...], b: tuple[Point2, ...], slack: float) -> bool:
    from shapely import Polygon

    one, other = Polygon(a), Polygon(b)
    if not (one.is_valid and other.is_valid):
        return False
    return bool(one.symmetric_difference(other).area < slack * max(one.length, 1e-9))
