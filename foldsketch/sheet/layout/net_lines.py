"""The lines of one net on paper: cuts and folds, each drawn once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np

from foldsketch.base.arrays import Array, Ints, Point, segments_to_array
from foldsketch.geometry.ragged_polygons import corners_and_successors
from foldsketch.net.model import Fold, Piece, Tab

TAB_CORNER_RADIUS_MM, MIN_TAB_CORNER_RADIUS_MM = 2.2, 0.5
"""Radius in mm of a tab's corners; where it would be less than the second they are sharp."""

MAX_ROUNDED_SHARE, ROUND_CORNER_POINTS = 0.9, 6
"""Share of a tab's side that its arcs take at most, and points of an arc."""

SNAP_CELLS_PER_MM = 1e4
"""Two ends in one cell of 1/10000 mm are the same point."""


def point_keys(points: Array) -> list[int]:
    """One whole number for every point (n, 2), the same for points that are the same on paper."""
    cells = np.rint(points * SNAP_CELLS_PER_MM).astype(np.int64)
    keys: list[int] = (cells[:, 0] * (1 << 32) + cells[:, 1]).tolist()
    return keys


PointsToPage = Callable[[Array], Array]
"""Takes points (n, 2) of a net to the page, mm."""


@lru_cache(maxsize=64)
def corners_of_piece(piece: Piece) -> tuple[Array, Ints]:
    """All corners (n, 2) of a net's panels, holes and tabs, and the row of the corner that follows each."""
    return corners_and_successors([*_panel_loops(piece), *(t.outline for t in piece.tabs)])


def _panel_loops(piece: Piece) -> list[Array]:
    return [loop for p in piece.panels for loop in (p.outline, *p.holes)]


def round_tabs(tabs: Sequence[Tab]) -> list[Array]:
    """The outlines of tabs as they are cut, each (n, 2): inside the outline that the net holds, with rounded corners.

    The two corners away from the root are rounded; where the tab is too small for that it keeps them.
    """
    if not tabs:
        return []
    if any(len(t.outline) != 4 for t in tabs):  # hooks and tongues with ears are cut as they are
        plain = iter(round_tabs([t for t in tabs if len(t.outline) == 4]))
        return [next(plain) if len(t.outline) == 4 else t.outline for t in tabs]
    flaps = np.array([t.outline for t in tabs])
    corner, far = flaps[:, 1:3], np.hypot(*(flaps[:, 2] - flaps[:, 1]).T)
    ways = np.stack((flaps[:, (0, 3)] - corner, corner[:, ::-1] - corner), axis=2)  # tab, corner, towards root or far
    lengths = np.hypot(ways[..., 0], ways[..., 1])
    ways = ways / np.maximum(lengths, 1e-9)[..., None]
    half = np.arccos(np.clip((ways[:, :, 0] * ways[:, :, 1]).sum(axis=-1), -1, 1)) / 2
    most = np.minimum(MAX_ROUNDED_SHARE * lengths[:, :, 0], MAX_ROUNDED_SHARE * far[:, None] / 2)
    radius = np.minimum(TAB_CORNER_RADIUS_MM, most * np.tan(half))
    bisector = ways.sum(axis=2)
    bisector /= np.maximum(np.hypot(bisector[..., 0], bisector[..., 1]), 1e-9)[..., None]
    centre = corner + bisector * (radius / np.sin(half))[..., None]
    # From the point where the arc leaves one side, by even steps, to where it meets the next one.
    share = np.linspace(-1.0, 1.0, ROUND_CORNER_POINTS) * np.array((1.0, 1.0))[:, None]
    turn = share * (np.pi / 2 - half)[..., None]
    c, s = np.cos(turn) * radius[..., None], np.sin(turn) * radius[..., None]
    out = -bisector[:, :, None]
    arcs = centre[:, :, None] + np.stack(
        (out[..., 0] * c - out[..., 1] * s, out[..., 0] * s + out[..., 1] * c), axis=-1
    )
    rounded = np.concatenate((flaps[:, :1], arcs.reshape(len(tabs), -1, 2), flaps[:, 3:]), axis=1)
    sharp = radius.min(axis=1) < MIN_TAB_CORNER_RADIUS_MM
    return [flap if own else loop for flap, loop, own in zip(flaps, rounded, sharp.tolist(), strict=True)]


