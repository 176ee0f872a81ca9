"""Packing: nets onto as few sheets as possible, never overlapping; T-shaped nets nest into each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, pi
from random import Random
from typing import NamedTuple

import numpy as np

from foldsketch.base.arrays import Array, Bools, Point
from foldsketch.geometry.ragged_polygons import edge_starts_and_ends
from foldsketch.net.model import Piece
from foldsketch.sheet.layout.caption import FINE_CELL_MM, CaptionedPiece, CellRectangle, place_caption
from foldsketch.sheet.layout.caption_positions import find_caption_positions
from foldsketch.sheet.layout.cell_windows import any_in_windows
from foldsketch.sheet.layout.model import Placement, Sheet
from foldsketch.sheet.layout.page_bitmap import CellRun, PageBitmap, cell_runs
from foldsketch.sheet.layout.paper import Paper, printable_origin, printable_size
from foldsketch.sheet.messages import FITS_NO_PAGE

FINE_CELLS_PER_COARSE_CELL = 2
COARSE_CELL_MM = FINE_CELLS_PER_COARSE_CELL * FINE_CELL_MM
"""Size in mm of the cells on which nets are packed."""

PIECE_GROWTH_FINE_CELLS, TIGHT_GROWTH_FINE_CELLS = (2, 2), (1, 2)
"""Cells of FINE_CELL_MM by which a net is grown to the left and below, and to the right and above, before it is packed:
two nets keep more than 2 mm between them. The second where all cells count that a net touches."""

ORDERS_TRIED, MIN_ORDER_WEIGHT = 6, 0.4
"""Orders in which nets are packed alone, and the least share of its area by which a net takes its turn in them."""

PAGE_SPREADS = (1.0, 1.1, 1.25, 1.4)
"""Bounds tried on what a page holds where nets are spread over several, of an equal share."""

MAX_FILLED_SHARE = 0.9
"""No layout fills more of its pages' cells, gaps included."""


@dataclass(frozen=True, slots=True)
class _RotatedPiece:
    """A net at one of four angles.

    size: columns and rows; runs: the cells it takes, gap included; count: how many; low: the lower left corner of those
    cells in the turned net's frame, mm.
    """

    angle: float
    size: tuple[int, int]
    runs: tuple[CellRun, ...]
    count: int
    low: tuple[float, float]


_Cells = tuple[Bools, CellRectangle, Point]
"""Cells that a net takes at one angle, what is around them, and the lower left corner of the first one, mm."""


class _Spot(NamedTuple):
    """Where a net goes on a page: its number in the list, its angle, and the cell of its lower left corner."""

    number: int
    shape: _RotatedPiece
    column: int
    row: int


