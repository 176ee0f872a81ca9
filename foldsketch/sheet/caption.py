"""What stands beside a net: its number, what it is, and the key of the numbers printed on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil

import numpy as np

from foldsketch.base.lettering import width
from foldsketch.net.model import Array, Piece, Point
from foldsketch.net.raster import Flags, edges_of, filled

SIZE = 2.5
KEY = 1.8
LEADING = 1.6
"""Capital heights in mm, and line distance over capital height."""

CELL = 1.0
"""Size in mm of the cells in which a piece is drawn to find room."""

GAP = 1.5
"""Air between a net and its caption, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Captioned:
    """A piece with its caption. lines: (text, capital height); box: lower left corner and size in the piece's own
    frame, mm; covered: cells of CELL mm that the piece and its caption take, from low (2,)."""

    piece: Piece
    lines: tuple[tuple[str, float], ...]
    box: tuple[float, float, float, float]
    covered: Flags
    low: tuple[float, float]

    def baselines(self) -> list[tuple[Point, str, float]]:
        """Start of every caption line on its base line, with its text and size."""
        x, y, _, h = self.box
        top = y + h
        result = []
        for text, size in self.lines:
            top -= size
            result.append(((x, top), text, size))
            top -= size * (LEADING - 1)
        return result


@lru_cache(maxsize=64)
def captioned(piece: Piece, page: tuple[float, float]) -> Captioned:
    """The piece with its caption in a free corner of its bounding box, or beside it where the page has room."""
    loops = [loop for p in piece.panels for loop in (p.outline, *p.holes)] + [t.outline for t in piece.tabs]
    starts, ends = edges_of(loops)
    x0, y0 = starts.min(axis=0).tolist()
    x1, y1 = starts.max(axis=0).tolist()
    lines = _lines(piece)
    w = max(width(text, size) for text, size in lines)
    h = sum(size for _, size in lines) + sum(size * (LEADING - 1) for _, size in lines[:-1]) + 0.6
    # A grid with room for the caption on every side.
    edge = ceil((max(w, h) + 2 * GAP) / CELL)
    low = np.array([x0 - edge * CELL, y0 - edge * CELL])
    shape = (ceil((x1 - x0) / CELL) + 2 * edge, ceil((y1 - y0) / CELL) + 2 * edge)
    covered = filled(starts, ends, low, CELL, shape)
    net = (edge, edge, shape[0] - edge, shape[1] - edge)

    def cells(x: float, y: float, gap: float) -> tuple[int, int, int, int]:
        return (
            max(0, int((x - gap - low[0]) / CELL)),
            max(0, int((y - gap - low[1]) / CELL)),
            min(shape[0], ceil((x + w + gap - low[0]) / CELL)),
            min(shape[1], ceil((y + h + gap - low[1]) / CELL)),
        )

    inside = [(x0, y1 - h), (x1 - w, y1 - h), (x0, y0), (x1 - w, y0)]
    inside += [(x0 + (x1 - x0 - w) * k / 8, y) for k in range(9) for y in (y1 - h, y0)]
    around = [(x0, y1 + GAP), (x1 + GAP, y1 - h), (x0, y0 - GAP - h)]
    for x, y in [s for s in inside if x1 - x0 >= w and y1 - y0 >= h] + around:
        if not _fits(max(x1, x + w) - min(x0, x), max(y1, y + h) - min(y0, y), page):
            continue
        i0, j0, i1, j1 = cells(x, y, GAP - 0.1)
        if not covered[i0:i1, j0:j1].any():
            i0, j0, i1, j1 = cells(x, y, 0.0)
            covered[i0:i1, j0:j1] = True
            return Captioned(piece, tuple(lines), (x, y, w, h), *_trimmed(covered, low, net, (i0, j0, i1, j1)))
    return Captioned(piece, (), (x0, y0, 0.0, 0.0), *_trimmed(covered, low, net))


def _lines(piece: Piece) -> list[tuple[str, float]]:
    """The piece's number with what it is of, and its key."""
    names = list(dict.fromkeys(p.feature for p in piece.panels))
    what = ", ".join(names[:2]) + (" …" if len(names) > 2 else "")
    return [(f"{piece.id}  {what}", SIZE)] + [(f"{n} = {text}", KEY) for n, text in piece.key]


def _trimmed(
    covered: Flags, low: Array, net: tuple[int, int, int, int], words: tuple[int, int, int, int] | None = None
) -> tuple[Flags, tuple[float, float]]:
    """Only the cells of the net's and the caption's bounding boxes, given as first and last + 1 columns and rows."""
    i0, j0, i1, j1 = net
    if words:
        i0, j0, i1, j1 = min(i0, words[0]), min(j0, words[1]), max(i1, words[2]), max(j1, words[3])
    return covered[i0:i1, j0:j1], (float(low[0] + i0 * CELL), float(low[1] + j0 * CELL))


def _fits(w: float, h: float, page: tuple[float, float]) -> bool:
    return (w <= page[0] and h <= page[1]) or (w <= page[1] and h <= page[0])