def cut_paths(piece: Piece, place: PointsToPage) -> list[tuple[Point, ...]]:
    """Every cut line on the page, joined into long paths; a closed path ends where it begins."""
    corners, next_ = corners_and_successors([*_panel_loops(piece), *round_tabs(piece.tabs)])
    folded = [f.line for f in piece.folds] + [t.line for t in piece.tabs]
    a, at, following = point_keys(corners), to_point_list(place(corners)), next_.tolist()
    b = [a[k] for k in following]
    kept: set[tuple[int, int]] = set()
    if folded:
        keys = point_keys(segments_to_array(folded).reshape(-1, 2))
        kept = {*zip(keys[::2], keys[1::2], strict=True), *zip(keys[1::2], keys[::2], strict=True)}
    edges = [k for k, ends in enumerate(zip(a, b, strict=True)) if ends not in kept]
    paths = [(at[run[0]], *[at[following[k]] for k in run]) for run in chain_edges(edges, a, b)]
    return paths + _tab_slits(piece, place)


MIN_SLIT_LENGTH_MM = 0.3
"""Where a tab's crease lies so far inside its root or farther, mm, the slits beside the tab go on to the crease: thick
card would be crushed there."""


def _tab_slits(piece: Piece, place: PointsToPage) -> list[tuple[Point, ...]]:
    """Slits from both ends of a tab's root to the ends of its crease, for thick card and for what is tucked in."""
    deep = [t for t in piece.tabs if t.crease_shift >= MIN_SLIT_LENGTH_MM or (t.part and t.crease_shift > 0)]
    if not deep:
        return []
    roots = segments_to_array([t.line for t in deep])
    ends = np.stack((roots, _crease_lines(roots, deep)), axis=2).reshape(-1, 2, 2)
    # Neighbouring tabs on one straight edge share their slit.
    once = dict.fromkeys(tuple(map(tuple, np.round(place(e), 6).tolist())) for e in ends)
    return list(once)


def to_point_list(points: Array) -> list[Point]:
    """Points (n, 2) as pairs of plain numbers."""
    x, y = points.T.tolist()
    return list(zip(x, y, strict=True))


def chain_edges(edges: Sequence[int], a: Sequence[int], b: Sequence[int]) -> list[list[int]]:
    """Runs of edges that meet end to end, in a fixed order. a, b: keys of both ends of every edge."""
    at: dict[int, int] = {}
    more: dict[int, list[int]] = {}  # where several edges begin
    for k in edges:
        if at.setdefault(a[k], k) != k:
            more.setdefault(a[k], []).append(k)
    arriving = {b[k] for k in edges}
    done: set[int] = set()
    runs = []
    for first in sorted(edges, key=lambda k: a[k] in arriving):
        if first in done:
            continue
        run: list[int] = []
        following: int | None = first
        while following is not None:
            done.add(following)
            run.append(following)
            end = b[following]
            following = at.get(end)
            if following in done:
                following = next((k for k in more.get(end, ()) if k not in done), None)
        runs.append(run)
    return runs


def fold_lines(piece: Piece, place: PointsToPage) -> list[tuple[tuple[Point, ...], float]]:
    """Every crease on the page with its angle, radians, + mountain, - valley; tab roots too.

    Rolled walls have none, and the roots of their teeth make one line.
    """
    folds: list[Fold | Tab] = [*(f for f in piece.folds if not f.rolled), *piece.tabs]
    folds += [t._replace(line=t.bend, crease_shift=0.0) for t in piece.tabs if t.bend]
    if not folds:
        return []
    lines = segments_to_array([f.line for f in folds])
    ends = to_point_list(place(_crease_lines(lines, folds).reshape(-1, 2)))
    lines = lines.reshape(-1, 2)
    if not any(f.rolled for f in piece.folds):
        return [((p, q), f.angle) for p, q, f in zip(ends[::2], ends[1::2], folds, strict=True)]
    keys = point_keys(lines)
    alike: dict[object, list[int]] = {}
    for k, f in enumerate(folds):
        alike.setdefault((f.number, f.angle > 0) if isinstance(f, Tab) else k, []).append(k)
    return [
        ((ends[2 * run[0]], *(ends[2 * k + 1] for k in run)), folds[run[0]].angle)
        for own in alike.values()
        for run in chain_edges(own, keys[::2], keys[1::2])
    ]


def _crease_lines(lines: Array, folds: Sequence[Fold | Tab]) -> Array:
    """Where lines (n, 2, 2) are creased: tabs beside their roots, by the thickness of the card."""
    shift = np.array([f.crease_shift if isinstance(f, Tab) else 0.0 for f in folds])
    if not shift.any():
        return lines
    ahead = lines[:, 1] - lines[:, 0]
    inward = np.column_stack((-ahead[:, 1], ahead[:, 0])) / np.hypot(ahead[:, 0], ahead[:, 1])[:, None]
    moved: Array = lines + (inward * shift[:, None])[:, None]
    return moved
