"""What hands will not like: narrow panels, narrow tabs and slender necks, told before anyone cuts."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt
from typing import Any

import numpy as np

from foldsketch.base.arrays import segments_to_array
from foldsketch.base.findings import Finding
from foldsketch.base.units import format_count, format_number
from foldsketch.geometry.ragged_polygons import RaggedPolygons
from foldsketch.net.model import Panel, Piece, Tab

MIN_COMFORTABLE_WIDTH_MM = 3.0
"""Panels and tabs narrower than this, mm, want tweezers [common practice]."""

MIN_NECK_FOLD_MM = 4.0
"""A fold shorter than this, mm, that alone holds two large parts of a net together tears."""

MIN_BRIDGE_WIDTH_MM = 1.5
"""What is left of a panel beside an opening, or between two notches, tears where it is narrower, mm [common
practice]."""

LARGE_NET_PART_MM = 15.0
"""What a neck holds is large from this extent on, mm."""


def find_build_warnings(pieces: Sequence[Piece]) -> list[Finding]:
    """Notes on what will be hard to build, one for each kind."""
    found = []
    slim = [
        (w, p.feature)
        for piece in pieces
        for p in _creased_panels(piece)
        for w in (equivalent_width(p),)
        if w < MIN_COMFORTABLE_WIDTH_MM
    ]
    if slim:
        least, name = min(slim)
        what = (
            f"{len(slim)} narrower than {MIN_COMFORTABLE_WIDTH_MM:g} mm, the narrowest "
            f"{format_number(least, 1)} mm ('{name}')"
        )
        cure = "--least-step merges small steps, --smallest gives wider sides, or print larger"
        found.append(Finding("note", "panels", what, cure))
    widths = tab_widths([t for piece in pieces for t in piece.tabs])
    thin = [w for w in widths if w < MIN_COMFORTABLE_WIDTH_MM]
    if thin:
        what = (
            f"{len(thin)} narrower than {MIN_COMFORTABLE_WIDTH_MM:g} mm, the narrowest {format_number(min(thin), 1)} mm"
        )
        found.append(Finding("note", "tabs", what, "use a pointed brush for the glue, or print larger"))
    narrow = narrow_bridge_widths(pieces)
    if narrow:
        what = (
            f"{format_count(len(narrow), 'bridge')} beside openings narrower than "
            f"{MIN_BRIDGE_WIDTH_MM:g} mm, the narrowest "
        )
        what += f"{format_number(min(narrow), 1)} mm"
        found.append(Finding("note", "panels", what, "cut them with a knife, back them with tape, or print larger"))
    for piece in pieces:
        neck = _shortest_neck(piece)
        if neck is not None:
            what = f"hangs together by a fold of {format_number(neck, 1)} mm"
            found.append(Finding("note", f"net {piece.id}", what, "back it with tape before you fold"))
    return found


def narrow_bridge_widths(pieces: Sequence[Piece]) -> list[float]:
    """Of every panel that has a bridge narrower than BRIDGE, how narrow it is there, mm."""
    import shapely

    loops = [[p.outline, *p.holes] for piece in pieces for p in piece.panels if p.holes or _is_concave(p)]
    if not loops:
        return []
    shapes = RaggedPolygons.of(loops).shapes
    whole = _parts_less_openings(shapes)

    def broken(width: float, some: Any) -> Any:
        return _parts_less_openings(shapely.buffer(shapes[some], -width / 2, join_style="mitre")) != whole[some]

    found = []
    for k in np.nonzero(broken(MIN_BRIDGE_WIDTH_MM, slice(None)))[0].tolist():
        low, high = 0.0, MIN_BRIDGE_WIDTH_MM
        while high - low > 0.01:
            middle = (low + high) / 2
            low, high = (low, middle) if broken(middle, [k])[0] else (middle, high)
        found.append(high)
    return found


def _parts_less_openings(shapes: Any) -> Any:
    """Per shape how many parts it has less how many openings; small parts, and what has vanished, do not count."""
    import shapely

    parts, of = shapely.get_parts(shapes, return_index=True)
    large = shapely.area(parts) > 1
    holes = np.bincount(of[large], shapely.get_num_interior_rings(parts[large]), len(shapes))
    count = np.bincount(of[large], minlength=len(shapes))
    return np.where(count, count - holes, 1)


def _is_concave(panel: Panel) -> bool:
    """Whether a panel's outline turns back somewhere."""
    d = np.roll(panel.outline, -1, axis=0) - panel.outline
    e = np.roll(d, -1, axis=0)
    return bool((d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0] < -1e-9).any())


def equivalent_width(panel: Panel) -> float:
    """Width in mm of the rectangle that has the panel's area and perimeter; a compact panel has the side of a square
    of its area."""
    half = area = 0.0
    loop = panel.outline.tolist()
    ax, ay = loop[-1]
    for bx, by in loop:
        half += hypot(bx - ax, by - ay) / 2
        area += (ax * by - ay * bx) / 2
        ax, ay = bx, by
    area = abs(area)
    return (half - sqrt(half * half - 4 * area)) / 2 if half * half > 4 * area else sqrt(area)


def _creased_panels(piece: Piece) -> list[Panel]:
    """The panels of a piece that are not part of a rolled strip."""
    rolled = {k for f in piece.folds if f.rolled for k in f.panels}
    return [p for p in piece.panels if p.id not in rolled]


def tab_widths(tabs: Sequence[Tab]) -> list[float]:
    """How far each tab, a flap of four corners, reaches from its root, mm."""
    if not tabs:
        return []
    roots = segments_to_array([t.line for t in tabs])
    corners = np.array([t.outline for t in tabs]) - roots[:, :1]
    x, y = (roots[:, 1] - roots[:, 0]).T
    away = np.abs(corners[:, :, 0] * y[:, None] - corners[:, :, 1] * x[:, None]).max(axis=1)
    found: list[float] = (away / np.hypot(x, y)).tolist()
    return found


def _shortest_neck(piece: Piece) -> float | None:
    """The shortest slender fold that alone joins two large parts of a piece, mm."""
    worst: float | None = None
    for f in piece.folds:
        (x0, y0), (x1, y1) = f.line
        long = hypot(x1 - x0, y1 - y0)
        if f.rolled or long >= MIN_NECK_FOLD_MM or (worst is not None and long >= worst):
            continue
        sides = _split_at_fold(piece, f.panels)
        if sides and all(_extent(piece, own) >= LARGE_NET_PART_MM for own in sides):
            worst = long
    return worst


def _split_at_fold(piece: Piece, link: tuple[int, int]) -> tuple[set[int], set[int]] | None:
    """The panels on both sides of the folds between two panels; None where they hang together otherwise too."""
    links: dict[int, set[int]] = {}
    for f in piece.folds:
        if set(f.panels) != set(link):
            links.setdefault(f.panels[0], set()).add(f.panels[1])
            links.setdefault(f.panels[1], set()).add(f.panels[0])
    reached, queue = {link[0]}, [link[0]]
    for k in queue:
        for other in links.get(k, set()) - reached:
            reached.add(other)
            queue.append(other)
    if link[1] in reached:
        return None
    return reached, {p.id for p in piece.panels} - reached


def _extent(piece: Piece, own: set[int]) -> float:
    loops = np.concatenate([p.outline for p in piece.panels if p.id in own])
    return float(np.ptp(loops, axis=0).max())
