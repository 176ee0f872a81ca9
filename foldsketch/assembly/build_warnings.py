"""What will be hard to build, found before anyone cuts: narrow panels, tabs and bridges, and slender necks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import dist, sqrt
from typing import Any

import numpy as np

from foldsketch.assembly.messages import (
    NARROW_BRIDGES,
    NARROW_PANELS,
    NARROW_TABS,
    PANELS_WITHOUT_WIDTH,
    SLENDER_NECK,
)
from foldsketch.base.arrays import segments_to_array
from foldsketch.base.findings import Finding, mm
from foldsketch.geometry.graphs import breadth_first
from foldsketch.geometry.polygon_loops import perimeter, signed_area
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.model import Panel, Piece, Tab

MIN_COMFORTABLE_WIDTH_MM = 3.0
"""Panels and tabs narrower than this, mm, want tweezers [common practice]."""

NO_WIDTH_MM = 1e-3
"""A panel narrower than this, mm, has no width: it comes from numbers that were meant to be equal."""

MIN_NECK_FOLD_MM = 4.0
"""A fold shorter than this, mm, that alone holds two large parts of a net together tears."""

MIN_BRIDGE_WIDTH_MM = 1.5
"""A bridge, which is what is left of a panel beside an opening or between two notches, tears where it is narrower, mm
[common practice]."""

BRIDGE_STEP_MM = 0.01
"""How closely the width of a bridge is measured, mm."""

MIN_BRIDGED_AREA_MM2 = 1.0
"""What breaks off a panel counts from this area on, mm2."""

LARGE_NET_PART_MM = 15.0
"""What a neck holds is large from this extent on, mm."""


def find_build_warnings(pieces: Sequence[Piece]) -> list[Finding]:
    """Notes on what will be hard to build, one for each kind and one for each neck."""
    found = []
    limit = mm(MIN_COMFORTABLE_WIDTH_MM)
    panels = [(equivalent_width(p), p.feature) for piece in pieces for p in _creased_panels(piece)]
    narrow = [(w, feature) for w, feature in panels if w < MIN_COMFORTABLE_WIDTH_MM]
    if narrow:
        least, feature = min(narrow)
        found.append(NARROW_PANELS.at(count=len(narrow), limit=limit, narrowest=mm(least, 1), feature=feature))
    tabs = [
        w for w in tab_widths([t for piece in pieces for t in piece.tabs if not t.part]) if w < MIN_COMFORTABLE_WIDTH_MM
    ]
    if tabs:
        found.append(NARROW_TABS.at(count=len(tabs), limit=limit, narrowest=mm(min(tabs), 1)))
    bridges = narrow_bridge_widths(pieces)
    if bridges:
        limit = mm(MIN_BRIDGE_WIDTH_MM)
        found.append(NARROW_BRIDGES.at(count=len(bridges), limit=limit, narrowest=mm(min(bridges), 1)))
    for piece in pieces:
        neck = _shortest_neck(piece)
        if neck is not None:
            found.append(SLENDER_NECK.at(f"net {piece.id}", length=mm(neck, 1)))
    return found


def find_panels_without_width(pieces: Sequence[Piece]) -> list[Finding]:
    """An error for every feature with panels in which no circle of NO_WIDTH_MM finds room."""
    import shapely

    panels = [p for piece in pieces for p in piece.panels]
    shapes = RaggedPolygons.from_loops([(p.outline, *p.holes) for p in panels]).shapes
    # The radius of the largest circle in a shape is at least its area over its perimeter.
    suspects = np.flatnonzero(shapely.area(shapes) < NO_WIDTH_MM / 2 * shapely.length(shapes))
    thin = suspects[shapely.is_empty(shapely.buffer(shapes[suspects], -NO_WIDTH_MM / 2, join_style="mitre"))]
    counts = Counter(panels[k].feature for k in thin.tolist())
    limit = mm(NO_WIDTH_MM, 3)
    return [PANELS_WITHOUT_WIDTH.at(f"feature '{name}'", count=n, limit=limit) for name, n in counts.items()]


def narrow_bridge_widths(pieces: Sequence[Piece]) -> list[float]:
    """The width of the narrowest bridge, mm, of every panel where it is below MIN_BRIDGE_WIDTH_MM.

    A panel has a bridge of width w if it falls apart, or opens a hole, when it is inset by w / 2.
    """
    import shapely

    loops = [[p.outline, *p.holes] for piece in pieces for p in piece.panels if p.holes or _is_concave(p)]
    if not loops:
        return []
    shapes = RaggedPolygons.from_loops(loops).shapes
    whole = _parts_less_openings(shapes)

    def broken(width: float, some: Any) -> Any:
        return _parts_less_openings(shapely.buffer(shapes[some], -width / 2, join_style="mitre")) != whole[some]

    found = []
    for k in np.flatnonzero(broken(MIN_BRIDGE_WIDTH_MM, slice(None))).tolist():
        low, high = 0.0, MIN_BRIDGE_WIDTH_MM
        while high - low > BRIDGE_STEP_MM:
            middle = (low + high) / 2
            low, high = (low, middle) if broken(middle, [k])[0] else (middle, high)
        found.append(high)
    return found


def _parts_less_openings(shapes: Any) -> Any:
    """For every shape the number of its parts less that of its openings.

    Small parts do not count, and what has vanished counts as one part.
    """
    import shapely

    parts, of = shapely.get_parts(shapes, return_index=True)
    large = shapely.area(parts) > MIN_BRIDGED_AREA_MM2
    holes = np.bincount(of[large], shapely.get_num_interior_rings(parts[large]), len(shapes))
    count = np.bincount(of[large], minlength=len(shapes))
    return np.where(count, count - holes, 1)


def _is_concave(panel: Panel) -> bool:
    """Whether a panel's outline turns back somewhere."""
    d = np.roll(panel.outline, -1, axis=0) - panel.outline
    e = np.roll(d, -1, axis=0)
    return bool((d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0] < -1e-9).any())


