"""Refold: the inverse of unfolding, and the oracle. It sees only the flat nets and the fold angles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from foldsketch.net.layout import GRID, NOTHING, crossing, drawn_in, shapes_of
from foldsketch.net.model import Array, Butt, Checks, Line, Nets, Panel, Piece, Tab


def rotations(lines: Array, angles: Array) -> tuple[Array, Array]:
    """Rotations (n, 3, 3) and shifts (n, 3) that turn the paper beyond fold lines by their angles.

    lines: (n, 2, 2) mm, in the paper's plane; angles: (n,) radians; positive bends away from the printed side.
    Rodrigues' formula for an axis in the plane.
    """
    d = lines[:, 1] - lines[:, 0]
    d = d / np.sqrt((d * d).sum(axis=1))[:, None]
    c, s = np.cos(angles), np.sin(angles)
    r = np.zeros((len(lines), 3, 3))
    x, y = d[:, 0], d[:, 1]
    r[:, 0, 0] = c + x * x * (1 - c)
    r[:, 1, 1] = c + y * y * (1 - c)
    r[:, 0, 1] = r[:, 1, 0] = x * y * (1 - c)
    r[:, 2, 2] = c
    r[:, 0, 2], r[:, 2, 0] = y * s, -y * s
    r[:, 1, 2], r[:, 2, 1] = -x * s, x * s
    p = np.column_stack((lines[:, 0], np.zeros(len(lines))))
    return r, p - np.einsum("nij,nj->ni", r, p)


def folded(piece: Piece) -> dict[int, tuple[Array, Array]]:
    """Every panel of a piece in space, from its folds alone: panel -> (3, 3) rotation and (3,) shift of the paper.

    The first panel that carries the tree stands where the net says it stands; all others follow by folding.
    """
    root = piece.panels[0]
    place = {root.id: (root.to_space, root.origin)}
    if not piece.folds:
        return place
    lines = np.array([f.line for f in piece.folds])
    angles = np.array([f.angle for f in piece.folds])
    # The fold line runs with the first panel on its left: the second panel lies beyond it.
    r, t = rotations(lines, angles)
    links: dict[int, list[tuple[int, int, bool]]] = {}
    for k, f in enumerate(piece.folds):
        links.setdefault(f.panels[0], []).append((k, f.panels[1], True))
        links.setdefault(f.panels[1], []).append((k, f.panels[0], False))
    queue = [root.id]
    for panel in queue:
        m, o = place[panel]
        for k, other, forward in links.get(panel, ()):
            if other in place:
                continue
            # Seen from the second panel the line runs the other way, and the same angle bends the first one back.
            rk = r[k] if forward else r[k].T
            tk = t[k] if forward else -r[k].T @ t[k]
            place[other] = (m @ rk, m @ tk + o)
            queue.append(other)
    return place


def _lift(place: tuple[Array, Array], line: Line) -> Array:
    m, o = place
    return np.array(line) @ m[:, :2].T + o


def check(nets: Nets) -> Checks:
    """Fold everything up and measure: where edges meet, where panels stand, what overlaps, the volume enclosed."""
    places: dict[tuple[str, int], tuple[Array, Array]] = {}
    panel_gap = 0.0
    for piece in nets.pieces:
        got = folded(piece)
        for p in piece.panels:
            if p.id not in got:
                return Checks(float("inf"), float("inf"), False, float("inf"), float("inf"))
            m, o = got[p.id]
            places[piece.id, p.id] = (m, o)
            corners = p.outline
            apart = corners @ (m - p.to_space)[:, :2].T + (o - p.origin)
            panel_gap = max(panel_gap, float(np.sqrt((apart * apart).sum(axis=1)).max()))
    gap = 0.0
    for piece in nets.pieces:
        joined: list[Tab | Butt] = [*piece.tabs, *piece.butts]
        for joint in joined:
            here = _lift(places[piece.id, joint.panel], joint.line)
            there = _lift(places[joint.meets.piece, joint.meets.panel], joint.meets.line)[::-1]
            apart = here - there
            gap = max(gap, float(np.sqrt((apart * apart).sum(axis=1)).max()))
    overlap, clash, inside = _flat_checks(nets)
    return Checks(gap, overlap, inside, _volume_error(nets, places), panel_gap, clash)


def _volume_error(nets: Nets, places: dict[tuple[str, int], tuple[Array, Array]]) -> float:
    """Largest relative difference between a block's volume and what its refolded panels enclose."""
    enclosed = {b.id: 0.0 for b in nets.blocks}
    for piece in nets.pieces:
        for p in piece.panels:
            m, o = places[piece.id, p.id]
            area = sum(_shoelace(loop) for loop in (p.outline, *p.holes))
            enclosed[piece.block] += area * float(m[:, 2] @ (m[:, :2] @ p.outline[0] + o)) / 3
    return max((abs(enclosed[b.id] - b.volume) / b.volume for b in nets.blocks), default=0.0)


