"""Rolled walls on paper: the panels that are bent and not creased are one strip for whoever looks for room on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from foldsketch.base.arrays import Array
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.model import Mark, Panel, Piece


def rolled_strips(piece: Piece) -> list[list[int]]:
    """Ids of the panels of every rolled strip of a piece, in rising order; none for a piece that is folded only."""
    parent: dict[int, int] = {}

    def top(k: int) -> int:
        while parent[k] != k:
            k = parent[k]
        return k

    for f in piece.folds:
        if f.rolled:
            a, b = (top(parent.setdefault(k, k)) for k in f.panels)
            parent[max(a, b)] = min(a, b)
    found: dict[int, list[int]] = {}
    for k in sorted(parent):
        found.setdefault(top(k), []).append(k)
    return list(found.values())


def merge_panels(panels: list[Panel]) -> Panel:
    """Panels that lie side by side on paper as one; it stands where the middle one does."""
    import shapely

    united = shapely.union_all(RaggedPolygons.of([(p.outline, *p.holes) for p in panels]).shapes, grid_size=1e-6)
    largest = max(shapely.get_parts(united), key=lambda s: float(s.area))
    shape = shapely.normalize(shapely.simplify(largest, 1e-6))
    outer, *holes = (shapely.get_coordinates(r)[:-1] for r in (shape.exterior, *shape.interiors))
    middle = panels[len(panels) // 2]
    return replace(middle, outline=_orient_loop(outer, 1.0), holes=tuple(_orient_loop(h, -1.0) for h in holes))


def _orient_loop(loop: Array, sense: float) -> Array:
    """The loop anticlockwise (sense 1) or clockwise (-1)."""
    x, y = loop.T
    area = float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return loop if area * sense > 0 else loop[::-1]


def assign_marks_to_panels(marks: Sequence[Mark], piece: Piece) -> tuple[Mark, ...]:
    """Marks on a rolled strip, each given to the panel of the strip that its anchor lies on."""
    import shapely

    panels = {p.id: p for p in piece.panels}
    owner = {k: own for own in rolled_strips(piece) for k in own}
    if not owner:
        return tuple(marks)
    result = []
    for m in marks:
        own = owner.get(-1 if m.panel is None else m.panel)
        if own:
            shapes = RaggedPolygons.of([(panels[k].outline, *panels[k].holes) for k in own]).shapes
            away = shapely.distance(shapes, shapely.points(*m.at))
            m = m._replace(panel=own[int(away.argmin())])
        result.append(m)
    return tuple(result)
