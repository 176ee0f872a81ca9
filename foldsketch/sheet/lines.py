"""The lines of one piece on paper: what is cut, what is folded, each drawn once."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, floor, hypot, sqrt

from foldsketch.net.model import Array, Line, Piece, Point

Key = tuple[int, int]

SQRT2 = sqrt(2)


def _key(p: Point) -> Key:
    return (round(p[0] * 1e4), round(p[1] * 1e4))


def _edge(a: Point, b: Point) -> tuple[Key, Key]:
    p, q = _key(a), _key(b)
    return (p, q) if p <= q else (q, p)


def cut_paths(piece: Piece) -> list[tuple[Point, ...]]:
    """Every line that scissors follow, joined into long paths; a closed path ends where it began."""
    kept = {_edge(*f.line) for f in piece.folds} | {_edge(*t.line) for t in piece.tabs}
    edges: list[tuple[Point, Point]] = []
    for p in piece.panels:
        for loop in (p.outline, *p.holes):
            edges += [e for e in _around(loop) if _edge(*e) not in kept]
    for t in piece.tabs:
        root = _edge(*t.line)
        edges += [e for e in _around(t.outline) if _edge(*e) != root]
    return _chained(edges)


def _around(loop: Array) -> list[tuple[Point, Point]]:
    points: list[Point] = [(x, y) for x, y in loop.tolist()]
    return list(zip(points, points[1:] + points[:1], strict=True))


def _chained(edges: Iterable[tuple[Point, Point]]) -> list[tuple[Point, ...]]:
    """Edges that meet end to end become one path, in a fixed order."""
    todo = dict(enumerate(edges))
    at: dict[Key, list[int]] = {}
    for k, (a, _) in todo.items():
        at.setdefault(_key(a), []).append(k)
    arriving = {_key(b) for _, b in todo.values()}
    starts = sorted(todo, key=lambda k: (_key(todo[k][0]) in arriving, k))
    paths = []
    for k in starts:
        if k not in todo:
            continue
        a, b = todo.pop(k)
        path = [a, b]
        while True:
            following = next((m for m in at.get(_key(path[-1]), ()) if m in todo), None)
            if following is None:
                break
            path.append(todo.pop(following)[1])
        paths.append(tuple(path))
    return paths


def fold_lines(piece: Piece) -> list[tuple[Line, float]]:
    """Every fold with its angle, tab roots included; + mountain, - valley."""
    return [(f.line, f.angle) for f in piece.folds] + [(t.line, t.angle) for t in piece.tabs]


def hatch(outline: Array, spacing: float = 1.4) -> list[Point]:
    """One line to and fro over a convex flap (n, 2), slanted, clear of its edges by a hair."""
    points: list[Point] = [(x, y) for x, y in outline.tolist()]
    ahead = points[1:] + points[:1]
    level = [(y - x) / SQRT2 for x, y in points]
    far = level[1:] + level[:1]
    line: list[Point] = []
    for k in range(ceil(min(level) / spacing), floor(max(level) / spacing) + 1):
        c = k * spacing
        ends = []
        for (x0, y0), (x1, y1), u, v in zip(points, ahead, level, far, strict=True):
            if (u > c) != (v > c):
                share = (c - u) / (v - u)
                ends.append((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share))
        if len(ends) != 2:
            continue
        (ax, ay), (bx, by) = sorted(ends)
        length = hypot(bx - ax, by - ay)
        if length < 0.8:
            continue
        ux, uy = (bx - ax) / length * 0.3, (by - ay) / length * 0.3
        pair = [(ax + ux, ay + uy), (bx - ux, by - uy)]
        line += pair if len(line) % 4 == 0 else pair[::-1]
    return line