def _shoelace(loop: Array) -> float:
    x, y = loop[:, 0], loop[:, 1]
    return float(x[:-1] @ y[1:] - y[:-1] @ x[1:] + x[-1] * y[0] - y[-1] * x[0]) / 2


def _flat_checks(nets: Nets) -> tuple[float, float, bool]:
    """Overlap of panels and tabs on paper (mm2), of tabs behind panels (mm2), and whether all tabs lie inside.

    Every piece, and every panel with the tabs behind it, is tested on ground of its own, all in one sweep.
    """
    import shapely

    panels = [(k, p) for k, piece in enumerate(nets.pieces) for p in piece.panels]
    tabs = [(k, t) for k, piece in enumerate(nets.pieces) for t in piece.tabs]
    shapes = shapes_of([(p.outline, *p.holes) for _, p in panels])
    spread = _apart([p.outline for _, p in panels])
    if not tabs:
        return _shared(_moved(shapes, _by_piece(panels))), 0.0, True
    flaps = shapes_of([(t.outline,) for _, t in tabs])
    ground = _by_piece(panels)
    where = {k: g for (k, _), g in zip(panels, ground.tolist(), strict=True)}
    beside = np.array([where[k] for k, _ in tabs])
    overlap = _shared(np.concatenate((_moved(shapes, ground), _moved(flaps, beside))))
    row = {(nets.pieces[k].id, p.id): i for i, (k, p) in enumerate(panels)}
    target = np.array([row[t.meets.piece, t.meets.panel] for _, t in tabs])
    behind = shapes_of([(_behind(t.outline, t.line, t.meets.line),) for _, t in tabs])
    clear = drawn_in(behind)
    inside = bool(shapely.covers(shapes[target], clear).all())
    return overlap, _shared(_moved(behind, spread[target]), _moved(clear, spread[target])), inside


def _apart(outlines: Sequence[Array]) -> Array:
    """For every outline a level shift, mm, that brings each on ground of its own."""
    low = np.array([o[:, 0].min() for o in outlines])
    wide = np.array([np.ptp(o[:, 0]) for o in outlines]) + 10.0
    shift: Array = np.cumsum(wide) - wide - low
    return shift


def _by_piece(panels: Sequence[tuple[int, Panel]]) -> Array:
    """For every panel a shift that is the same within a piece and leaves pieces apart."""
    widest = max(float(np.abs(p.outline).max()) for _, p in panels) * 2 + 50.0
    return np.array([k * widest for k, _ in panels])


def _moved(shapes: Any, shift: Array) -> Any:
    """Shapes moved sideways, each by its own shift."""
    import shapely

    points, index = shapely.get_coordinates(shapes, return_index=True)
    points[:, 0] += shift[index]
    return shapely.set_coordinates(shapes.copy(), points)


def _shared(shapes: Any, clear: Any = None) -> float:
    """Area in common of shapes, mm2. clear: the same drawn in, where that is known already."""
    import shapely

    made = np.asarray(shapes, dtype=object)
    left, right = crossing(drawn_in(made) if clear is None else clear)
    if not len(left):
        return 0.0
    area = shapely.area(shapely.intersection(made[left], made[right], grid_size=GRID))
    return float(area[area > NOTHING].sum())


def _behind(outline: Array, root: Line, meets: Line) -> Array:
    """The tab (n, 2) where it lies behind the panel it meets: turned and moved until its root is on the edge."""
    z = outline[:, 0] + 1j * outline[:, 1]
    a, b = complex(*root[0]), complex(*root[1])
    c, d = complex(*meets[1]), complex(*meets[0])
    laid = c + (d - c) * (z - a) / (b - a)
    return np.column_stack((laid.real, laid.imag))
