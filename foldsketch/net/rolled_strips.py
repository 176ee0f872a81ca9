"""Rolled walls on paper: panels that are bent and not creased make one strip, on which marks may cross their edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from foldsketch.geometry.graphs import DisjointSets
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.model import Mark, Panel, Piece

MERGE_GRID_MM = 1e-6
"""Grid, mm, on which panels are united, and by which the outline of a strip may be simplified."""


def rolled_strips(piece: Piece) -> list[list[int]]:
    """Ids of the panels of every rolled strip of a piece, in rising order; none for a piece that is folded only."""
    sets = DisjointSets[int]()
    for f in piece.folds:
        if f.rolled:
            sets.unite(*f.panels)
    return sorted(sorted(strip) for strip in sets.groups())


def merge_panels(panels: list[Panel]) -> Panel:
    """Panels that are side by side on paper as one, with the place in space of the middle one."""
    import shapely

    shapes = shapely.make_valid(_shapes(panels))  # a wall cut at a slant can cross its own outline by some 0.03 mm
    united = shapely.union_all(shapes, grid_size=MERGE_GRID_MM)
    largest = max(shapely.get_parts(united), key=lambda s: float(s.area))
    shape = shapely.orient_polygons(shapely.normalize(shapely.simplify(largest, MERGE_GRID_MM)))
    outline, *holes = (shapely.get_coordinates(ring)[:-1] for ring in (shape.exterior, *shape.interiors))
    return replace(panels[len(panels) // 2], outline=outline, holes=tuple(holes))


def assign_marks_to_panels(marks: Sequence[Mark], piece: Piece) -> tuple[Mark, ...]:
    """Marks with those on a rolled strip given to the panel of the strip that their anchor is on."""
    import shapely

    strip_of = {k: strip for strip in rolled_strips(piece) for k in strip}
    if not strip_of:
        return tuple(marks)
    panels = {p.id: p for p in piece.panels}
    result = []
    for m in marks:
        strip = strip_of.get(-1 if m.panel is None else m.panel)
        if strip:
            away = shapely.distance(_shapes([panels[k] for k in strip]), shapely.points(*m.at))
            m = m._replace(panel=strip[int(away.argmin())])
        result.append(m)
    return tuple(result)


def _shapes(panels: Sequence[Panel]) -> Any:
    """Panels as shapely polygons."""
    return RaggedPolygons.from_loops([(p.outline, *p.holes) for p in panels]).shapes