def pack(pieces: Sequence[Piece], paper: Paper) -> tuple[Sheet, ...]:
    """Sheets with every net placed once. Raises FoldsketchError for a net that fits no page.

    Nets are packed with their captions beside them. Where that needs a sheet more than their area asks for, they are
    packed alone and closer, as long as `letter_nets` has a place for every caption afterwards. Of several layouts with
    as few sheets the first one counts, unless a sheet of it is half empty and the nets can be spread more evenly.
    """
    page = printable_size(paper)
    by_id = {p.id: p for p in pieces}
    bound = min_sheets_by_area(pieces, paper)
    best: tuple[Sheet, ...] = ()
    for growth, alone in ((PIECE_GROWTH_FINE_CELLS, False), (TIGHT_GROWTH_FINE_CELLS, True)):
        # The grown border may run past the edge of the printable area: the gap counts between nets only.
        border = sum(growth) * FINE_CELL_MM
        grid = (int((page[0] + border) / COARSE_CELL_MM), int((page[1] + border) / COARSE_CELL_MM))
        shapes = [
            _fitting_rotations([_taken(place_caption(p, page, k), alone) for k in range(4)], grid, growth)
            for p in pieces
        ]
        if best and not all(shapes):  # a net as wide as the page fits on whole cells only
            break
        for p, options in zip(pieces, shapes, strict=True):
            if not options:
                raise FITS_NO_PAGE.error(f"net {p.id}", paper=paper.name)
        corner = np.subtract(printable_origin(), growth[0] * FINE_CELL_MM)
        cells = sum(options[0].count for options in shapes)
        for order in _orders(shapes, ORDERS_TRIED if alone else 2):
            # Another one helps only where one page less could hold all the cells.
            if best and (len(best) <= bound or cells > MAX_FILLED_SHARE * (len(best) - 1) * grid[0] * grid[1]):
                break
            pages = _fill_pages(order, shapes, grid, len(best) - 1 if best else len(pieces))
            sheets = tuple(_to_sheet(spots, pieces, paper, corner) for spots in pages)
            without = {name for s in sheets for name in find_caption_positions(s, by_id)[1]} if alone else set[str]()
            if sheets and not without:
                best = sheets
                if len(pages) > 1 and not alone and _least_height(pages) < grid[1] / 2:
                    pages = _spread_pages(pages, shapes, grid)
                    best = tuple(_to_sheet(spots, pieces, paper, corner) for spots in pages)
            # A net whose caption found no place takes it along in the orders that follow.
            for k in (k for k, p in enumerate(pieces) if p.id in without):
                nets = [place_caption(pieces[k], page, quarter) for quarter in range(4)]
                both = [(net.cells | net.net_cells, net.bounding_cells, net.grid_origin) for net in nets]
                shapes[k] = _fitting_rotations(both, grid, growth) or shapes[k]
    return best


def _taken(net: CaptionedPiece, alone: bool) -> _Cells:
    """The cells of a net with its caption, or alone."""
    if alone:
        return net.net_cells, net.net_bounding_cells, net.grid_origin
    return net.cells, net.bounding_cells, net.grid_origin


def _to_sheet(page: Sequence[_Spot], pieces: Sequence[Piece], paper: Paper, corner: Array) -> Sheet:
    """The nets of one page as they lie on paper. corner: of its cells, mm."""
    x0, y0 = corner.tolist()
    placed = [
        Placement(pieces[k].id, s.angle, (x0 + i * COARSE_CELL_MM - s.low[0], y0 + j * COARSE_CELL_MM - s.low[1]))
        for k, s, i, j in sorted(page, key=lambda spot: spot.number)
    ]
    return Sheet(paper.name, (paper.width, paper.height), tuple(placed))


def _orders(shapes: Sequence[Sequence[_RotatedPiece]], number: int) -> Iterator[list[int]]:
    """Orders in which nets are packed: the largest first, the longest first, then the largest first by and large."""
    areas = [options[0].count for options in shapes]
    lengths = [max(max(s.size) for s in options) for options in shapes]
    chance = Random(len(shapes))  # always the same: sheets repeat byte for byte
    for n in range(number):
        keys = (areas, lengths)[n] if n < 2 else [a * chance.uniform(MIN_ORDER_WEIGHT, 1.0) for a in areas]
        yield sorted(range(len(keys)), key=lambda k: -keys[k])


def min_sheets_by_area(pieces: Sequence[Piece], paper: Paper) -> int:
    """The fewest sheets that the area of the nets allows."""
    w, h = printable_size(paper)
    return max(1, ceil(net_area(*pieces) / (w * h) - 1e-9))


def net_area(*pieces: Piece) -> float:
    """Area in mm2 of the panels and tabs of pieces."""
    panels = [p for piece in pieces for p in piece.panels]
    loops = [p.outline for p in panels] + [h for p in panels for h in p.holes]
    a, b = edge_starts_and_ends(loops + [t.outline for piece in pieces for t in piece.tabs])
    return float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()) / 2


