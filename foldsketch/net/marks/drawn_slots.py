"""A keyway, slot or rib that is drawn and not built: its outline on the faces that it opens in or stands on."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from foldsketch.net.marks.panel_view import PanelView, ScaledAxis
from foldsketch.net.model import PaperLine
from foldsketch.part.model import Axis, Feature, Plate

if TYPE_CHECKING:
    from shapely import Polygon

SAME_PLACE_MM = 1e-6
"""Levels and lengths nearer to each other than this, mm, are one."""


def slot_lines(s: PanelView, f: Feature, axis: Axis, line: ScaledAxis, scale: float) -> Iterator[PaperLine]:
    """The straight edges of a slot on a panel that is square to its axis or along it, paper mm.

    f: a plate with an outline, part mm; line: its axis at paper scale. Edges of the panel are left out.
    """
    from shapely import Polygon

    assert isinstance(f.shape, Plate)
    shape = _on_panel(s, f, axis, line, scale)
    if shape is None:
        return
    panel = Polygon(s.loops[0], s.loops[1:])
    inside = shape.intersection(panel)
    if inside.area < SAME_PLACE_MM:
        return
    edges = inside.boundary.difference(panel.boundary.buffer(10 * SAME_PLACE_MM))
    for run in getattr(edges, "geoms", [edges]):
        for (ax, ay), (bx, by) in pairwise(run.coords):
            if abs(bx - ax) + abs(by - ay) > 1e-3:
                yield ((ax, ay), (bx, by))


def _on_panel(s: PanelView, f: Feature, axis: Axis, line: ScaledAxis, scale: float) -> Polygon | None:
    """The slot where the plane of a panel cuts it, as a polygon on its paper; None where it does not."""
    from shapely import LineString, Polygon, box

    assert isinstance(f.shape, Plate)
    ex, ey, _ = (np.array(v) for v in axis.frame)
    outline = np.array(f.shape.outline) * scale
    steep = float(line.direction @ s.normal)
    base = float((s.panel.origin - line.point) @ line.direction)
    if abs(abs(steep) - 1) < 1e-9:
        if not f.cut and abs(base - (f.start if steep > 0 else f.end) * scale) > SAME_PLACE_MM:
            return None
        # A slot opens here if it goes on into the material behind the panel.
        ahead, behind = (f.start * scale, base) if steep > 0 else (base, f.end * scale)
        inside = f.start * scale - SAME_PLACE_MM <= base <= f.end * scale + SAME_PLACE_MM
        if f.cut and (not inside or behind - ahead <= SAME_PLACE_MM):
            return None
        return Polygon(s.to_paper(line.point + base * line.direction + outline @ np.array([ex, ey])))
    if abs(steep) > 1e-9 or not f.cut:
        return None
    across = np.cross(s.normal, line.direction)
    foot = line.point + float((s.panel.origin - line.point) @ s.normal) * s.normal
    level = np.array([float((foot - line.point) @ ex), float((foot - line.point) @ ey)])
    way = np.array([float(across @ ex), float(across @ ey)])
    reach = float(np.abs(outline).max()) * 4 + float(np.abs(level).max())
    cut = LineString([level - reach * way, level + reach * way]).intersection(Polygon(outline))
    if cut.geom_type != "LineString" or cut.length < SAME_PLACE_MM:
        return None
    a, b = ((np.array(p) - level) @ way for p in (cut.coords[0], cut.coords[-1]))
    corners = [(t, z) for t, z in box(min(a, b), f.start * scale, max(a, b), f.end * scale).exterior.coords][:4]
    return Polygon([s.to_paper(foot + t * across + z * line.direction).tolist() for t, z in corners])
