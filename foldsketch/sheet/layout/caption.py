"""What is printed beside a net: its number, its features and their sizes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, pi

import numpy as np

from foldsketch.base.arrays import Array, Bools, Point
from foldsketch.base.lettering import text_width, truncate_text, wrap_text
from foldsketch.geometry.bit_grid import row_stride, unpack_bits
from foldsketch.geometry.rasterize import rasterize_lines, rasterize_loops
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.cell_windows import any_in_windows
from foldsketch.sheet.layout.net_lines import corners_of_piece

TITLE_HEIGHTS_MM, CAPTION_TEXT_HEIGHT_MM = (5.0, 3.5), 2.5
MAX_TITLE_WIDTH_MM, MAX_TITLE_LINES = 60.0, 2
LINE_SPACING_RATIO = 1.6
"""Capital heights and the widest line in mm, and line distance over capital height."""

FINE_CELL_MM = 1.0
"""Size in mm of the cells in which a net and its caption are drawn to find free places."""

CAPTION_GAP_MM = 1.5
"""Clearance between a net and its caption, mm."""

CAPTION_NEAR_DISTANCE_MM = 10.0
"""Within this distance, mm, the reader sees which net a caption belongs to."""

CAPTION_BORDER_CELLS = 4
"""Empty cells around a net and its caption."""

CellRectangle = tuple[int, int, int, int]
"""Cells: first column and row, and those after the last."""


@dataclass(frozen=True, slots=True, eq=False)
class CaptionedPiece:
    """A net turned as it lies on the page, with its caption.

    quarter: quarter turns, anticlockwise; lines: (text, capital height in mm); box: lower left corner and size of the
    caption, mm, in the turned net's frame as all that follows; cells: (rows, columns) of FINE_CELL_MM, those that net
    and caption take; net_cells: those that the net touches; grid_origin: lower left corner of the first cell, mm;
    bounding_cells: around all that are taken, CAPTION_BORDER_CELLS or more from the first column and row;
    net_bounding_cells: around the net.
    """

    piece: Piece
    quarter: int
    lines: tuple[tuple[str, float], ...]
    box: tuple[float, float, float, float]
    cells: Bools
    net_cells: Bools
    grid_origin: Point
    bounding_cells: CellRectangle
    net_bounding_cells: CellRectangle

    def __post_init__(self) -> None:
        self.cells.setflags(write=False)
        self.net_cells.setflags(write=False)

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


def quarter_turns(angle: float) -> int:
    """How many quarter turns an angle is, radians.

    >>> quarter_turns(-pi / 2)
    3
    """
    return round(angle / (pi / 2)) % 4


def turned(points: Array, quarter: int) -> Array:
    """Points (n, 2) or (2,) turned anticlockwise about the origin by quarter turns."""
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]
    there: Array = points @ np.array([(c, s), (-s, c)], dtype=float)
    return there


@lru_cache(maxsize=256)
def place_caption(piece: Piece, page: tuple[float, float], quarter: int = 0) -> CaptionedPiece:
    """The net turned by quarter turns, with its caption in a free corner of its bounding box.

    Or beside it where it fits the page (width, height in mm), or where the net asks for it; without one where nothing
    is free.
    """
    corners, following = corners_of_piece(piece)
    starts = turned(corners, quarter)
    ends = starts[following]
    (x0, y0), (x1, y1) = starts.min(axis=0).tolist(), starts.max(axis=0).tolist()
    lines = _caption_lines(piece)
    w = max(text_width(text, size) for text, size in lines)
    h = sum(size for _, size in lines) + sum(size * (LINE_SPACING_RATIO - 1) for _, size in lines[:-1]) + 0.6
    # The grid has room for the caption above, below and on the right of the net.
    right, above = (ceil((v + 2 * CAPTION_GAP_MM) / FINE_CELL_MM) + CAPTION_BORDER_CELLS for v in (w, h))
    left, spots = CAPTION_BORDER_CELLS, list[Point]()
    if piece.caption_at:
        x, y = (turned(np.array(piece.caption_at), quarter) - (w / 2, h / 2)).tolist()
        spots.append((x, y))
        left, right = (n + ceil(max(v, 0) / FINE_CELL_MM) for n, v in ((left, x0 - x), (right, x + w - x1)))
        above += ceil(max(y0 - y, y + h - y1, 0) / FINE_CELL_MM)
    origin = (x0 - left * FINE_CELL_MM, y0 - above * FINE_CELL_MM)
    across, up = ceil((x1 - x0) / FINE_CELL_MM), ceil((y1 - y0) / FINE_CELL_MM)
    edges = (np.concatenate((starts, ends), axis=1) - origin * 2) / FINE_CELL_MM
    cells, touched = _covered_cells(edges, left + across + right, up + 2 * above)
    net = (left, above, left + across, above + up)

    def cells_of_text(x: float, y: float, gap: float) -> CellRectangle:
        i, j = (int((v - gap - o) / FINE_CELL_MM + 1e-6) for v, o in zip((x, y), origin, strict=True))
        end_i, end_j = (ceil((v + gap - o) / FINE_CELL_MM - 1e-6) for v, o in zip((x + w, y + h), origin, strict=True))
        return i, j, end_i, end_j

    for x, y in spots or _caption_spots((x0, y0, x1, y1), (w, h), np.concatenate((starts, (starts + ends) / 2))):
        if not spots and not _fits_page(max(x1, x + w) - min(x0, x), max(y1, y + h) - min(y0, y), page):
            continue
        i, j, end_i, end_j = cells_of_text(x, y, CAPTION_GAP_MM - 0.1)
        if spots or not cells[j:end_j, i:end_i].any():
            i, j, end_i, end_j = cells_of_text(x, y, 0.0)
            cells[j:end_j, i:end_i] = True
            used = (min(net[0], i), min(net[1], j), max(net[2], end_i), max(net[3], end_j))
            return CaptionedPiece(piece, quarter, tuple(lines), (x, y, w, h), cells, touched, origin, used, net)
    return CaptionedPiece(piece, quarter, (), (x0, y0, 0.0, 0.0), cells, touched, origin, net, net)


def _caption_lines(piece: Piece) -> list[tuple[str, float]]:
    """The net's number and title, and its sizes."""
    title = f"{piece.id} {piece.title}".strip()
    large, small = TITLE_HEIGHTS_MM
    size = large if text_width(title, large) <= MAX_TITLE_WIDTH_MM else small
    rows = wrap_text(title, size, MAX_TITLE_WIDTH_MM)
    if len(rows) > MAX_TITLE_LINES:
        rows = [*rows[: MAX_TITLE_LINES - 1], " ".join(rows[MAX_TITLE_LINES - 1 :])]
    lines = [(truncate_text(row, size, MAX_TITLE_WIDTH_MM), size) for row in rows]
    if piece.size:
        lines.append((truncate_text(piece.size, CAPTION_TEXT_HEIGHT_MM, MAX_TITLE_WIDTH_MM), CAPTION_TEXT_HEIGHT_MM))
    return lines