def _fitting_rotations(turns: Sequence[_Cells], grid: tuple[int, int], growth: tuple[int, int]) -> list[_RotatedPiece]:
    """A net at those of the four right-angled turns that fit the page, upright first, each with its caption level.

    turns: the cells at each; grid: the page's columns and rows; growth: as PIECE_GROWTH_FINE_CELLS.
    """
    grow, per = sum(growth), FINE_CELLS_PER_COARSE_CELL
    result = []
    for quarter, (cells, around, origin) in enumerate(turns):
        first_column, first_row, end_column, end_row = around
        nx, ny = (ceil((n + grow) / per) for n in (end_column - first_column, end_row - first_row))
        if nx > grid[0] or ny > grid[1]:
            continue
        # A coarse cell is taken when a fine one in it, or within the growth around it, is.
        fine = cells[first_row - grow :, first_column - grow :]
        mask = any_in_windows(fine, grow + per, grow + per)[::per, ::per][:ny, :nx]
        x, y = np.add(origin, np.subtract((first_column, first_row), growth[0]) * FINE_CELL_MM).tolist()
        result.append(_RotatedPiece(quarter * pi / 2, (nx, ny), cell_runs(mask), int(mask.sum()), (x, y)))
    return result


def _fill_pages(
    order: Sequence[int],
    shapes: Sequence[Sequence[_RotatedPiece]],
    grid: tuple[int, int],
    most: int,
    cells: int | None = None,
) -> list[list[_Spot]]:
    """Nets in the given order, each on the first page with room and there as low and as far left as it goes.

    No pages where they would be more than so many. cells: that the nets of a page may take; None: all.
    """
    pages: list[tuple[PageBitmap, list[_Spot]]] = []
    for k in order:
        fitting = (
            (taken, page, found)
            for taken, page in (*pages, (PageBitmap(*grid), []))
            if not (page and cells and taken.count + shapes[k][0].count > cells)
            if (found := _lowest_position(taken, shapes[k])) is not None
        )
        taken, page, (shape, column, row) = next(fitting)  # a net that fits the page fits an empty one
        if not page:
            if len(pages) == most:
                return []
            pages.append((taken, page))
        taken.occupy((column, row), shape.runs)
        page.append(_Spot(k, shape, column, row))
    return [page for _, page in pages]


def _least_height(pages: Sequence[Sequence[_Spot]]) -> int:
    """Rows that nets take on the emptiest page."""
    return min(max(s.row + s.shape.size[1] for s in page) for page in pages)


def _spread_pages(
    pages: list[list[_Spot]], shapes: Sequence[Sequence[_RotatedPiece]], grid: tuple[int, int]
) -> list[list[_Spot]]:
    """The nets on as many pages, in the order of building, no page much fuller than the others; else as they were.

    Of the bounds tried on the cells of a page the one that leaves the emptiest page fullest.
    """
    total = sum(options[0].count for options in shapes)
    best = pages
    for order in (range(len(shapes)), *_orders(shapes, 1)):
        for spread in PAGE_SPREADS:
            most = round(total / len(pages) * spread)
            found = _fill_pages(order, shapes, grid, len(pages), most)
            if found and _least_height(found) > _least_height(best):
                best = found
    return best


def _lowest_position(page: PageBitmap, options: Sequence[_RotatedPiece]) -> tuple[_RotatedPiece, int, int] | None:
    """The turn, column and row that keep the net's top lowest, then leftmost; None where nothing is free."""
    if page.count + options[0].count > page.columns * page.rows:
        return None
    best: tuple[tuple[int, int, int], tuple[_RotatedPiece, int, int]] | None = None
    for turn, s in sorted(enumerate(options), key=lambda option: option[1].size[1]):
        # A net taller than the best top so far cannot be better.
        if best is not None and s.size[1] > best[0][0]:
            break
        spot = page.find_lowest(s.size, s.runs, best[0][0] if best else page.rows)
        if spot is not None:
            column, row = spot
            score = (row + s.size[1], column, turn)
            if best is None or score < best[0]:
                best = (score, (s, column, row))
    return best and best[1]
