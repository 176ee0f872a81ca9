"""What stands beside a net: its number, what it is, and the key of the numbers printed on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, cos, pi, sin

import numpy as np

from foldsketch.base.arrays import Point
from foldsketch.base.lettering import text_width
from foldsketch.geometry.bit_grid import dilate, rectangle_mask, row_stride
from foldsketch.geometry.rasterize import rasterize_lines, rasterize_loops
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.net_lines import corners_of_piece

CAPTION_TEXT_HEIGHT_MM = 2.5
KEY_TEXT_HEIGHT_MM = 1.8
LINE_SPACING_RATIO = 1.6
"""Capital heights in mm, and line distance over capital height."""

FINE_CELL_MM = 1.0
"""Size in mm of the cells in which a piece is drawn to find room."""

CAPTION_GAP_MM = 1.5
"""Air between a net and its caption, mm."""


CAPTION_NEAR_DISTANCE_MM = 10.0
"""A caption that is nearer to its net than this, mm, is seen to belong to it."""

CAPTION_BORDER_CELLS = 4
"""Empty cells that are left around a piece and its caption."""

CellRectangle = tuple[int, int, int, int]
"""Cells: first column and row, and those beyond the last."""


@dataclass(frozen=True, slots=True, eq=False)
class CaptionedPiece:
    """A piece with its caption. lines: (text, capital height); box: lower left corner and size in the piece's own
    frame, mm; covered: cells of CELL mm that the piece and its caption take, as bits of that stride from low (mm) on;
    used: the cells that hold them all, at least AROUND cells from where the grid begins."""

    piece: Piece
    lines: tuple[tuple[str, float], ...]
    box: tuple[float, float, float, float]
    covered: int
    stride: int
    low: Point
    used: CellRectangle

    def baselines(self) -> list[tuple[Point, str, float]]:
        """Start of every caption line on its base line, with its text and size."""
        x, y, _, h = self.box
        top = y + h
        result = []
        for text, size in self.lines:
            top -= size
            result.append(((x, top), text, size))
            top -= size * (LINE_SPACING_RATIO - 1)
        return result

    def upright(self, at: Point, angle: float) -> tuple[Point, float]:
        """Where words of the caption begin, and their angle on the page: read from below or from the right, they are
        turned by half a turn within their box where they would stand on their head."""
        if cos(angle) > 1e-6 or (cos(angle) > -1e-6 and sin(angle) > 0):
            return at, angle
        x, y, w, h = self.box
        return (2 * x + w - at[0], 2 * y + h - at[1]), angle + pi


@lru_cache(maxsize=64)
def place_caption(piece: Piece, page: tuple[float, float]) -> CaptionedPiece:
    """The piece with its caption in a free corner of its bounding box, or beside it where the page has room."""
    starts, following = corners_of_piece(piece)
    ends = starts[following]
    x0, y0 = starts.min(axis=0).tolist()
    x1, y1 = starts.max(axis=0).tolist()
    lines = _caption_lines(piece)
    w = max(text_width(text, size) for text, size in lines)
    h = sum(size for _, size in lines) + sum(size * (LINE_SPACING_RATIO - 1) for _, size in lines[:-1]) + 0.6
    # A grid with room for the caption above, below and on the right.
    beside, beyond = (ceil((v + 2 * CAPTION_GAP_MM) / FINE_CELL_MM) + CAPTION_BORDER_CELLS for v in (w, h))
    low = (x0 - CAPTION_BORDER_CELLS * FINE_CELL_MM, y0 - beyond * FINE_CELL_MM)
    across, up = ceil((x1 - x0) / FINE_CELL_MM), ceil((y1 - y0) / FINE_CELL_MM)
    columns, rows = CAPTION_BORDER_CELLS + across + beside, up + 2 * beyond
    stride = row_stride(columns)
    edges = (np.concatenate((starts, ends), axis=1) - low * 2) / FINE_CELL_MM
    covered = rasterize_loops(edges, columns, rows)
    # Strips narrower than a cell may hold the middle of none: their edges count where nothing is covered beside them.
    nearby = dilate(dilate(covered, 3, 1), 3, stride) << (1 + stride)
    covered |= rasterize_lines(edges, columns, rows) & ~nearby
    net = (CAPTION_BORDER_CELLS, beyond, CAPTION_BORDER_CELLS + across, beyond + up)

    def cells(x: float, y: float, gap: float) -> CellRectangle:
        i, j = int((x - gap - low[0]) / FINE_CELL_MM), int((y - gap - low[1]) / FINE_CELL_MM)
        return (i, j, ceil((x + w + gap - low[0]) / FINE_CELL_MM), ceil((y + h + gap - low[1]) / FINE_CELL_MM))

    @lru_cache(maxsize=8)
    def columns_taken(first: int, beyond: int) -> int:
        """Columns that are taken in any of the rows."""
        band = covered >> (first * stride) & ((1 << ((beyond - first) * stride)) - 1)
        taken = 0
        while band:
            taken |= band & ((1 << stride) - 1)
            band >>= stride
        return taken

    inside = [(x0, y1 - h), (x1 - w, y1 - h), (x0, y0), (x1 - w, y0)]
    inside += [(x0 + (x1 - x0 - w) * k / 8, y) for k in range(9) for y in (y1 - h, y0)]
    inside += [(x, y0 + (y1 - y0 - h) * k / 8) for k in range(1, 8) for x in (x0, x1 - w)]
    # Too far away it would be taken for the caption of another net.
    corners, at = np.concatenate((starts, (starts + ends) / 2)), np.add(inside, (w / 2, h / 2))
    dx = np.maximum(np.abs(corners[:, 0] - at[:, :1]) - w / 2, 0)
    dy = np.maximum(np.abs(corners[:, 1] - at[:, 1:]) - h / 2, 0)
    away = np.maximum(0, np.round(np.sqrt((dx * dx + dy * dy).min(axis=1)) - CAPTION_NEAR_DISTANCE_MM))
    inside = [inside[k] for k in np.argsort(away, kind="stable").tolist()]
    around = [(x0, y1 + CAPTION_GAP_MM), (x1 + CAPTION_GAP_MM, y1 - h), (x0, y0 - CAPTION_GAP_MM - h)]
    for x, y in [s for s in inside if x1 - x0 >= w and y1 - y0 >= h] + around:
        if not _fits_page(max(x1, x + w) - min(x0, x), max(y1, y + h) - min(y0, y), page):
            continue
        i, j, beyond_i, beyond_j = cells(x, y, CAPTION_GAP_MM - 0.1)
        if not columns_taken(j, beyond_j) >> i & ((1 << (beyond_i - i)) - 1):
            own = cells(x, y, 0.0)
            words = rectangle_mask(own[2] - own[0], own[3] - own[1], stride) << (own[0] + own[1] * stride)
            used = (min(net[0], own[0]), min(net[1], own[1]), max(net[2], own[2]), max(net[3], own[3]))
            return CaptionedPiece(piece, tuple(lines), (x, y, w, h), covered | words, stride, low, used)
    return CaptionedPiece(piece, (), (x0, y0, 0.0, 0.0), covered, stride, low, net)


def _caption_lines(piece: Piece) -> list[tuple[str, float]]:
    """The piece's number with what it is of, and its key."""
    names = list(dict.fromkeys(p.feature for p in piece.panels))
    what = ", ".join(names[:2]) + (" …" if len(names) > 2 else "")
    return [(f"{piece.id}  {what}", CAPTION_TEXT_HEIGHT_MM)] + [
        (f"{n} = {text}" if n else text, KEY_TEXT_HEIGHT_MM) for n, text in piece.key
    ]


def _fits_page(w: float, h: float, page: tuple[float, float]) -> bool:
    return (w <= page[0] and h <= page[1]) or (w <= page[1] and h <= page[0])