def equivalent_width(panel: Panel) -> float:
    """Width in mm of the rectangle that has the panel's area and perimeter.

    For a panel more compact than any rectangle it is the side of a square of its area.
    """
    loop = panel.outline.tolist()
    half, area = perimeter(loop) / 2, abs(signed_area(loop))
    return (half - sqrt(half * half - 4 * area)) / 2 if half * half > 4 * area else sqrt(area)


def _creased_panels(piece: Piece) -> list[Panel]:
    """The panels of a piece that are not part of a rolled strip."""
    rolled = {k for f in piece.folds if f.rolled for k in f.panels}
    return [p for p in piece.panels if p.id not in rolled]


def tab_widths(tabs: Sequence[Tab]) -> list[float]:
    """The distance of each tab's far side from its root, mm; tabs have four corners."""
    if not tabs:
        return []
    roots = segments_to_array([t.line for t in tabs])
    corners = np.array([t.outline for t in tabs]) - roots[:, :1]
    x, y = (roots[:, 1] - roots[:, 0]).T
    away = np.abs(corners[:, :, 0] * y[:, None] - corners[:, :, 1] * x[:, None]).max(axis=1)
    found: list[float] = (away / np.hypot(x, y)).tolist()
    return found


def _shortest_neck(piece: Piece) -> float | None:
    """The shortest slender fold that alone joins two large parts of a piece, mm; None if there is none."""
    necks = sorted((dist(*f.line), f.panels) for f in piece.folds if not f.rolled)
    return next((long for long, link in necks if long < MIN_NECK_FOLD_MM and _joins_large_parts(piece, link)), None)


def _joins_large_parts(piece: Piece, link: tuple[int, int]) -> bool:
    """Whether two panels are held together by the folds between them alone, and both sides are large."""
    links: dict[int, list[int]] = {}
    for f in piece.folds:
        if set(f.panels) != set(link):
            links.setdefault(f.panels[0], []).append(f.panels[1])
            links.setdefault(f.panels[1], []).append(f.panels[0])
    one = set(breadth_first(link[0], lambda k: links.get(k, ())))
    two = {p.id for p in piece.panels} - one
    return link[1] in two and min(_extent(piece, one), _extent(piece, two)) >= LARGE_NET_PART_MM


def _extent(piece: Piece, ids: set[int]) -> float:
    """The larger side of the bounding box of some panels, mm."""
    corners = np.concatenate([p.outline for p in piece.panels if p.id in ids])
    return float(np.ptp(corners, axis=0).max())