def _covered_cells(edges: Array, columns: int, rows: int) -> tuple[Bools, Bools]:
    """Cells that a net takes, and all that it touches. edges: (n, 4) x, y, x, y in cells from the grid's origin."""
    stride = row_stride(columns)
    inside, crossed = (
        unpack_bits(bits, rows, stride)[:, :columns]
        for bits in (rasterize_loops(edges, columns, rows), rasterize_lines(edges, columns, rows))
    )
    touched: Bools = inside | crossed
    # A strip narrower than a cell may have no cell's centre inside: its edges count where no neighbour is inside.
    crossed[1:, 1:] &= ~any_in_windows(inside, 3, 3)[:-1, :-1]
    covered: Bools = inside | crossed
    return covered, touched


def _caption_spots(net: tuple[float, float, float, float], size: tuple[float, float], corners: Array) -> list[Point]:
    """Lower left corners to try, the best first.

    Those inside the net's bounding box (x0, y0, x1, y1), mm, near the net first, then above it, on its right and below
    it. size: of the caption; corners: (n, 2) of the net and between.
    """
    (x0, y0, x1, y1), (w, h) = net, size
    around = [(x0, y1 + CAPTION_GAP_MM), (x1 + CAPTION_GAP_MM, y1 - h), (x0, y0 - CAPTION_GAP_MM - h)]
    if x1 - x0 < w or y1 - y0 < h:
        return around
    inside = [(x0, y1 - h), (x1 - w, y1 - h), (x0, y0), (x1 - w, y0)]
    inside += [(x0 + (x1 - x0 - w) * k / 8, y) for k in range(9) for y in (y1 - h, y0)]
    inside += [(x, y0 + (y1 - y0 - h) * k / 8) for k in range(1, 8) for x in (x0, x1 - w)]
    # Farther away a caption would seem to belong to another net.
    centres = np.add(inside, (w / 2, h / 2))
    dx = np.maximum(np.abs(corners[:, 0] - centres[:, :1]) - w / 2, 0)
    dy = np.maximum(np.abs(corners[:, 1] - centres[:, 1:]) - h / 2, 0)
    too_far = np.maximum(0, np.round(np.sqrt((dx * dx + dy * dy).min(axis=1)) - CAPTION_NEAR_DISTANCE_MM))
    return [inside[k] for k in np.argsort(too_far, kind="stable").tolist()] + around


def _fits_page(w: float, h: float, page: tuple[float, float]) -> bool:
    return w <= page[0] and h <= page[1]
